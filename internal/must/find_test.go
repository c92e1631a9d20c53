package must

import (
	"errors"
	"slices"
	"testing"
)

func TestFind(t *testing.T) {
	for said, want := range map[string]string{
		"honey":                   "honey",
		"  HONEY ":                "honey",
		"wild heather honey":      "heather honey",
		"our neighbour's honey":   "honey",
		"Orange-Blossom Honey":    "orange honey",
		"mad honey":               "rhododendron honey",
		"sugar":                   "white sugar",
		"light brown sugar":       "brown sugar",
		"DAP":                     "diammonium phosphate",
		"fresh ripe blackberries": "blackberry",
		"Peaches":                 "peach",
		"cherries":                "sweet cherry",
		"chopped apples":          "apple",
		"lemons":                  "lemon juice",
		"elderflower heads":       "elderflower",
		"heads of elderflower":    "elderflower",
		"dandelion petals":        "dandelion petal",
		"cloves":                  "clove",
		"yeast hulls":             "yeast hull",
		"tea leaves":              "tea leaf",
		"molasses":                "molasses",
		"confectioner's sugar":    "powdered sugar",
		"dried apricots":          "dried apricot",
		"potassium metabisulfite": "potassium metabisulphite",
		"roselle":                 "dried hibiscus",
		"small wild plums":        "plum",
	} {
		i, err := Find(said, nil)
		if err != nil || i.Name != want {
			t.Errorf("Find(%q) = %q, %v; want %q", said, i.Name, err, want)
		}
	}
}

// What is named after a known thing is not that thing: some of these are poisonous.
func TestNamesakesAreNotFound(t *testing.T) {
	for _, said := range []string{
		"", "  ", "!?", "wild carrot", "red elderberries", "dwarf elderberry", "laurel cherry", "jerusalem cherries",
		"osage orange", "custard apple", "mock orange blossom", "dried elderberry", "water hemlock", "rhubarb leaves",
		"elder leaves", "lily of the valley", "apricot kernels", "coconut water", "honey mushroom", "fresh",
	} {
		i, err := Find(said, nil)
		var unknown *UnknownIngredientError
		if !errors.As(err, &unknown) || unknown.Name != said || unknown.Hint() == "" {
			t.Errorf("Find(%q) = %q, %v; want a *UnknownIngredientError", said, i.Name, err)
		}
	}
}

func TestMisspelt(t *testing.T) {
	for said, want := range map[string]string{
		"blakberry": "blackberry", "hony": "honey", "strawbery": "strawberry", "heather hony": "heather honey",
		"rasberries": "raspberry", "metabisulfit": "potassium metabisulphite", "dandylion": "dandelion petal",
	} {
		_, err := Find(said, nil)
		var unknown *UnknownIngredientError
		if !errors.As(err, &unknown) || !slices.Contains(unknown.Suggestions, want) {
			t.Errorf("Find(%q): %v, suggestions %q; want %q among them", said, err, unknown.Suggestions, want)
		}
	}
}

func TestOwnIngredientsComeFirst(t *testing.T) {
	old := Ingredient{Name: "Heather Honey", Source: "last year"}
	now := Ingredient{Name: "heather honey", Aliases: []string{"Moor honey"}, Source: "this year"}
	own := []Ingredient{old, now, {Name: ""}}
	for said, want := range map[string]string{
		"heather honey": "this year", "wild heather honey": "this year", "moor honey": "this year",
	} {
		if i, err := Find(said, own); err != nil || i.Source != want {
			t.Errorf("Find(%q) = %q, %v; want that of %s", said, i.Source, err, want)
		}
	}
	if i, err := Find("honey", own); err != nil || i.Name != "honey" {
		t.Errorf("Find(honey) = %q, %v; the table is still there", i.Name, err)
	}
}

// What is handed out may be written to.
func TestTheTableIsNotShared(t *testing.T) {
	Ingredients()[0].Name = "spoilt"
	if got := Ingredients()[0].Name; got == "spoilt" {
		t.Error("writing to what Ingredients returned changed the table")
	}
}

func FuzzFind(f *testing.F) {
	for _, s := range []string{"honey", "Wild Heather Honey", "3 lemons", "blakberry", "ß's", "\xff honey", "leaves", "of the"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, said string) {
		i, err := Find(said, nil)
		if err == nil {
			if again, err := Find(i.Name, nil); err != nil || again.Name != i.Name {
				t.Errorf("Find(%q) = %q, which is found as %q, %v", said, i.Name, again.Name, err)
			}
			return
		}
		var unknown *UnknownIngredientError
		if !errors.As(err, &unknown) || len(unknown.Suggestions) > 3 {
			t.Fatalf("Find(%q): %v", said, err)
		}
		for _, name := range unknown.Suggestions {
			if _, err := Find(name, nil); err != nil {
				t.Errorf("Find(%q) suggests %q, which is not found", said, name)
			}
		}
	})
}

func BenchmarkFind(b *testing.B) {
	for b.Loop() {
		if _, err := Find("wild heather honey", nil); err != nil {
			b.Fatal(err)
		}
	}
}
