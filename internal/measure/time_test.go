package measure_test

import (
	"errors"
	"testing"
	"time"

	"skep/internal/measure"
)

// A Wednesday afternoon, in a zone that is not UTC.
var wednesday = time.Date(2026, 5, 20, 16, 40, 30, 0, time.FixedZone("", 2*3600))

func TestParseTime(t *testing.T) {
	at := func(month time.Month, day, hour, minute int) time.Time {
		return time.Date(2026, month, day, hour, minute, 0, 0, wednesday.Location())
	}
	for _, tt := range []struct {
		words string
		want  time.Time
	}{
		{"now", wednesday},
		{"just now", wednesday},
		{"today", wednesday},
		{"2 hours ago", wednesday.Add(-2 * time.Hour)},
		{"half an hour ago", wednesday.Add(-30 * time.Minute)},
		{"about an hour ago", wednesday.Add(-time.Hour)},
		{"10 minutes ago", wednesday.Add(-10 * time.Minute)},
		{"3 days ago", at(5, 17, 16, 40)},
		{"a week ago", at(5, 13, 16, 40)},
		{"3 days ago in the evening", at(5, 17, 19, 0)},
		{"yesterday", at(5, 19, 12, 0)},
		{"Yesterday evening", at(5, 19, 19, 0)},
		{"yesterday at 18:30", at(5, 19, 18, 30)},
		{"18:30 yesterday", at(5, 19, 18, 30)},
		{"this morning", at(5, 20, 8, 0)},
		{"this afternoon", at(5, 20, 15, 0)},
		{"this evening", wednesday}, // still to come: now
		{"tonight", wednesday},
		{"last night", at(5, 19, 22, 0)},
		{"noon", at(5, 20, 12, 0)},
		{"tomorrow", at(5, 21, 12, 0)},
		{"wednesday", wednesday},
		{"last wednesday", at(5, 13, 12, 0)},
		{"monday", at(5, 18, 12, 0)},
		{"thursday", at(5, 14, 12, 0)},
		{"on Monday morning", at(5, 18, 8, 0)},
		{"last sunday 18:30", at(5, 17, 18, 30)},
		{"2026-05-03", at(5, 3, 12, 0)},
		{"2026-05-03 18:30", at(5, 3, 18, 30)},
		{"2026-05-03T18:30", at(5, 3, 18, 30)},
		{"2026-05-03T18:30:00Z", at(5, 3, 20, 30)},
		{"2026-07-01", at(7, 1, 12, 0)}, // to come: not refused here
		{"3 May", at(5, 3, 12, 0)},
		{"3rd of May", at(5, 3, 12, 0)},
		{"May 3rd, 2026", at(5, 3, 12, 0)},
		{"3 May 2026 6pm", at(5, 3, 18, 0)},
		{"3 may 2026 6:15 pm", at(5, 3, 18, 15)},
		{"12 am 3 May", at(5, 3, 0, 0)},
		{"3 June", at(6, 3, 12, 0).AddDate(-1, 0, 0)}, // the latest, so last year's
		{"June 3", at(6, 3, 12, 0).AddDate(-1, 0, 0)},
		{"29 Feb", time.Date(2024, 2, 29, 12, 0, 0, 0, wednesday.Location())},
		{"18:30", at(5, 20, 18, 30)},
		{"6pm", at(5, 20, 18, 0)},
	} {
		got, err := measure.ParseTime(tt.words, wednesday)
		if err != nil || got.Sub(tt.want).Abs() > time.Minute || got.Location() != wednesday.Location() {
			t.Errorf("ParseTime(%q) = %v, %v, want %v", tt.words, got, err, tt.want)
		}
	}
	for _, words := range []string{
		"", "soon", "last", "3/5/2026", "3.5.2026", "31 June", "2026-02-30", "2026-13-01", "0000-01-01", "25:00", "13pm", "18:61",
		"3", "yesterday today", "18:30 19:30", "2 hours", "2 kg ago", "now then", "2 hours ago yesterday", "last 2026", "3 May 1066", "\xff",
	} {
		got, err := measure.ParseTime(words, wednesday)
		var fault *measure.ParseError
		if !errors.As(err, &fault) {
			t.Errorf("ParseTime(%q) = %v, %v, want a *ParseError", words, got, err)
		}
	}
}

func TestShowAge(t *testing.T) {
	for _, tt := range []struct {
		later time.Duration
		want  string
	}{{0, "day 0"}, {7 * time.Hour, "day 0"}, {8 * time.Hour, "day 1"}, {12 * 24 * time.Hour, "day 12"}} {
		if got := measure.ShowAge(wednesday, wednesday.Add(tt.later)); got != tt.want {
			t.Errorf("ShowAge(+%v) = %q, want %q", tt.later, got, tt.want)
		}
	}
}

func FuzzParseTime(f *testing.F) {
	for _, words := range []string{"now", "2 hours ago", "last sunday 18:30", "3 May 2026 6pm", "2026-05-03T18:30", "May 3rd, 2026", "29 feb", "3/5/26"} {
		f.Add(words)
	}
	f.Fuzz(func(t *testing.T, words string) {
		got, err := measure.ParseTime(words, wednesday)
		if err != nil {
			mustMark(t, err)
			return
		}
		again, err := measure.ParseTime(measure.ShowTime(got), wednesday)
		if err != nil || !again.Equal(got.Truncate(time.Minute)) {
			t.Errorf("ParseTime(%q) = %v, printed %q, read back %v, %v", words, got, measure.ShowTime(got), again, err)
		}
	})
}
