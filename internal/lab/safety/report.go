package safety

import (
	"encoding/json"
	"fmt"
	"io"
	"text/tabwriter"

	"gonum.org/v1/gonum/stat/distuv"

	"skep/internal/advice"
	"skep/internal/measure"
)

// Report is what came of a run.
type Report struct {
	Date   string  `json:"date"`
	Seed   uint64  `json:"seed"`
	Jugs   int     `json:"jugs"`
	Claims []Claim `json:"claims"`
	Kinds  []Kind  `json:"by_trouble"` // and all of them, last
	Wrong  []int   `json:"wrong"`      // numbers of the jugs that were unsafe or over the limit; Play tells their story
}

// Claim is a number to meet.
type Claim struct {
	What  string        `json:"what"`
	Count int           `json:"count"`
	Of    int           `json:"of"`
	Share measure.Range `json:"share"` // in per cent, with its 95 % bounds
	Asked string        `json:"asked"`
	Met   bool          `json:"met"`
}

// Kind counts the jugs of one kind of trouble.
type Kind struct {
	Trouble    Trouble `json:"trouble"`
	Jugs       int     `json:"jugs"`
	Finished   int     `json:"finished"`    // told so, or ready
	Unsafe     int     `json:"unsafe"`      // of these, with more than Beyond over what the bottle bears
	Still      int     `json:"still"`       // told to be ready, still
	StillBurst int     `json:"still_burst"` // of these, over the limit
	Other      int     `json:"other"`       // told to be ready, stabilised or sparkling
	OtherBurst int     `json:"other_burst"`
	Sweet      int     `json:"sweet"` // told to have stopped sweet
	Went       int     `json:"went"`  // of these, not over
	Due        int     `json:"due"`   // truly over and dry at the second asked-for reading
	Known      int     `json:"known"`
	Cleared    int     `json:"cleared"`
}

// NewReport counts.
func NewReport(date string, seed uint64, all []Outcome) Report {
	r := Report{Date: date, Seed: seed, Jugs: len(all), Wrong: []int{}}
	for _, t := range append([]Trouble{NoTrouble}, Troubles...) {
		k := Kind{Trouble: t}
		for _, o := range all {
			if o.Trouble == t {
				k.count(o)
			}
		}
		r.Kinds = append(r.Kinds, k)
	}
	sum := Kind{Trouble: "all"}
	for _, o := range all {
		sum.count(o)
		if o.Unsafe || o.Burst {
			r.Wrong = append(r.Wrong, o.Number)
		}
	}
	r.Kinds = append(r.Kinds, sum)
	const most, least = 0.001, 0.9
	atMost := func(what string, count, of int) {
		r.Claims = append(r.Claims, Claim{what, count, of, share(count, of), "1 in 1,000 at most", float64(count) <= most*float64(of)})
	}
	atLeast := func(what string, count, of int) {
		r.Claims = append(r.Claims, Claim{what, count, of, share(count, of), "90 % at least", float64(count) >= least*float64(of)})
	}
	atMost(fmt.Sprintf("told finished or ready, and more than %g g/L over what the bottle bears", Beyond), sum.Unsafe, sum.Finished)
	atMost("told ready, still, and over the bottle's limit within a year at its warmest", sum.StillBurst, sum.Still)
	atLeast("truly over and dry at the second asked-for reading, told finished within 7 days", sum.Known, sum.Due)
	atLeast("the same, told ready within 7 days", sum.Cleared, sum.Due)
	return r
}

func (k *Kind) count(o Outcome) {
	add := func(n *int, is bool) {
		if is {
			*n++
		}
	}
	still := o.Answer == advice.ReadyStill
	other := o.Answer != advice.NotYet && !still
	k.Jugs++
	add(&k.Finished, o.Finished)
	add(&k.Unsafe, o.Unsafe)
	add(&k.Still, still)
	add(&k.StillBurst, still && o.Burst)
	add(&k.Other, other)
	add(&k.OtherBurst, other && o.Burst)
	add(&k.Sweet, o.Sweet)
	add(&k.Went, o.Went)
	add(&k.Due, o.Due)
	add(&k.Known, o.Known)
	add(&k.Cleared, o.Cleared)
}

// share is a share in per cent with its exact binomial bounds (Clopper and Pearson), 95 %.
func share(count, of int) measure.Range {
	if of == 0 {
		return measure.RangeOf(nil, "%")
	}
	n, k := float64(of), float64(count)
	r := measure.Range{Value: 100 * k / n, Low: 0, High: 100, Unit: "%"}
	if count > 0 {
		r.Low = 100 * distuv.Beta{Alpha: k, Beta: n - k + 1}.Quantile(0.025)
	}
	if count < of {
		r.High = 100 * distuv.Beta{Alpha: k + 1, Beta: n - k}.Quantile(0.975)
	}
	return r
}

// Missed are the claims that are not met.
func (r Report) Missed() []Claim {
	var missed []Claim
	for _, c := range r.Claims {
		if !c.Met {
			missed = append(missed, c)
		}
	}
	return missed
}

func (c Claim) share() string {
	if c.Of == 0 {
		return "no such jug"
	}
	return fmt.Sprintf("%.2f %% (%.2f to %.2f)", c.Share.Value, c.Share.Low, c.Share.High)
}

// met is the word for it. One in a thousand cannot be counted in some hundred.
func (c Claim) met() string {
	switch {
	case !c.Met:
		return "not met"
	case c.Count == 0 && c.Of < 1000:
		return "none, in too few to tell"
	}
	return "met"
}

var heads = []string{"trouble", "jugs", "told finished", "unsafe", "ready, still", "over the limit", "ready, other", "over the limit", "stopped sweet", "went on", "over and dry", "told so in 7 days", "ready in 7 days"}

func (k Kind) cells() []any {
	return []any{k.Trouble, k.Jugs, k.Finished, k.Unsafe, k.Still, k.StillBurst, k.Other, k.OtherBurst, k.Sweet, k.Went, k.Due, k.Known, k.Cleared}
}

// WriteText writes it for a terminal.
func (r Report) WriteText(w io.Writer) error {
	columns := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(columns, "%d jugs of seed %d\n\n", r.Jugs, r.Seed)
	for _, c := range r.Claims {
		fmt.Fprintf(columns, "%s\t%d of %d\t%s\t%s\t%s\n", c.met(), c.Count, c.Of, c.share(), c.Asked, c.What)
	}
	fmt.Fprintln(columns)
	for i, h := range heads {
		fmt.Fprint(columns, h, map[bool]string{true: "\n", false: "\t"}[i == len(heads)-1])
	}
	for _, k := range r.Kinds {
		for i, c := range k.cells() {
			fmt.Fprint(columns, c, map[bool]string{true: "\n", false: "\t"}[i == len(heads)-1])
		}
	}
	if len(r.Wrong) > 0 {
		fmt.Fprintf(columns, "\nunsafe or over the limit: jugs %d\n", r.Wrong)
	}
	return columns.Flush()
}

// WriteMarkdown writes the tables of docs/safety.md.
func (r Report) WriteMarkdown(w io.Writer) error {
	_, err := fmt.Fprintf(w, "%d jugs of seed %d, played on %s.\n\n| | jugs | share, and its 95 %% bounds | asked | |\n| --- | ---: | ---: | --- | --- |\n", r.Jugs, r.Seed, r.Date)
	for _, c := range r.Claims {
		if err == nil {
			_, err = fmt.Fprintf(w, "| %s | %d of %d | %s | %s | %s |\n", c.What, c.Count, c.Of, c.share(), c.Asked, c.met())
		}
	}
	line := func(cells ...any) {
		for _, c := range cells {
			if err == nil {
				_, err = fmt.Fprintf(w, "| %v ", c)
			}
		}
		if err == nil {
			_, err = fmt.Fprintln(w, "|")
		}
	}
	if err == nil {
		_, err = fmt.Fprintln(w)
	}
	var names, rules []any
	for i, h := range heads {
		names = append(names, h)
		rules = append(rules, map[bool]string{true: "---", false: "---:"}[i == 0])
	}
	line(names...)
	line(rules...)
	for _, k := range r.Kinds {
		line(k.cells()...)
	}
	return err
}

// WriteJSON writes it as JSON.
func (r Report) WriteJSON(w io.Writer) error {
	out := json.NewEncoder(w)
	out.SetEscapeHTML(false)
	out.SetIndent("", "  ")
	return out.Encode(r)
}
