package density

import "skep/internal/measure"

// Solution is what is dissolved in a must or wine, as mass fractions of the whole.
// The rest is water. Other is every other dissolved solid, counted as sucrose, as
// analysts count "dry extract".
type Solution struct {
	Ethanol, Glycerol, Glucose, Fructose, Sucrose, Other measure.MassFraction
}

// The most ethanol, % mass, that Must takes together with dissolved solids.
const sweetEthanolLimit = 30

// Must returns the density of a must or wine of known composition.
//
//	1/ρ = (w_ethanol + w_water)/ρ_ethanol-water(p, t) + Σᵢ wᵢ φᵢ(W, t)
//	φᵢ(W, t) = [1/ρᵢ(W, t) − (1 − W)/ρ_water(t)] / W
//
// The solvent is ethanol and water, p being the ethanol in it. Each sugar i adds
// the apparent volume φᵢ it has in plain water when W, all the sugars together, is
// dissolved there; glycerol that of its own mass fraction. With sucrose alone this is
// exactly Sucrose, with ethanol alone EthanolWater. Sugars' kinds are told apart; how
// ethanol changes the room a sugar takes is not known to us and left out.
//
// Valid:  t 0 to 40 °C; sugars and other solids together to 48 % mass (70 if none is
// glucose or fructose); glycerol to 20; ethanol to 30 (100 if nothing else is dissolved).
// Check:  within 0.13 kg/m³ of another accepted rule to 14 % vol and 104 g/L, 0.4 at
// 18 % vol and 208 g/L (TestMustAgainstTabarie). No printed table of the mixture could
// be read: take 0.5 kg/m³ as its uncertainty for sweet strong mead (docs/decisions/0004).
// Errors: *property.RangeError outside the valid range; never NaN.
// Source: ours, from [oiml-r22], [icumsa-sps4], [crc102-wolf] and [tanaka2001].
func Must(s Solution, t measure.Celsius) (measure.Density, error) {
	const call = "density.Must"
	if err := s.check(call); err != nil {
		return 0, err
	}
	if err := temperature(call, t); err != nil {
		return 0, err
	}
	return measure.Density(s.density(float64(t))), nil
}

func (s *Solution) sugars() measure.MassFraction { return s.Glucose + s.Fructose + s.Sucrose + s.Other }

func (s *Solution) check(call string) error {
	for _, part := range [...]struct {
		what string
		w    measure.MassFraction
	}{{"glucose", s.Glucose}, {"fructose", s.Fructose}, {"sucrose", s.Sucrose}, {"other solids", s.Other}} {
		if err := share(call, part.what, part.w, 0, 100); err != nil {
			return err
		}
	}
	sugarLimit, ethanolLimit := float64(sucroseLimit), 100.0
	if s.Glucose+s.Fructose > 0 {
		sugarLimit = hexoseLimit
	}
	if s.sugars()+s.Glycerol > 0 {
		ethanolLimit = sweetEthanolLimit
	}
	if err := share(call, "sugars and other solids", s.sugars(), 0, sugarLimit); err != nil {
		return err
	}
	if err := share(call, "glycerol", s.Glycerol, 0, glycerolLimit); err != nil {
		return err
	}
	if err := share(call, "ethanol", s.Ethanol, 0, ethanolLimit); err != nil {
		return err
	}
	return share(call, "all but water", s.Ethanol+s.Glycerol+s.sugars(), 0, 100)
}

// density is Must without its checks.
func (s *Solution) density(t float64) float64 {
	sugars, glycerol, ethanol := float64(s.sugars()), float64(s.Glycerol), float64(s.Ethanol)
	if sugars+glycerol == 0 {
		return ethanolWater(ethanol, t)
	}
	plain := water(t)
	solvent := 1 - sugars - glycerol
	volume := 0.0
	if solvent > 0 {
		volume = solvent / ethanolWater(ethanol/solvent, t)
	}
	if sugars > 0 {
		at20, shift := sucroseRise(sugars, t)
		volume += float64(s.Sucrose+s.Other) * apparent(plain, sugars, at20+shift)
		if s.Glucose > 0 {
			volume += float64(s.Glucose) * apparent(plain, sugars, polynomial(glucoseRise48[:], sugars)+shift)
		}
		if s.Fructose > 0 {
			volume += float64(s.Fructose) * apparent(plain, sugars, polynomial(fructoseRise48[:], sugars)+shift)
		}
	}
	if glycerol > 0 {
		_, shift := sucroseRise(glycerol, t)
		volume += glycerol * apparent(plain, glycerol, polynomial(glycerolRise20[:], glycerol)+shift)
	}
	return 1 / volume
}

// apparent returns φ = [1/ρ − (1 − w)/ρ_water] / w for ρ = ρ_water + w·rise, m³/kg,
// rearranged so that w does not stand under the line.
func apparent(plain, w, rise float64) float64 {
	rho := plain + w*rise
	return (rho - rise) / (rho * plain)
}
