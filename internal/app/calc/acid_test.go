package calc_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"skep/internal/app"
	"skep/internal/measure"
	"skep/internal/property"
	"skep/internal/reference/tables"
)

// 0.1 mL of 0.1 mol/L in 10 mL is 1 meq/L, of which the table prints g/L to 0.00001.
func TestTitrationAgainstEquivalents(t *testing.T) {
	a := answer(t, "acid", "naoh=5 mL; molarity=0.1; sample=10 mL")
	keys := map[string]string{"tartaric (L+)": "ta", "citric": "ta_citric", "malic (L-)": "ta_malic"}
	for _, row := range tables.Read("acidity/acids_pka_equivalents.csv") {
		key, ours := keys[row.Text("acid")]
		if !ours {
			continue
		}
		delete(keys, row.Text("acid"))
		if got, want := result(t, a, key).Value, 50*row.Number("g_per_L_of_acid_for_1_meq_per_L"); math.Abs(got-want) > 50*0.000005 {
			t.Errorf("50 meq/L as %s = %.5f g/L, want %.5f", row.Text("acid"), got, want)
		}
	}
	if len(keys) > 0 {
		t.Errorf("not in the table: %v", keys)
	}
}

// What takes 1 g/L as tartaric away, computed elsewhere to 0.001 g.
func TestCarbonateAgainstTable(t *testing.T) {
	rows := tables.Read("acidity/deacidification.csv")
	for _, row := range rows {
		name := strings.ReplaceAll(row.Text("agent"), " ", "-")
		said := fmt.Sprintf("ta=6 g/L; to-ta=5 g/L; volume=1 L; with=%s", name)
		a := answer(t, "acid", said)
		if got, want := result(t, a, "add").Value, row.Number("g_per_L_for_1_g_per_L_as_tartaric_neutralise_only"); math.Abs(got-want) > 0.0005 {
			t.Errorf("acid(%s) takes %.4f g, want %.3f", said, got, want)
		}
		if grape := strings.Contains(strings.Join(a.Notes, "\n"), "mead is not grape wine"); grape == (name == "calcium-carbonate") {
			t.Errorf("acid(%s) speaks of grape wine: %v", said, grape)
		}
	}
}

// A goal is reached: what comes out, put in as what was measured or what is in it, is there.
func TestAcidGoals(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ta := float64(rapid.IntRange(30, 90).Draw(t, "ta")) / 10
		to := float64(rapid.IntRange(30, 90).Draw(t, "to")) / 10
		said := fmt.Sprintf("ta=%.1f g/L; to-ta=%.1f g/L; volume=4 L", ta, to)
		a := answer(t, "acid", said)
		add := result(t, a, "add")
		if got := result(t, a, "ta_after").Value; math.Abs(got-to) > 1e-9 || add.Value < 0 || (add.Value == 0) != (ta == to) {
			t.Errorf("acid(%s) comes to %g g/L with %+v", said, got, add)
		}

		// In a liquid whose composition is known, the acid that is said to be added counts
		// as one more acid that is in it.
		citric := float64(rapid.IntRange(5, 40).Draw(t, "citric")) / 10
		is := fmt.Sprintf("honey=300 g/L; acid=%.1f g/L citric", citric)
		ph := result(t, answer(t, "acid", is), "ph").Value
		goal := ph - float64(rapid.IntRange(1, 30).Draw(t, "by"))/100
		if goal < 2.5 {
			return
		}
		toPH := answer(t, "acid", fmt.Sprintf("%s; to-ph=%.6f; with=malic; volume=1 L", is, goal))
		grams := result(t, toPH, "add").Value
		then := answer(t, "acid", fmt.Sprintf("%s; acid=%.9f g/L malic", is, grams))
		if got := result(t, then, "ph").Value; math.Abs(got-goal) > 1e-5 {
			t.Errorf("acid(%s) with %.4f g/L malic has pH %.6f, want %.6f", is, grams, got, goal)
		}
		if got, want := result(t, toPH, "ta_after").Value, result(t, then, "ta").Value; math.Abs(got-want) > 1e-6 {
			t.Errorf("acid(%s) with %.4f g/L malic has %.6f g/L, said %.6f", is, grams, want, got)
		}
	})
}

// A measured pH is believed, and moves the right way; a weaker buffer moves further.
func TestAcidFromMeasuredPH(t *testing.T) {
	const said = "ta=2.6 g/L; ph=3.10; ethanol=12 %vol; volume=4.5 L"
	up := answer(t, "acid", said+"; to-ph=3.40")
	if ph := result(t, up, "ph").Value; math.Abs(ph-3.10) > 1e-6 {
		t.Errorf("pH as measured, 3.10, is told as %g", ph)
	}
	if then := result(t, up, "ph_after"); math.Abs(then.Value-3.40) > 1e-6 {
		t.Errorf("pH then is %+v, want 3.40", then)
	}
	grams := result(t, up, "add").Value
	back := answer(t, "acid", fmt.Sprintf("%s; to-ta=%.9f g/L; with=potassium-bicarbonate", said, result(t, up, "ta_after").Value))
	if ph := result(t, back, "ph_after").Value; math.Abs(ph-3.40) > 1e-6 || math.Abs(result(t, back, "add").Value-grams) > 1e-6 {
		t.Errorf("the same by acidity: %+v g to pH %g, want %g g to 3.40", result(t, back, "add"), ph, grams)
	}
	down := answer(t, "acid", said+"; to-ta=4 g/L; with=citric")
	if ph := result(t, down, "ph_after"); ph.Value >= 3.10 || ph.Low >= ph.Value || !strings.Contains(strings.Join(down.Notes, "\n"), "yeast struggles") {
		t.Errorf("with acid pH %+v, notes %q", ph, down.Notes)
	}
	if notes := strings.Join(up.Notes, "\n"); strings.Contains(notes, "struggles") {
		t.Errorf("at pH 3.4 %q", notes)
	}
}

func TestAcidRefuses(t *testing.T) {
	for _, tt := range []struct{ said, field, err string }{
		{"", "ta", "is needed, or naoh or acid"},
		{"ta=6 g/L; naoh=5 mL", "naoh", "may contradict"},
		{"ta=6 g/L; honey=300 g/L", "honey", "may contradict"},
		{"naoh=5 mL; sample=10 mL", "molarity", "is needed"},
		{"naoh=5 mL; molarity=strong; sample=10 mL", "molarity", "no strength"},
		{"naoh=5 mL; molarity=0.1", "sample", "is needed"},
		{"naoh=5 mL; molarity=0.1; sample=0 mL", "sample", "is nothing"},
		{"ta=6 g/L; sample=10 mL", "sample", "goes with naoh"},
		{"acid=4 g/L citric; as=malic", "as", "goes with ta"},
		{"ta=6 g/L; potassium=0.3 g/L", "potassium", "goes with acid"},
		{"ta=6 g/L; ethanol=12 %vol", "ethanol", "needs the pH"},
		{"ta=6 g/L; to-ph=3.4; volume=4 L", "to-ph", "needs the pH"},
		{"ta=6 g/L; to-ta=5 g/L; to-ph=3.4; ph=3; volume=4 L", "to-ph", "may contradict"},
		{"ta=6 g/L; to-ta=5 g/L", "volume", "is needed"},
		{"ta=6 g/L; with=citric", "with", "goes with to-ta"},
		{"ta=6 g/L; to-ta=5 g/L; volume=4 L; with=citric", "to-ta", "not where citric acid leads"},
		{"ta=6 g/L; to-ta=7 g/L; volume=4 L; with=calcium-carbonate", "to-ta", "not where calcium carbonate leads"},
		{"acid=4 g/L citric; ph=3", "ph", "goes with ta or naoh"},
	} {
		_, err := named(t, "acid").Answer(words(tt.said), measure.Metric)
		var asked *app.AskError
		if !errors.As(err, &asked) || asked.Field != tt.field || !strings.Contains(err.Error(), tt.err) {
			t.Errorf("acid(%s) = %v, want %q of %s", tt.said, err, tt.err, tt.field)
		}
	}
	for _, tt := range []struct{ said, err string }{
		{"ta=6 g/L; ph=5.5", "pH 5.5 is outside 2.5 to 5"},
		{"ta=0.1 g/L; ph=2.6", "titratable acidity 0.1 g/L is outside"},
		{"acid=4 g/L citric; ethanol=18 %vol", "outside 0 to 15 % vol"},
		{"naoh=5 mL; molarity=9; sample=10 mL", "outside 0.001 to 2 mol/L"},
		{"acid=4 g/L citric; to-ph=2; volume=1 L", "pH 2 is outside 2.5 to 5"},
	} {
		_, err := named(t, "acid").Answer(words(tt.said), measure.Metric)
		var beyond *property.RangeError
		if !errors.As(err, &beyond) || !strings.Contains(err.Error(), tt.err) {
			t.Errorf("acid(%s) = %v, want %q", tt.said, err, tt.err)
		}
	}
}
