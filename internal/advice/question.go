package advice

import (
	"encoding/json"
	"time"

	"skep/internal/batch"
	"skep/internal/estimate"
	"skep/internal/measure"
)

// Question asks whether a jug may be bottled, and how. Its zero fields are the careful
// ones: no proof, not stabilised, gas at its most, a bottle that bears nothing.
type Question struct {
	Now        time.Time
	Members    []estimate.Member // at Now
	Proof      Proof             // from Stand
	Stabilised Stabilised        // from StabilisedBy
	Gas        Gas               // from GasOf
	Style      batch.Style
	PrimingGL  float64 // sugar stirred in before filling, g/L as hexose
	Bottle     Bottle
	Warmest    measure.Celsius // warmest place the bottles will stand; 0 means not told: WarmestUntold
}

// Bottle is the kind of bottle meant.
type Bottle struct {
	Kind        string      // as the person knows it: "still-wine glass"
	Limit       measure.Bar // what it bears, gauge; 0 for jugs, demijohns, jars and swing-tops
	SizeML      float64     // mL of wine in it
	HeadspaceML float64     // mL of air above the wine at 20 °C
}

// Stabilised is what went in to keep the yeast from waking.
type Stabilised struct {
	SulphiteMGL float64   // sulphur dioxide added, mg/L
	SorbateMGL  float64   // potassium sorbate added, mg/L
	At          time.Time // when the last of them went in; zero if none did
	PH          float64   // as last read; 0 means not told, and then no dose of sorbate is known to hold
}

// Gas is what is known of the carbon dioxide still dissolved in a jug.
type Gas struct {
	Coldest  *measure.Celsius // coldest temperature on record since pitching; nil if none
	Rackings int              // since it went quiet
	Stirred  int              // times it was degassed since then
	Months   float64          // since it went quiet, under an airlock
}

// Answer is the verdict on bottling in one word.
type Answer string

// The answers.
const (
	NotYet          Answer = "not yet"
	ReadyStill      Answer = "ready, still"
	ReadyStabilised Answer = "ready, still and stabilised"
	ReadySparkling  Answer = "ready, sparkling"
)

// Verdict says whether a jug may be bottled, with the arithmetic.
type Verdict struct {
	Answer       Answer          `json:"answer"`
	Pressure     measure.Range   `json:"pressure"`       // gauge in the closed bottle at the warmest storage, bar
	PressureAt20 measure.Range   `json:"pressure_at_20"` // the same at 20 °C, bar
	Warmest      measure.Celsius `json:"-"`              // °C that Pressure is for
	Limit        measure.Bar     `json:"-"`              // what the bottle bears, gauge
	Chance       float64         `json:"chance"`         // that the pressure exceeds it, 0 to 1
	Reason       string          `json:"reason"`         // one sentence with its arithmetic
	Settles      string          `json:"settles"`        // the one measurement or deed that settles it soonest; "" when ready
	When         time.Time       `json:"when,omitzero"`  // its date; zero when ready
	Cautions     []string        `json:"cautions"`
}

// MarshalJSON writes the limit and the warmest place as numbers with their units, too.
func (v Verdict) MarshalJSON() ([]byte, error) {
	type plain Verdict
	return json.Marshal(struct {
		plain
		Warmest measure.Range `json:"warmest"`
		Limit   measure.Range `json:"limit"`
	}{plain(v), measure.Exact(float64(v.Warmest), "°C"), measure.Exact(float64(v.Limit), "bar")})
}

// UnmarshalJSON reads what MarshalJSON writes.
func (v *Verdict) UnmarshalJSON(body []byte) error {
	type plain Verdict
	read := struct {
		*plain
		Warmest measure.Range `json:"warmest"`
		Limit   measure.Range `json:"limit"`
	}{plain: (*plain)(v)}
	err := json.Unmarshal(body, &read)
	v.Warmest, v.Limit = measure.Celsius(read.Warmest.Value), measure.Bar(read.Limit.Value)
	return err
}
