package app

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"skep/internal/measure"
)

func TestFurther(t *testing.T) {
	for _, tt := range []struct {
		a, b measure.Range
		want string
	}{
		{measure.Normal(12, 0.3, "% vol"), measure.Normal(13.92, 0.3, "% vol"), "1.9 % vol more"},
		{measure.Normal(12, 0.3, "% vol"), measure.Normal(12.01, 0.3, "% vol"), ""},
		{measure.Normal(1.098, 0.002, "SG 20/20"), measure.Normal(1.090, 0.002, "SG 20/20"), "0.008 less"},
		{measure.Normal(1040, 2, "g"), measure.Normal(1265, 2, "g"), "225 g more"},
		{measure.Normal(1040, 2, "g"), measure.Normal(1040.2, 2, "g"), ""},
		{measure.RangeOf(nil, "L"), measure.RangeOf(nil, "L"), ""},
		{measure.Normal(4, 0.1, "L"), measure.RangeOf(nil, "L"), "known of one only"},
	} {
		if got := further(tt.a, tt.b); got != tt.want {
			t.Errorf("further(%v, %v) = %q, want %q", tt.a, tt.b, got, tt.want)
		}
	}
}

// A plan beside itself differs in nothing; one of more strength says so where it must.
func TestComparePlans(t *testing.T) {
	c, err := Open(t.Context(), filepath.Join(t.TempDir(), "cellar.db"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	light, err := c.Plan(t.Context(), PlanWords{Jug: "4.5 L", Strength: "9", Yeast: "champagne", Prices: []string{"honey 12 per kg"}})
	if err != nil {
		t.Fatal(err)
	}
	strong, err := c.Plan(t.Context(), PlanWords{Jug: "4.5 L", Strength: "13", Yeast: "champagne", With: []string{"1 lemon"}, Prices: []string{"honey 12 per kg"}})
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range ComparePlans(light, light) {
		if d.Says != "" || d.One != d.Two {
			t.Errorf("a plan beside itself: %+v, want no difference", d)
		}
	}
	said := map[string]string{}
	for _, d := range ComparePlans(light, strong) {
		said[d.What] = d.Says
	}
	for what, want := range map[string]string{
		"jug": "", "yeast": "", "lemon juice": "only in the second", "honey": "more", "strength": "% vol more",
		"original gravity": "more", "cost": "more", "water": "less",
	} {
		if got, ok := said[what]; !ok || want == "" && got != "" || !strings.HasSuffix(got, want) {
			t.Errorf("%s: %q, want %q", what, got, want)
		}
	}
}
