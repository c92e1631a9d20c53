package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"skep/internal/kinetics"
	"skep/internal/measure"
	"skep/internal/store"
)

// YeastKinds are the kinds of yeast, with what the trade says of them.
func YeastKinds() []kinetics.YeastKind { return kinetics.Yeasts() }

// Hydrometer is the maker's own, as the kitchen keeps it. Readings without a calibration of
// their own are meant on it.
type Hydrometer struct {
	Calibrated measure.Celsius `json:"calibrated"` // what its scale is made for
	Words      string          `json:"words"`      // the same as told: "60 F"
	Water      measure.Gravity `json:"water"`      // what it shows in plain water at that temperature; 1.000 is right
}

const hydrometerSetting = "hydrometer"

// Hydrometer returns the maker's own, or the usual one: of 20 °C, and right.
func (c *Cellar) Hydrometer(ctx context.Context) (Hydrometer, error) {
	h := Hydrometer{Calibrated: usualScale, Words: "20 C", Water: 1}
	err := c.store.Get(ctx, store.Settings, hydrometerSetting, &h)
	if errors.Is(err, store.ErrNotFound) {
		err = nil
	}
	return h, err
}

// mostWrong is the fault of a hydrometer that is put right; one with more has slipped paper
// and is not worth it (our policy).
const mostWrong = 0.010

// KeepHydrometer keeps the maker's hydrometer: the temperature printed on it, and what it
// shows in plain water of that temperature. From then on its fault is taken off each
// gravity that is told; readings written down before stay as they were understood.
//
// Errors: *AskError.
func (c *Cellar) KeepHydrometer(ctx context.Context, calibrated, water string) (Hydrometer, error) {
	h := Hydrometer{Calibrated: usualScale, Words: "20 C", Water: 1}
	t, err := c.calibrated(calibrated)
	if err != nil {
		return h, err
	}
	if t != 0 {
		h.Calibrated, h.Words = t, strings.TrimSpace(calibrated)
	}
	const tip = `write what it shows in water: "1.000", "1.002"`
	shown, err := c.quantity("water", water, tip, measure.SG)
	if err != nil {
		return h, err
	}
	if shown != nil {
		if math.Abs(shown.Value-1) > mostWrong {
			return h, ask("water", water, "measure again in plain water; if it is so, the paper in it has slipped", fmt.Errorf("a hydrometer that is wrong by more than %.3f is better replaced", mostWrong))
		}
		h.Water = measure.Gravity(shown.Value)
	}
	return h, c.store.Put(ctx, store.Settings, hydrometerSetting, h)
}

// onHydrometer reads gravities off the maker's own hydrometer, when it was not told that
// they are of another.
func (c *Cellar) onHydrometer(ctx context.Context, calibrated *measure.Celsius, gravities ...*measure.Quantity) error {
	gravities = slices.DeleteFunc(gravities, func(q *measure.Quantity) bool { return q == nil })
	if len(gravities) == 0 || *calibrated != 0 {
		return nil
	}
	h, err := c.Hydrometer(ctx)
	if err != nil {
		return err
	}
	for _, gravity := range gravities {
		gravity.Value -= float64(h.Water - 1)
	}
	if h.Calibrated != usualScale {
		*calibrated = h.Calibrated
	}
	return nil
}
