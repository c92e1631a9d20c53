package gas

import (
	"fmt"

	"skep/internal/measure"
	"skep/internal/property"
)

// Grams of CO2 from a gram of hexose.
const (
	HexoseYield  = 0.48857 // all of it to ethanol and CO2: 2 × 44.0095/180.156 [masses]
	CarefulYield = 0.489   // for safety
	UsualYield   = 0.47    // for forecasts, ±0.01: the rest makes glycerol, yeast, acids (from memory, unverified)
)

// Growth of wine's volume, per K, quoted in cork trade guidance [boulton-expansion].
const wineExpansion = 4.0e-4

// ClosedBottle is a rigid vessel, filled at 20 °C and 1 atm and closed.
type ClosedBottle struct {
	Volume    measure.Litres // of wine
	Headspace measure.Litres // above it
	Liquid    Liquid
	CO2       measure.GramsPerLitre // dissolved when closed
	Hexose    measure.GramsPerLitre // what will still ferment, as hexose
	Yield     float64               // g CO2 per g hexose; CarefulYield where safety is asked for
	Law       Law                   // Least where safety is asked for
}

// LiquidFullError says that the wine would fill the bottle, headspace and all. Then
// nothing gives, and pressure is no longer set by gas: unsafe whatever the bottle.
type LiquidFullError struct {
	At   measure.Celsius // what was asked
	Full measure.Celsius // where the headspace is gone
}

// Error says where the headspace is gone.
func (e *LiquidFullError) Error() string {
	return fmt.Sprintf("gas.ClosedBottle: at %.3g °C the wine fills the bottle to the closure (full at %.3g °C)", e.At, e.Full)
}

// Partial is what presses in a closed bottle, bar absolute.
type Partial struct{ CO2, Air, Water measure.Bar }

// Gauge returns the pressure above the atmosphere, which a gauge shows.
//
// Valid:  any pressures.
// Source: [oiv-ag4-62].
func (p Partial) Gauge() measure.Bar { return p.CO2 + p.Air + p.Water - Atmosphere }

// FullAt returns the temperature at which expansion has used up the headspace.
//
// Valid:  volume above 0.
// Check:  within 0.05 K of 5 rows (TestLiquidFull).
// Source: [boulton-expansion].
func (b ClosedBottle) FullAt() measure.Celsius {
	return measure.Celsius(20 + float64(b.Headspace/b.Volume)/wineExpansion)
}

// Partial returns the pressures once all the hexose has fermented in the bottle.
//
//	h = V_h − 4.0·10⁻⁴ (t − 20) V
//	p_CO2 = (c₀ + yX) V / (K(t) V + 44.0095 h/(RT))
//	p_air = 1.01325 (V_h/h)(T/293.15)
//
// V is the wine, V_h the headspace at 20 °C, c₀ the CO2 and X the hexose, y the yield and
// K the solubility. The ethanol made in the bottle and its vapour are left out.
//
// Valid:  volume and headspace above 0 and headspace to 10 times volume; CO2 0 to 20
// g/L; hexose 0 to 300 g/L; yield 0 to 0.489; else as Solubility.
// Check:  within 0.006 bar of 36 computed rows (TestClosedBottleChain).
// Errors: *LiquidFullError; *property.RangeError outside the valid range; never NaN.
// Source: ours, from [oiv-as314-01], [wagner2002] and [boulton-expansion].
func (b ClosedBottle) Partial(t measure.Celsius) (Partial, error) {
	perBar, h, err := b.holds(t)
	if err != nil {
		return Partial{}, err
	}
	k := float64(t) + kelvin
	made := (float64(b.CO2) + b.Yield*float64(b.Hexose)) * float64(b.Volume)
	return Partial{
		CO2:   measure.Bar(made / perBar),
		Air:   Atmosphere * measure.Bar(float64(b.Headspace)/h*k/(20+kelvin)),
		Water: measure.Bar(waterVapour(float64(t))),
	}, nil
}

// Gauge returns the pressure above the atmosphere, as Partial and its Gauge.
//
// Valid:  as Partial.
// Errors: as Partial.
// Source: as Partial; [oiv-ag4-62] for the meaning of gauge.
func (b ClosedBottle) Gauge(t measure.Celsius) (measure.Bar, error) {
	p, err := b.Partial(t)
	if err != nil {
		return 0, err
	}
	return p.Gauge(), nil
}

// PerGram returns by how much the pressure rises for each g/L of hexose that ferments in
// the closed vessel.
//
// Valid:  as Partial.
// Check:  0.38 bar for a jug of must, as computed elsewhere (TestSealedJug).
// Errors: as Partial.
// Source: as Partial, from [oiv-as314-01].
func (b ClosedBottle) PerGram(t measure.Celsius) (measure.Bar, error) {
	perBar, _, err := b.holds(t)
	if err != nil {
		return 0, err
	}
	return measure.Bar(b.Yield * float64(b.Volume) / perBar), nil
}

// HexoseFor returns the hexose that brings the closed bottle to the given gauge pressure
// at t; b.Hexose does not count. It is 0 when the pressure is passed without any.
//
// Valid:  gauge 0 to 20 bar; yield above 0; else as Partial.
// Check:  within 0.02 g/L of 36 computed values (TestResidualSugarForPressure).
// Errors: as Partial.
// Source: as Partial, from [oiv-as314-01].
func (b ClosedBottle) HexoseFor(gauge measure.Bar, t measure.Celsius) (measure.GramsPerLitre, error) {
	const call = "gas.ClosedBottle.HexoseFor"
	if err := property.Within(call, "pressure", float64(gauge), 0, 20, "bar"); err != nil {
		return 0, err
	}
	b.Hexose = 0
	without, err := b.Gauge(t)
	if err != nil {
		return 0, err
	}
	per, err := b.PerGram(t)
	if err != nil {
		return 0, err
	}
	if err := property.Within(call, "yield", b.Yield, 0.01, CarefulYield, "g/g"); err != nil {
		return 0, err
	}
	return measure.GramsPerLitre(max(0, float64((gauge-without)/per))), nil
}

// holds returns the grams of CO2 that wine and headspace take up per bar at t, and the
// headspace that is left then, L.
func (b ClosedBottle) holds(t measure.Celsius) (perBar, h float64, err error) {
	const call = "gas.ClosedBottle"
	volume, headspace := float64(b.Volume), float64(b.Headspace)
	for _, part := range [...]struct {
		what             string
		value, low, high float64
		unit             string
	}{
		{"volume", volume, 1e-3, 1e5, "L"},
		{"headspace", headspace, 0, 10 * volume, "L"},
		{"CO2", float64(b.CO2), 0, 20, "g/L"},
		{"hexose", float64(b.Hexose), 0, 300, "g/L"},
		{"yield", b.Yield, 0, CarefulYield, "g/g"},
	} {
		if err := property.Within(call, part.what, part.value, part.low, part.high, part.unit); err != nil {
			return 0, 0, err
		}
	}
	k, err := Solubility(b.Liquid, t, b.Law)
	if err != nil {
		return 0, 0, err
	}
	h = headspace - wineExpansion*(float64(t)-20)*volume
	if h <= 0 {
		return 0, 0, &LiquidFullError{At: t, Full: b.FullAt()}
	}
	return k*volume + molar*h/(r*(float64(t)+kelvin)), h, nil
}
