package calc

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"skep/internal/reference"
)

// lawful says what laws and codes allow of a substance at the most, place by place; as
// information, for a maker who sells nothing.
func lawful(substance string) string {
	type ceiling struct {
		where, doubt string
		least, most  float64
	}
	var all []ceiling
	unit := ""
	for _, l := range reference.Limits(substance) {
		if strings.HasPrefix(l.What, "a label") {
			continue
		}
		unit = l.Unit
		doubt := ""
		if l.Status != "read" {
			doubt = l.Status
		}
		c := ceiling{l.Where, doubt, l.Value, l.Value}
		if i := slices.IndexFunc(all, func(o ceiling) bool { return o.where == c.where && o.doubt == c.doubt }); i >= 0 {
			all[i].least, all[i].most = min(all[i].least, l.Value), max(all[i].most, l.Value)
			continue
		}
		all = append(all, c)
	}
	slices.SortStableFunc(all, func(a, b ceiling) int { return cmp.Compare(a.least, b.least) })
	var said []string
	for _, c := range all {
		words := fmt.Sprintf("%g", c.least)
		if c.most > c.least {
			words += fmt.Sprintf(" to %g", c.most)
		}
		words += " (" + c.where
		if c.doubt != "" {
			words += "; " + c.doubt
		}
		said = append(said, words+")")
	}
	return fmt.Sprintf("what laws allow of %s at the most, %s, by kind of drink: %s", substance, unit, strings.Join(said, ", "))
}
