package batch

import (
	"errors"
	"fmt"
	"math"

	"skep/internal/measure"
)

// quantity says what is wrong with a quantity that should be of a kind. Nil is well.
// Temperatures may be below zero, nothing else.
func quantity(what string, q *measure.Quantity, kind measure.Kind) error {
	if q == nil {
		return nil
	}
	switch {
	case q.Kind != kind:
		return fmt.Errorf("%s %q is a %s, not a %s", what, q.Words, q.Kind, kind)
	case !finite(q.Value) || !finite(q.SD):
		return fmt.Errorf("%s %q is not a number", what, q.Words)
	case q.SD < 0:
		return fmt.Errorf("%s %q has a spread below zero", what, q.Words)
	case q.Value < 0 && q.Kind != measure.Temperature && q.Kind != measure.Brix:
		return fmt.Errorf("%s %q is below zero", what, q.Words)
	}
	return nil
}

// number says that a bare number is negative or none at all.
func number(what string, x float64) error {
	if !finite(x) || x < 0 {
		return fmt.Errorf("%s is %g; it is zero or more", what, x)
	}
	return nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func (p Part) check() error {
	err := errors.Join(
		number("grams", p.Grams), number("spread of the grams", p.GramsSD),
		number("spread of the sugar", p.SugarSD), number("spread of the nitrogen", p.NitrogenSD),
		p.Adds.Check())
	if err != nil {
		return fmt.Errorf("%s: %w", p.Ingredient, first(err))
	}
	return nil
}

// first keeps the first of several errors, for a message is one sentence.
func first(err error) error {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		return joined.Unwrap()[0]
	}
	return err
}

func parts(list []Part) error {
	for _, p := range list {
		if err := p.check(); err != nil {
			return err
		}
	}
	return nil
}

func (v Vessel) check() error {
	return first(errors.Join(number("size of the vessel", v.Litres), quantity("empty weight", v.Tare, measure.Mass)))
}

func (m Made) check() error {
	if m.Name == "" {
		return errors.New("the jug has no name")
	}
	return first(errors.Join(m.Vessel.check(), parts(m.Parts),
		quantity("volume", m.Volume, measure.Volume), quantity("full weight", m.Full, measure.Mass), heavier(m.Full, m.Vessel.Tare),
		quantity("gravity", m.Gravity, measure.SG),
		quantity("sample", m.Sample, measure.Temperature)))
}

func (p Pitched) check() error {
	return first(errors.Join(number("grams of yeast", p.Grams),
		quantity("temperature", p.Temperature, measure.Temperature)))
}

func (l Looked) check() error {
	return first(errors.Join(
		quantity("weight", l.Mass, measure.Mass), quantity("bubbles", l.Bubbles, measure.BubbleRate),
		quantity("gravity", l.Gravity, measure.SG), quantity("refractometer", l.Brix, measure.Brix),
		quantity("gravity fermented out", l.Spent, measure.SG), quantity("fermented out at", l.SpentAt, measure.Temperature),
		quantity("sample", l.Sample, measure.Temperature), quantity("room", l.Room, measure.Temperature),
		quantity("liquid", l.Liquid, measure.Temperature), quantity("drawn", l.Drawn, measure.Volume),
		quantity("pH", l.PH, measure.Acidity)))
}

func (a Added) check() error      { return someParts(a.Parts) }
func (s Stabilised) check() error { return someParts(s.Parts) }

func someParts(list []Part) error {
	if len(list) == 0 {
		return errors.New("nothing was added")
	}
	return parts(list)
}

func (r Racked) check() error {
	return first(errors.Join(r.To.check(), quantity("left behind", r.Left, measure.Volume),
		quantity("full weight", r.Full, measure.Mass), heavier(r.Full, r.To.Tare)))
}

// heavier says that a full vessel weighs less than the empty one.
func heavier(full, tare *measure.Quantity) error {
	if full != nil && tare != nil && full.Value < tare.Value {
		return fmt.Errorf("full weight %q is below the empty weight %q", full.Words, tare.Words)
	}
	return nil
}

func (h Heated) check() error {
	return first(errors.Join(quantity("temperature", &h.To, measure.Temperature), quantity("time", &h.For, measure.Duration)))
}

func (a Aimed) check() error {
	if a.Path == "" {
		return errors.New("the way to finish it is not told")
	}
	return first(errors.Join(quantity("gravity", a.To, measure.SG), quantity("fizz", a.Fizz, measure.Concentration)))
}

func (p Poured) check() error {
	if p.Blend == "" || p.Into == "" {
		return errors.New("it is not told what the wine was blended into")
	}
	return quantity("litres", &p.Litres, measure.Volume)
}

func (b Blended) check() error {
	if b.Blend == "" || len(b.Sources) == 0 {
		return errors.New("it is not told what was blended")
	}
	for _, s := range b.Sources {
		if s.Jug == "" {
			return errors.New("a part of the blend comes from no jug")
		}
		err := errors.Join(s.Wine.check(), number("strength", s.Strength.Value), number("sugar", s.Sugar.Value), number("sorbate", s.Sorbate))
		if err != nil {
			return fmt.Errorf("%s: %w", s.Name, first(err))
		}
		if !(s.Over >= 0 && s.Over <= 1) {
			return fmt.Errorf("%s: a chance of %g is outside 0 to 1", s.Name, s.Over)
		}
	}
	return quantity("lost", b.Lost, measure.Volume)
}

func (m Moved) check() error { return quantity("room", m.Room, measure.Temperature) }

func (b Bottled) check() error {
	if len(b.Bottles) == 0 {
		return errors.New("no bottles were filled")
	}
	for _, some := range b.Bottles {
		if !(finite(some.SizeML) && some.SizeML > 0) || some.Count <= 0 {
			return fmt.Errorf("%d bottles of %g mL: size and count are above zero", some.Count, some.SizeML)
		}
		if !(some.HoldsML >= 0 && some.HoldsML <= some.SizeML) {
			return fmt.Errorf("a bottle of %g mL does not hold %g mL", some.SizeML, some.HoldsML)
		}
	}
	switch b.Style {
	case Still, StillStabilised, Sparkling:
	default:
		return fmt.Errorf("style %q is none of %q, %q, %q", b.Style, Still, StillStabilised, Sparkling)
	}
	if b.Priming != nil {
		if err := b.Priming.check(); err != nil {
			return err
		}
	}
	return quantity("left in the jug", b.Left, measure.Volume)
}

func (s Shelved) check() error {
	if s.Place == "" && s.Warmest == 0 {
		return errors.New("where to")
	}
	if !finite(float64(s.Warmest)) {
		return errors.New("the warmest it gets there is not a number")
	}
	return nil
}

func (o Opened) check() error {
	if o.Count <= 0 {
		return fmt.Errorf("%d bottles opened: the count is above zero", o.Count)
	}
	return nil
}

func (t Tasted) check() error {
	if t.OutOf < 0 || t.Score < 0 || t.Score > t.Best() {
		return fmt.Errorf("score %d is outside 1 to %d", t.Score, t.Best())
	}
	return nil
}

func (n Noted) check() error {
	if n.Note == "" {
		return errors.New("the note is empty")
	}
	return nil
}

func (c Corrected) check() error {
	switch c.By.(type) {
	case nil:
		return errors.New("the correction does not say by what")
	case Corrected, Withdrawn:
		return fmt.Errorf("a correction cannot put a %s in an event's place", c.By.Kind())
	}
	return c.By.check()
}

func (w Withdrawn) check() error { return nil }
