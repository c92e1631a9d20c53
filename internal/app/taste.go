package app

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"skep/internal/batch"
	"skep/internal/store"
)

// TasteWords is a verdict on the wine: a card, free words, or both.
type TasteWords struct {
	Jug     string `json:"-"`
	Words   string `json:"words,omitempty"`
	Look    string `json:"look,omitempty"`    // "pale gold, bright"
	Smell   string `json:"smell,omitempty"`   // "elderflower, a little bread"
	Taste   string `json:"taste,omitempty"`   // "dry, lemon"
	Balance string `json:"balance,omitempty"` // "sharp", "hot", "round"
	Score   int    `json:"score,omitempty"`   // 1 poor to the maker's best; 0: none
	When    string `json:"when,omitempty"`
	Instead int    `json:"instead,omitempty"`
}

// Taste records what it tasted like.
//
// Errors: *AskError; an unknown jug; a score outside the maker's scale.
func (c *Cellar) Taste(ctx context.Context, w TasteWords) (Recorded, error) {
	trim := strings.TrimSpace
	t := batch.Tasted{
		Words: trim(w.Words), Look: trim(w.Look), Smell: trim(w.Smell), Taste: trim(w.Taste), Balance: trim(w.Balance), Score: w.Score,
	}
	if t == (batch.Tasted{}) {
		return Recorded{}, ask("words", "", "", errors.New("say what it tasted like"))
	}
	best, err := c.BestScore(ctx)
	if err != nil {
		return Recorded{}, err
	}
	if w.Score < 0 || w.Score > best {
		return Recorded{}, ask("score", fmt.Sprint(w.Score), fmt.Sprintf("1 is poor, %d the best; leave it out to give none", best), fmt.Errorf("a score is 1 to %d", best))
	}
	if w.Score > 0 && best != usualBest {
		t.OutOf = best
	}
	return c.recordWords(ctx, w.Jug, w.When, w.Instead, t)
}

const (
	usualBest    = 10
	scoreSetting = "best score"
)

// BestScore is the highest score that the maker gives.
func (c *Cellar) BestScore(ctx context.Context) (int, error) {
	best := usualBest
	err := c.store.Get(ctx, store.Settings, scoreSetting, &best)
	if errors.Is(err, store.ErrNotFound) {
		return usualBest, nil
	}
	return best, err
}

// KeepBestScore makes it the maker's own scale; scores given before keep theirs.
//
// Errors: *AskError.
func (c *Cellar) KeepBestScore(ctx context.Context, best int) error {
	if best < 2 || best > 100 {
		return ask("score", fmt.Sprint(best), "5, 10, 20 and 100 are usual", errors.New("the best score is 2 to 100"))
	}
	return c.store.Put(ctx, store.Settings, scoreSetting, best)
}

// Tastings is how a wine was found to be over time.
type Tastings struct {
	Jug      string    `json:"jug"`
	Tastings []Tasting `json:"tastings"`          // the earliest first
	Changed  []string  `json:"changed,omitempty"` // between the first and the last, in words
}

// Tasting is one of them.
type Tasting struct {
	Number  int       `json:"number"` // of the entry in the jug's history
	At      time.Time `json:"at"`
	Age     string    `json:"age"` // "3 months in the bottle", "6 weeks after pitching"
	Words   string    `json:"words,omitempty"`
	Look    string    `json:"look,omitempty"`
	Smell   string    `json:"smell,omitempty"`
	Taste   string    `json:"taste,omitempty"`
	Balance string    `json:"balance,omitempty"`
	Score   int       `json:"score,omitempty"`
	OutOf   int       `json:"out_of,omitempty"`
}

// Tastings tells how a jug's wine was found to be, and how that changed.
//
// Errors: an unknown jug.
func (c *Cellar) Tastings(ctx context.Context, name string) (Tastings, error) {
	_, events, state, err := c.jug(ctx, name)
	if err != nil {
		return Tastings{}, err
	}
	return tastingsOf(events, state), nil
}

func tastingsOf(events []batch.Event, state batch.State) Tastings {
	all := Tastings{Jug: state.Name, Tastings: []Tasting{}}
	number := numbers(events)
	for _, d := range state.Tastings {
		t := Tasting{
			Number: number[d.ID], At: d.At, Age: age(state, d.At), Words: d.What.Words,
			Look: d.What.Look, Smell: d.What.Smell, Taste: d.What.Taste, Balance: d.What.Balance, Score: d.What.Score,
		}
		if t.Score > 0 {
			t.OutOf = d.What.Best()
		}
		all.Tastings = append(all.Tastings, t)
	}
	if n := len(all.Tastings); n > 1 {
		all.Changed = changed(all.Tastings[0], all.Tastings[n-1])
	}
	return all
}

// changed tells what the card says otherwise than before.
func changed(first, last Tasting) []string {
	var all []string
	for _, line := range []struct{ what, before, after string }{
		{"look", first.Look, last.Look},
		{"smell", first.Smell, last.Smell},
		{"taste", first.Taste, last.Taste},
		{"balance", first.Balance, last.Balance},
		{"score", score(first), score(last)},
	} {
		if line.before != "" && line.after != "" && !strings.EqualFold(line.before, line.after) {
			all = append(all, fmt.Sprintf("%s: from %q to %q", line.what, line.before, line.after))
		}
	}
	return all
}

func score(t Tasting) string {
	if t.Score == 0 {
		return ""
	}
	return fmt.Sprintf("%d of %d", t.Score, t.OutOf)
}

// age is how old a wine was: since its latest bottling, else since it was begun.
func age(state batch.State, at time.Time) string {
	since, what := state.Start(), "after the start"
	for _, b := range state.Bottlings {
		if !b.At.After(at) {
			since, what = b.At, "in the bottle"
		}
	}
	days := at.Sub(since).Hours() / 24
	switch {
	case days < 21:
		return fmt.Sprintf("%.0f days %s", days, what)
	case days < 70:
		return fmt.Sprintf("%.0f weeks %s", days/7, what)
	}
	return fmt.Sprintf("%.0f months %s", days/30.4, what)
}
