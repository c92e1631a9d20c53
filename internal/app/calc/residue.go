package calc

import (
	"fmt"

	"skep/internal/measure"
	"skep/internal/property/density"
)

const (
	// restoredSD is how well a sample is brought back to its volume, relative; assumed.
	restoredSD = 0.005
	// mixtureSD is how well the gravity of alcohol and sugar together is known: between the
	// 0.15 and 0.5 kg/m³ of docs/decisions/0004.
	mixtureSD = 0.0003
)

// strengthFromResidue goes by a sample before and after its alcohol was boiled off.
func (r *reckoning) strengthFromResidue() error {
	before, beforeAt, err := r.reading("before")
	if err != nil {
		return err
	}
	after, afterAt, err := r.reading("after")
	if err != nil {
		return err
	}
	first, err := corrected(before, beforeAt, 0)
	if err != nil {
		return err
	}
	last, err := corrected(after, afterAt, 0)
	if err != nil {
		return err
	}
	if last < first {
		return ask("after", r.said("after"), "was the volume restored, and are the two the right way round?",
			fmt.Errorf("%.4f is lighter than the wine was, %.4f", last, first))
	}
	restored := r.constant(1, restoredSD)
	mixture := r.constant(0, mixtureSD)
	var wine, residue measure.Gravity
	var extract measure.GramsPerLitre
	strength := func() (float64, error) {
		var err error
		if residue, err = corrected(after, afterAt, 0); err != nil {
			return 0, err
		}
		residue = 1 + (residue-1)*measure.Gravity(restored.is)
		var q measure.PercentVol
		err = settle(beforeAt, func(ethanol float64) (float64, error) {
			if wine, err = corrected(before, beforeAt, ethanol); err != nil {
				return 0, err
			}
			if q, extract, err = density.StrengthByResidue(wine+measure.Gravity(mixture.is), residue); err != nil {
				return 0, err
			}
			return float64(q) / 100 * density.EthanolAt20 / float64(density.FromGravity(wine)), nil
		})
		return float64(q), err
	}
	central, err := strength()
	if err != nil {
		return err
	}
	r.step("the residue, SG %.4f, is %.1f g/L of extract [icumsa-sps4], and so much is in the wine [oiv-as2-03b]", residue, extract)
	r.step("a wine of SG %.4f with that extract has %.2f %% vol [oiml-r22]", wine, central)
	r.note("The gravity of each reading counts in full: a thousandth is 0.8 %% vol. Read both at the same temperature, in the same glass.")
	return r.give(func() ([]float64, error) {
		q, err := strength()
		return []float64{q, float64(extract)}, err
	}, output{"ethanol", "alcohol", "% vol"}, output{"extract", "extract", "g/L"})
}
