package must

import (
	"errors"
	"fmt"
	"math"

	"skep/internal/measure"
	"skep/internal/property/density"
)

// Component is one thing a must is made of.
type Component int

// The components. SlowSugar is the "reducing disaccharides" of honey analyses, which
// yeast ferments in part; OtherSolids is what dissolves and does not ferment;
// Acid is every acid, counted as grams of tartaric acid by equivalents; Nitrogen is
// what yeast can assimilate, as N; Pulp is what never dissolves and holds liquid back.
const (
	Water Component = iota
	Glucose
	Fructose
	Sucrose
	SlowSugar
	OtherSolids
	Ethanol
	Glycerol
	Acid
	Nitrogen
	SulphurDioxide
	CarbonDioxide
	Yeast
	Pulp
	Components // how many there are
)

var componentNames = [Components]string{
	"water", "glucose", "fructose", "sucrose", "slow sugar", "other solids", "ethanol",
	"glycerol", "acid", "nitrogen", "sulphur dioxide", "carbon dioxide", "yeast", "pulp",
}

// String is the component's name in words.
func (c Component) String() string { return componentNames[c] }

// Must is grams of each component. The zero value is an empty jug.
type Must [Components]float64

// HexosePerSucrose is the gain of mass when a disaccharide takes up water:
// 2 × 180.156 / 342.297, from the molar masses (IUPAC abridged atomic weights).
const HexosePerSucrose = 2 * 180.156 / 342.297

// ErrEmpty says that a property of nothing was asked for.
var ErrEmpty = errors.New("the must is empty")

// Plus returns the mixture of two musts: grams add, component by component.
func (m Must) Plus(o Must) Must {
	for c := range m {
		m[c] += o[c]
	}
	return m
}

// Scaled returns f times as much of the same must. f must not be negative.
func (m Must) Scaled(f float64) Must {
	if f < 0 {
		panic("must: scaled by a negative number")
	}
	for c := range m {
		m[c] *= f
	}
	return m
}

// Draw takes a share of the liquid, 0 to 1, out of m: both parts, which together are m.
// Errors: the share is outside 0 to 1.
func (m Must) Draw(share float64) (drawn, left Must, err error) {
	if !(share >= 0 && share <= 1) {
		return Must{}, m, fmt.Errorf("must.Draw: share %g is outside 0 to 1", share)
	}
	drawn = m.Scaled(share)
	for c := range m {
		left[c] = m[c] - drawn[c]
	}
	return drawn, left, nil
}

// Mass returns the grams of everything.
func (m Must) Mass() measure.Grams {
	sum := 0.0
	for _, g := range m {
		sum += g
	}
	return measure.Grams(sum)
}

// LiquidMass returns the grams of what flows: all but pulp and yeast.
func (m Must) LiquidMass() measure.Grams {
	return m.Mass() - measure.Grams(m[Pulp]+m[Yeast])
}

// Hexose returns grams of sugar that yeast can take, as hexose: sucrose counts
// HexosePerSucrose, and of the slow sugar only the given share (0 to 1) counts.
func (m Must) Hexose(slowShare float64) float64 {
	return m[Glucose] + m[Fructose] + HexosePerSucrose*(m[Sucrose]+slowShare*m[SlowSugar])
}

// solution is the liquid part as mass fractions.
func (m Must) solution() (density.Solution, error) {
	all := float64(m.LiquidMass()) - m[CarbonDioxide]
	if !(all > 0) {
		return density.Solution{}, ErrEmpty
	}
	part := func(g float64) measure.MassFraction { return measure.MassFraction(g / all) }
	return density.Solution{
		Ethanol: part(m[Ethanol]), Glycerol: part(m[Glycerol]),
		Glucose: part(m[Glucose]), Fructose: part(m[Fructose]),
		Sucrose: part(m[Sucrose] + m[SlowSugar]),
		Other:   part(m[OtherSolids] + m[Acid] + m[Nitrogen] + m[SulphurDioxide]),
	}, nil
}

// Density returns the density of the liquid at t, degassed and without what is suspended.
//
// Valid:  as density.Must.
// Errors: ErrEmpty; *property.RangeError from density.Must.
func (m Must) Density(t measure.Celsius) (measure.Density, error) {
	s, err := m.solution()
	if err != nil {
		return 0, err
	}
	return density.Must(s, t)
}

// Volume returns the volume of the liquid at t; pulp and yeast are not counted.
//
// Errors: as Density.
func (m Must) Volume(t measure.Celsius) (measure.Litres, error) {
	rho, err := m.Density(t)
	if err != nil {
		return 0, err
	}
	return measure.Litres((float64(m.LiquidMass()) - m[CarbonDioxide]) / float64(rho)), nil
}

// Gravity returns the specific gravity 20/20 of the degassed liquid.
//
// Errors: as Density.
func (m Must) Gravity() (measure.Gravity, error) {
	rho, err := m.Density(20)
	if err != nil {
		return 0, err
	}
	return density.Gravity(rho), nil
}

// PercentVol returns the strength, % vol at 20 °C.
//
// Errors: as Density.
func (m Must) PercentVol() (measure.PercentVol, error) {
	v, err := m.Volume(20)
	if err != nil {
		return 0, err
	}
	return measure.PercentVol(100 * m[Ethanol] / density.EthanolAt20 / float64(v)), nil
}

// Check says which component is negative or not a number, if any is.
func (m Must) Check() error {
	for c, g := range m {
		if math.IsNaN(g) || math.IsInf(g, 0) || g < 0 {
			return fmt.Errorf("must: %s is %g g; a mass is zero or more", Component(c), g)
		}
	}
	return nil
}
