package optics

import (
	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/property/density"
	"skep/internal/solve"
)

// What a solute adds to water is written n(w) = n_water + w·(c₁ + c₂ w + c₃ w²): cubic
// fits to the printed rows of [crc102-wolf] at 20 °C, up to the limits below. Largest
// residual 6e-5; the rows are printed to 1e-4.
var (
	sucroseBends  = bends{0.142975, 0.053339, 0.018201}
	glucoseBends  = bends{0.141990, 0.051712, 0.008893}
	fructoseBends = bends{0.141208, 0.050687, 0.014751}
	glycerolBends = bends{0.116057, 0.010372, 0.074509}
	ethanolBends  = bends{0.055339, 0.128621, -0.282668}
)

// water is n of water at 20 °C.
const water = 1.33299

// How far each fit may be used, % mass.
const (
	sucroseLimit  = 50
	hexoseLimit   = 48
	glycerolLimit = 20
	ethanolLimit  = 30
)

type bends [3]float64

// slope is the rise of n per mass fraction.
func (c *bends) slope(w float64) float64 { return c[0] + w*(c[1]+w*c[2]) }

// Index returns the refractive index of a must or wine of known composition, at 20 °C.
//
//	n = n_water + Σᵢ wᵢ bᵢ(W) + w_glycerol b(w_glycerol) + w_ethanol b(w_ethanol)
//
// Rises are added. Each sugar i rises by the slope bᵢ that it has in plain water where W,
// all the sugars together, is dissolved; glycerol and ethanol by those of their own mass
// fraction. Of one solute alone this is its printed table.
//
// Valid:  sugars and other solids together to 48 % mass (50 if none is glucose or
// fructose); glycerol to 20; ethanol to 30.
// Check:  within 0.0001, one last digit, of 73 printed values of one solute alone
// (TestIndexAgainstPrintedTables). For mixtures unverified: see MixtureSpread. Acid
// counts as sucrose but bends less: each 1 % of citric acid shows 0.1 °Brix too much.
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: ours, from [crc102-wolf].
func Index(s density.Solution) (float64, error) {
	if err := check("optics.Index", &s); err != nil {
		return 0, err
	}
	sugars := float64(s.Glucose + s.Fructose + s.Sucrose + s.Other)
	return water +
		float64(s.Sucrose+s.Other)*sucroseBends.slope(sugars) +
		float64(s.Glucose)*glucoseBends.slope(sugars) +
		float64(s.Fructose)*fructoseBends.slope(sugars) +
		float64(s.Glycerol)*glycerolBends.slope(float64(s.Glycerol)) +
		float64(s.Ethanol)*ethanolBends.slope(float64(s.Ethanol)), nil
}

// MixtureSpread returns how well Index is taken to know the sugar scale of a must that
// holds alcohol and sugar together, one standard deviation.
//
//	0.001 + 0.18 w_ethanol (w_sugars + w_glycerol)
//
// No table of mixtures could be read. It is what another sound rule of mixing differs, and
// 0.1 °Brix for the tables of single solutes: 0.3 °Brix at 15 % vol and 100 g/L of sugar.
//
// Valid:  as Index.
// Check:  no less than the other rule differs at 160 mixtures to 20 % vol and 200 g/L
// (TestIndexAgainstLorentzLorenz).
// Source: [policy].
func MixtureSpread(s density.Solution) measure.MassFraction {
	return 0.001 + 0.18*s.Ethanol*(s.Glucose+s.Fructose+s.Sucrose+s.Other+s.Glycerol)
}

func check(call string, s *density.Solution) error {
	sugarLimit := float64(sucroseLimit)
	if s.Glucose+s.Fructose > 0 {
		sugarLimit = hexoseLimit
	}
	for _, part := range [...]struct {
		what  string
		w     measure.MassFraction
		limit float64
	}{
		{"glucose", s.Glucose, sugarLimit},
		{"fructose", s.Fructose, sugarLimit},
		{"sucrose", s.Sucrose, sugarLimit},
		{"other solids", s.Other, sugarLimit},
		{"sugars and other solids", s.Glucose + s.Fructose + s.Sucrose + s.Other, sugarLimit},
		{"glycerol", s.Glycerol, glycerolLimit},
		{"ethanol", s.Ethanol, ethanolLimit},
	} {
		if err := percent(call, part.what, part.w, 0, part.limit); err != nil {
			return err
		}
	}
	return nil
}

// percent checks a share against a range in % mass.
func percent(call, what string, w measure.MassFraction, low, high float64) error {
	return property.Within(call, what, 100*float64(w), low, high, "% mass")
}

// strongest is n of the most sucrose.
var strongest = water + sucroseLimit/100.*sucroseBends.slope(sucroseLimit/100.)

// SucroseFromIndex returns the sucrose in a solution in water of that refractive index at
// 20 °C: times 100 it is °Brix as a refractometer shows it.
//
// Valid:  n 1.33299, which is water, to 1.42009, which is 50 % mass.
// Check:  Index takes it back within 1e-9 (TestBrixRoundTrip); 24 rows of [icumsa-sps3] as
// remembered lie within 0.02 % mass (logged, decides nothing).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [crc102-wolf] through Index, solved for w.
func SucroseFromIndex(n float64) (measure.MassFraction, error) {
	if err := property.Within("optics.SucroseFromIndex", "refractive index", n, water, strongest, "nD"); err != nil {
		return 0, err
	}
	// The error asked for shrinks with what is found, so that weak musts are as exact as strong.
	rise := n - water
	w, err := solve.Root(func(w float64) float64 { return w*sucroseBends.slope(w) - rise }, 0, sucroseLimit/100., 1e-13*rise)
	return measure.MassFraction(w), err
}
