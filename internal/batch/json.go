package batch

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"skep/internal/measure"
	"skep/internal/must"
)

// ErrNewer says that an event was written by a newer version: its kind, or a field
// in it, is not known here. The event itself is untouched where it lies.
var ErrNewer = errors.New("written by a newer version")

// kinds is the register: how each kind is read.
var kinds = map[string]func([]byte) (Happening, error){
	"made": read[Made], "pitched": read[Pitched], "looked": read[Looked], "added": read[Added],
	"racked": read[Racked], "stabilised": read[Stabilised], "moved": read[Moved], "bottled": read[Bottled],
	"heated": read[Heated], "aimed": read[Aimed], "poured": read[Poured], "blended": read[Blended],
	"shelved": read[Shelved], "opened": read[Opened], "tasted": read[Tasted], "noted": read[Noted],
	"corrected": read[Corrected], "withdrawn": read[Withdrawn],
}

// Kinds returns every kind that this version knows, sorted.
func Kinds() []string { return slices.Sorted(maps.Keys(kinds)) }

func read[H Happening](body []byte) (Happening, error) {
	var h H
	err := strictly(body, &h)
	return h, err
}

// strictly reads JSON and takes a field it does not know for news.
func strictly(body []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(body))
	d.DisallowUnknownFields()
	err := d.Decode(into)
	// encoding/json has no type for this error; its text is the only mark.
	if err != nil && bytes.HasPrefix([]byte(err.Error()), []byte("json: unknown field ")) {
		return fmt.Errorf("field %s: %w", err.Error()[len("json: unknown field "):], ErrNewer)
	}
	return err
}

// Encode writes a happening as {"kind":"looked", …}.
//
// Errors: a number that JSON cannot hold.
func Encode(h Happening) ([]byte, error) {
	body, err := json.Marshal(h)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", h.Kind(), err)
	}
	head := fmt.Appendf(nil, `{"kind":%q`, h.Kind())
	if len(body) > len("{}") {
		head = append(head, ',')
	}
	return append(head, body[1:]...), nil
}

// Decode reads what Encode wrote.
//
// Errors: ErrNewer for a kind or field this version does not know; else what is
// wrong with the JSON.
func Decode(body []byte) (Happening, error) {
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(body, &fields); err != nil {
		return nil, err
	}
	var kind string
	if err := json.Unmarshal(fields["kind"], &kind); err != nil {
		return nil, errors.New("the event does not tell its kind")
	}
	reader, known := kinds[kind]
	if !known {
		return nil, fmt.Errorf("kind %q: %w", kind, ErrNewer)
	}
	delete(fields, "kind")
	rest, err := json.Marshal(fields)
	if err != nil {
		return nil, err
	}
	h, err := reader(rest)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", kind, err)
	}
	return h, nil
}

type correctedJSON struct {
	Of string          `json:"of"`
	By json.RawMessage `json:"by"`
	At time.Time       `json:"at,omitzero"`
}

// MarshalJSON keeps the kind of By.
func (c Corrected) MarshalJSON() ([]byte, error) {
	if c.By == nil {
		return nil, errors.New("the correction does not say by what")
	}
	by, err := Encode(c.By)
	if err != nil {
		return nil, err
	}
	return json.Marshal(correctedJSON{c.Of, by, c.At})
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (c *Corrected) UnmarshalJSON(body []byte) error {
	var raw correctedJSON
	if err := strictly(body, &raw); err != nil {
		return err
	}
	by, err := Decode(raw.By)
	if err != nil {
		return err
	}
	*c = Corrected{raw.Of, by, raw.At}
	return nil
}

// partJSON names the components, so that the record outlives their order.
type partJSON struct {
	Ingredient string             `json:"ingredient"`
	Words      string             `json:"words"`
	Amount     measure.Quantity   `json:"amount"`
	Grams      float64            `json:"grams"`
	GramsSD    float64            `json:"grams_sd"`
	Adds       map[string]float64 `json:"adds"`
	SugarSD    float64            `json:"sugar_sd,omitempty"`
	NitrogenSD float64            `json:"nitrogen_sd,omitempty"`
}

// MarshalJSON writes the grams under the names of their components.
func (p Part) MarshalJSON() ([]byte, error) {
	adds := make(map[string]float64)
	for c := range must.Components {
		if p.Adds[c] != 0 {
			adds[c.String()] = p.Adds[c]
		}
	}
	return json.Marshal(partJSON{p.Ingredient, p.Words, p.Amount, p.Grams, p.GramsSD, adds, p.SugarSD, p.NitrogenSD})
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (p *Part) UnmarshalJSON(body []byte) error {
	var raw partJSON
	if err := strictly(body, &raw); err != nil {
		return err
	}
	*p = Part{
		Ingredient: raw.Ingredient, Words: raw.Words, Amount: raw.Amount, Grams: raw.Grams, GramsSD: raw.GramsSD,
		SugarSD: raw.SugarSD, NitrogenSD: raw.NitrogenSD,
	}
	for c := range must.Components {
		p.Adds[c] = raw.Adds[c.String()]
		delete(raw.Adds, c.String())
	}
	for name := range raw.Adds {
		return fmt.Errorf("component %q: %w", name, ErrNewer)
	}
	return nil
}
