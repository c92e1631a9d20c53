package density

import (
	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/solve"
)

// EthanolAt20 is the density of pure ethanol at 20 °C, kg/m³ or g/L: [oiml-r22] at p = 1.
// It is what turns grams of ethanol into % vol.
const EthanolAt20 = 789.239

// Coefficients of [oiml-r22]. They were written from memory and agree with several
// public transcriptions; what decides is that the printed tables are met.
var (
	// oimlA[j] belongs to p^(j+1); the constant term is oimlWater.
	oimlA = [11]float64{
		-1.929769495e+02, 3.891238958e+02, -1.668103923e+03, 1.352215441e+04,
		-8.829278388e+04, 3.062874042e+05, -6.138381234e+05, 7.470172998e+05,
		-5.478461354e+05, 2.234460334e+05, -3.903285426e+04,
	}
	// oimlB[j] belongs to (t − 20)^(j+1).
	oimlB = [6]float64{
		-2.0618513e-01, -5.2682542e-03, 3.6130013e-05, -3.8957702e-07, 7.1693540e-09, -9.9739231e-11,
	}
	// oimlC[i][j] belongs to (t − 20)^(i+1) p^(j+1).
	oimlC = [5][11]float64{
		{
			1.693443461530087e-01, -1.046914743455169e+01, 7.196353469546523e+01,
			-7.047478054272792e+02, 3.924090430035045e+03, -1.210164659068747e+04,
			2.248646550400788e+04, -2.605562982188164e+04, 1.852373922069467e+04,
			-7.420201433430137e+03, 1.285617841998974e+03,
		},
		{
			-1.193013005057010e-02, 2.517399633803461e-01, -2.170575700536993e+00,
			1.353034988843029e+01, -5.029988758547014e+01, 1.096355666577570e+02,
			-1.422753946421155e+02, 1.080435942856230e+02, -4.414153236817392e+01,
			7.442971530188783e+00,
		},
		{
			-6.802995733503803e-04, 1.876837790289664e-02, -2.002561813734156e-01,
			1.022992966719220e+00, -2.895696483903638e+00, 4.810060584300675e+00,
			-4.672147440794683e+00, 2.458043105903461e+00, -5.411227621436812e-01,
		},
		{
			4.075376675622027e-06, -8.763058573471110e-06, 6.515031360099368e-06,
			-1.515784836987210e-06,
		},
		{-2.788074354782409e-08, 1.345612883493354e-08},
	}
)

const oimlWater = 9.982012300e+02 // A₁, water of the formula at 20 °C

// EthanolWater returns the density of ethanol and water mixed.
//
//	ρ(p, t) = Σₖ Aₖ p^(k−1) + Σₖ Bₖ (t − 20)ᵏ + Σᵢₖ Cᵢₖ pᵏ (t − 20)ⁱ
//
// p is grams of ethanol per gram of mixture. The water of the formula (p = 0) is
// replaced by Water in proportion to 1 − p: a shift of at most 0.008 kg/m³.
//
// Valid:  p 0 to 1, t 0 to 40 °C. The source goes down to −20 °C; our checks do not.
// Check:  within 0.05 kg/m³ of 26 printed values to 12.5 % mass, and 0.0001 in
// specific gravity of 66 printed values to 32 % vol (TestEthanolWater…).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [oiml-r22] formula and coefficients; [tanaka2001] water.
func EthanolWater(p measure.MassFraction, t measure.Celsius) (measure.Density, error) {
	const call = "density.EthanolWater"
	if err := share(call, "ethanol", p, 0, 100); err != nil {
		return 0, err
	}
	if err := temperature(call, t); err != nil {
		return 0, err
	}
	return measure.Density(ethanolWater(float64(p), float64(t))), nil
}

func ethanolWater(p, t float64) float64 {
	u := t - 20
	var mixing float64
	for i := len(oimlC) - 1; i >= 0 && u != 0; i-- { // at 20 °C, asked for most, nothing of it counts
		mixing = mixing*u + polynomial(oimlC[i][:], p)
	}
	formulaWater := oimlWater + u*polynomial(oimlB[:], u)
	ours := water(t)
	return ours + p*(polynomial(oimlA[:], p)+u*mixing-(ours-formulaWater))
}

// polynomial returns c₀ + c₁x + c₂x² + …
func polynomial(c []float64, x float64) float64 {
	sum := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		sum = sum*x + c[i]
	}
	return sum
}

// PercentVol returns the strength of ethanol in water: litres of ethanol at 20 °C
// in 100 L of mixture at 20 °C.
//
//	q = 100 p ρ(p, 20) / ρ(1, 20)
//
// Valid:  p 0 to 1.
// Check:  the same at 60 °F is within 0.01 % vol of 33 printed values (TestEthanolWaterAgainstPharmacopoeia).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [oiml-r22].
func PercentVol(p measure.MassFraction) (measure.PercentVol, error) {
	if err := share("density.PercentVol", "ethanol", p, 0, 100); err != nil {
		return 0, err
	}
	return measure.PercentVol(percentVol(float64(p))), nil
}

func percentVol(p float64) float64 { return 100 * p * ethanolWater(p, 20) / pureAt20 }

// pureAt20 is EthanolAt20 with all its digits, so that p = 1 is 100 % vol exactly.
var pureAt20 = ethanolWater(1, 20)

// MassFromPercentVol returns the grams of ethanol in a gram of ethanol-water of the
// given strength: the inverse of PercentVol.
//
// Valid:  q 0 to 100 % vol.
// Check:  PercentVol of the result is q within 1e-9 relative (TestStrengthRoundTrip).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: [oiml-r22].
func MassFromPercentVol(q measure.PercentVol) (measure.MassFraction, error) {
	const call = "density.MassFromPercentVol"
	if err := property.Within(call, "strength", float64(q), 0, 100, "% vol"); err != nil {
		return 0, err
	}
	// Relative precision down to weak drinks needs an absolute one in proportion to q.
	p, err := solve.Root(func(p float64) float64 { return percentVol(p) - float64(q) }, 0, 1, 1e-13*float64(q))
	return measure.MassFraction(p), err
}
