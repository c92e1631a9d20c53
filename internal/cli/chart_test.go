package cli

import (
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"skep/internal/app"
	"skep/internal/measure"
)

// courseOf falls from 1.100 to 1.000 in 20 days, ± 0.010, with a reading on each fifth.
func courseOf(now int) app.Course {
	start := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
	c := app.Course{Label: "Gravity", Now: start.AddDate(0, 0, now), Finish: &app.Dates{From: start.AddDate(0, 0, 15), To: start.AddDate(0, 0, 18), Chance: 1}}
	for d := range 21 {
		at, v := start.AddDate(0, 0, d), 1.1-0.005*float64(d)
		c.Days = append(c.Days, app.CourseDay{At: at, Range: measure.Range{Value: v, Low: v - 0.01, High: v + 0.01}})
		if d%5 == 0 && d <= now {
			c.Seen = append(c.Seen, app.CourseSeen{At: at, Range: measure.Exact(v, "SG")})
		}
	}
	return c
}

func TestDrawCourse(t *testing.T) {
	for _, ink := range []ink{unicodeInk, asciiInk} {
		drawn := drawCourse(courseOf(10), ink)
		lines := strings.Split(strings.TrimRight(drawn, "\n"), "\n")
		if len(lines) != chartHeight+2 {
			t.Fatalf("%d lines, want %d\n%s", len(lines), chartHeight+2, drawn)
		}
		for _, l := range lines {
			if n := utf8.RuneCountInString(l); n > chartWidth {
				t.Errorf("a line of %d columns: %q", n, l)
			}
			if ink == asciiInk && plain(l) != l {
				t.Errorf("not ASCII: %q", l)
			}
		}
		if n := strings.Count(strings.Join(lines[:chartHeight], ""), string(ink.read)); n != 3 {
			t.Errorf("%d readings are drawn, want 3\n%s", n, drawn)
		}
		// The first reading is where 1.100 and 1 May are, the last at today: half way.
		if first := []rune(lines[1]); first[chartLabel+1] != ink.read {
			t.Errorf("1.100 is not read on the first day: %q", lines[1])
		}
		foot := []rune(lines[chartHeight])
		begins, ends := strings.IndexRune(string(foot), ink.begins), strings.IndexRune(string(foot), ink.ends)
		if begins < 0 || ends < begins {
			t.Errorf("no days of the end on the axis: %q", string(foot))
		}
		for i, r := range foot {
			share := float64(i-chartLabel-1) / float64(chartWidth-chartLabel-2) * 20
			if window := r == ink.begins || r == ink.window || r == ink.ends; window != (share > 14.9 && share < 18.2) {
				t.Errorf("day %.1f is %q on the axis", share, r)
			}
		}
		days := lines[chartHeight+1]
		if !strings.Contains(days, "1 May") || !strings.Contains(days, "today") || !strings.HasSuffix(days, "21 May") {
			t.Errorf("days under the axis: %q", days)
		}
		if !strings.HasPrefix(lines[0], "   1.110") || !strings.HasPrefix(lines[chartHeight-1], "   0.990") {
			t.Errorf("the axis runs from %q to %q, want 1.110 to 0.990", lines[0], lines[chartHeight-1])
		}
	}
	// What is past is drawn through, what is to come is not.
	if past, coming := drawCourse(courseOf(20), asciiInk), drawCourse(courseOf(0), asciiInk); strings.Contains(strings.Join(strings.Split(past, "\n")[:chartHeight], ""), "..") || strings.Contains(strings.Join(strings.Split(coming, "\n")[:chartHeight], ""), "--") {
		t.Errorf("past and future look alike\n%s\n%s", past, coming)
	}
	if drawn := drawCourse(app.Course{}, unicodeInk); drawn != "" {
		t.Errorf("nothing is drawn as %q", drawn)
	}
}

func TestPlain(t *testing.T) {
	if got := plain("20 °C ± 1.5, 6 × 750 mL, naïve"); got != "20 deg C +/- 1.5, 6 x 750 mL, na?ve" {
		t.Errorf("plain = %q", got)
	}
}
