package app_test

import (
	"slices"
	"strings"
	"testing"

	"skep/internal/advice"
	"skep/internal/app"
)

func sheetOf(t *testing.T, c *app.Cellar, w app.PlanWords) app.Sheet {
	t.Helper()
	s, err := c.Sheet(t.Context(), planned(t, c, w))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func titles(s app.Sheet) []string {
	var all []string
	for _, step := range s.Steps {
		all = append(all, step.Title)
	}
	return all
}

func all(s app.Sheet) string {
	var b strings.Builder
	for _, step := range s.Steps {
		b.WriteString(strings.Join(append(step.Do, step.Caution...), "\n") + "\n")
	}
	return b.String()
}

// Flowers are infused in a pot, which cools before it meets glass or yeast; the
// cautions stand where they matter.
func TestSheetWithFlowers(t *testing.T) {
	c := planner(t)
	s := sheetOf(t, c, app.PlanWords{Jug: "4.5 L", Strength: "12", Yeast: "white wine", With: []string{"4 cups elderflower"}})
	order := []string{
		"Read this through, and gather", "Clean, then sanitise", "Infuse", "Let it cool in the pot",
		"Into the jug, and up to the mark", "Measure", "Pitch the yeast", "Lock, and put it in its place", "Feed the yeast", "Next look",
	}
	if got := titles(s); !slices.Equal(got, order) {
		t.Errorf("steps %q; want %q", got, order)
	}
	for title, caution := range map[string]string{
		order[0]: "hemlock", // of elderflower itself
		order[1]: advice.Caution(advice.Cleaners),
		order[2]: advice.Caution(advice.HotGlass),
		order[3]: "a step of",
		order[7]: advice.Caution(advice.NeverSeal),
	} {
		step := s.Steps[slices.Index(titles(s), title)]
		if !strings.Contains(strings.Join(step.Caution, "\n"), caution) {
			t.Errorf("%s: cautions %q; want %q", title, step.Caution, caution)
		}
	}
	if !strings.Contains(strings.Join(s.Steps[0].Caution, "\n"), advice.Caution(advice.Infants)) {
		t.Error("honey, and no word of infants")
	}
	cool := s.Steps[3]
	if !(cool.Minutes.Low > 0 && cool.Minutes.Low < cool.Minutes.Value && cool.Minutes.Value < cool.Minutes.High) {
		t.Errorf("cooling takes %+v", cool.Minutes)
	}
	if !(s.FullKg.Low < 4.6 && s.FullKg.High > 4.5) { // 4.23 L of must at 1.088
		t.Errorf("the must weighs %+v kg", s.FullKg)
	}
}

func TestSheetHeatsOnlyWhatThePlanNeeds(t *testing.T) {
	c := planner(t)
	cold := sheetOf(t, c, app.PlanWords{Jug: "4.5 L", Strength: "12", Yeast: "champagne"})
	if text := all(cold); strings.Contains(text, "boiling water") || !strings.Contains(strings.Join(titles(cold), " "), "Mix cold") {
		t.Errorf("a plain must is heated: %s", text)
	}
	warm := sheetOf(t, c, app.PlanWords{Jug: "4.5 L", Strength: "12", Yeast: "champagne", Heat: "warm", Room: "18 C"})
	if text := all(warm); !strings.Contains(text, "40 °C") || strings.Contains(text, "of boiling water") {
		t.Errorf("warm: %s", text)
	}
}

// A yeast that likes it cold, in a warm room: the pot must not be said to cool below the room.
func TestSheetInAWarmRoom(t *testing.T) {
	c := planner(t)
	s := sheetOf(t, c, app.PlanWords{Jug: "4.5 L", Strength: "8", Yeast: "lager", Room: "24 C", With: []string{"1 cup elderflower"}})
	if !strings.Contains(all(s), "stand the pot in cold water") {
		t.Errorf("steps: %s", all(s))
	}
}

// Feeding days on the sheet are those of the plan.
func TestSheetFeedsByThePlan(t *testing.T) {
	c := planner(t)
	p := planned(t, c, app.PlanWords{Jug: "4.5 L", Strength: "13", Yeast: "champagne", Room: "15 C"})
	s, err := c.Sheet(t.Context(), p)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range p.Nutrient.Feedings {
		if !strings.Contains(all(s), f.Words) {
			t.Errorf("the sheet does not feed %q", f.Words)
		}
	}
	if len(p.Nutrient.Feedings) < 2 {
		t.Errorf("in a cool room feeding is not parted: %+v", p.Nutrient.Feedings)
	}
}
