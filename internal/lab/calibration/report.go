package calibration

import (
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"
	"text/tabwriter"
)

// heading of the tables, and what a line of scores says under it.
var heading = []string{"forecasts", "readings", "covered", "below", "above", "band", "density error", "bias", "hour error", "bias", "hours"}

func (s Score) cells() []string {
	return []string{
		strconv.Itoa(s.Forecasts), strconv.Itoa(s.Readings),
		percent(s.Coverage), percent(s.Below), percent(s.Above),
		figure(s.Width, "%.4f"), figure(s.DensityError, "%.4f"), figure(s.DensityBias, "%+.4f"),
		percent(s.TimeError), signed(s.TimeBias), strconv.Itoa(s.Timed),
	}
}

const none = "-"

func percent(v *float64) string {
	if v == nil {
		return none
	}
	return fmt.Sprintf("%.0f %%", 100**v)
}

// signed is a share with its sign, in per cent.
func signed(v *float64) string {
	if v == nil {
		return none
	}
	return fmt.Sprintf("%+.0f %%", 100**v)
}

func figure(v *float64, format string) string {
	if v == nil {
		return none
	}
	return fmt.Sprintf(format, *v)
}

// section is one table: named groups under a title.
type section struct {
	title string
	lines []Group
}

func (r Report) sections() []section {
	all := section{"", []Group{{"all", r.Score}}}
	series := section{title: "series"}
	for _, s := range r.Series {
		series.lines = append(series.lines, Group{s.ID + ", " + s.Kind, s.Score})
	}
	return []section{
		all,
		{"readings known", r.ByShare},
		{"dataset", r.ByDataset},
		{"kind of reading", r.ByKind},
		{"yeast, as understood", r.ByYeast},
		series,
	}
}

const legend = `covered: share of the later readings within the 80 % band of a reading (the state's, and
the reading's own spread); below and above: read lower, or higher, than the band. band: its
width, density error: of the last reading, both SG 20/20; for CO2 and weights, by the density
that the must loses with so much. hour error: of the hour of 95 % of the drop, where that was
still to come; hours: how many were. Errors and bands are medians; a bias is forecast minus
reading, its sign kept.
`

// WriteText writes the report for a terminal.
func (r Report) WriteText(w io.Writer) error {
	columns := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	for _, s := range r.sections() {
		if len(s.lines) == 0 {
			continue
		}
		fmt.Fprintf(columns, "%s\t%s\t\n", strings.Join(heading, "\t"), s.title)
		for _, g := range s.lines {
			fmt.Fprintf(columns, "%s\t%s\t\n", strings.Join(g.cells(), "\t"), g.Name)
		}
		fmt.Fprintln(columns)
	}
	if err := columns.Flush(); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "%s\nTaken where the data are silent:\n%s%s", legend, list(r.Assumptions), r.leftOut())
	return err
}

func list(lines []string) string {
	var text strings.Builder
	for _, line := range lines {
		fmt.Fprintf(&text, "- %s\n", line)
	}
	return text.String()
}

func (r Report) leftOut() string {
	if len(r.LeftOut) == 0 {
		return ""
	}
	var lines []string
	for _, l := range r.LeftOut {
		lines = append(lines, strings.TrimSpace(l.ID+" "+l.Kind)+": "+l.Reason)
	}
	return "\nLeft out:\n" + list(lines)
}

// WriteMarkdown writes the tables of docs/calibration.md.
func (r Report) WriteMarkdown(w io.Writer) error {
	var text strings.Builder
	head := fmt.Sprintf("| | %s |\n| --- |%s\n", strings.Join(heading, " | "), strings.Repeat(" ---: |", len(heading)))
	text.WriteString(head)
	for _, s := range r.sections() {
		if s.title == "series" {
			fmt.Fprintf(&text, "\n<details><summary>each series</summary>\n\n%s", head)
		} else if s.title != "" {
			fmt.Fprintf(&text, "| *%s* |%s\n", s.title, strings.Repeat(" |", len(heading)))
		}
		for _, g := range s.lines {
			fmt.Fprintf(&text, "| %s | %s |\n", g.Name, strings.Join(g.cells(), " | "))
		}
	}
	fmt.Fprintf(&text, "\n</details>\n%s", r.leftOut())
	_, err := io.WriteString(w, text.String())
	return err
}

// WriteJSON writes the report as one JSON value.
func (r Report) WriteJSON(w io.Writer) error {
	out := json.NewEncoder(w)
	out.SetEscapeHTML(false)
	out.SetIndent("", "  ")
	return out.Encode(r)
}
