package app

import (
	"context"
	"sync"
	"time"
)

// background works out where jugs stand while people look at pages: one jug at a time,
// the one asked for last first. What it has not come to when the program ends is found
// again by store.Stale.
type background struct {
	mu      sync.Mutex
	running bool
	asked   []string // ids of jugs, the latest last
	wake    chan struct{}
}

// InBackground returns the same cellar for pages that nobody may wait for, and the work
// that goes on behind them until ctx ends. While it does, what is written is answered
// before the new forecast is there; Kept says whether it is. When it does not, all is as
// in the cellar itself.
func (c *Cellar) InBackground() (pages *Cellar, work func(context.Context) error) {
	b := &background{wake: make(chan struct{}, 1)}
	behind := *c
	behind.background = b
	return &behind, func(ctx context.Context) error { return b.work(ctx, c) }
}

// ask asks for a jug to be worked out. False when nobody will.
func (b *background) ask(id string) bool {
	if b == nil {
		return false
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if !b.running {
		return false
	}
	b.asked = append(b.asked, id)
	select {
	case b.wake <- struct{}{}:
	default: // it is awake already
	}
	return true
}

// next is the jug asked for last; "" none.
func (b *background) next() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	if len(b.asked) == 0 {
		return ""
	}
	id := b.asked[len(b.asked)-1]
	rest := b.asked[:0]
	for _, other := range b.asked {
		if other != id {
			rest = append(rest, other)
		}
	}
	b.asked = rest
	return id
}

// on says that somebody works.
func (b *background) on() bool {
	if b == nil {
		return false
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.running
}

func (b *background) run(is bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.running = is
}

// rounds is how often the work looks for what other programs wrote.
const rounds = time.Minute

// work works until ctx ends: first what pages asked for, then what was written without
// being worked out, then what was last worked out on an earlier day, for a forecast of
// yesterday says where a jug stood yesterday.
//
// Errors: of the store.
func (b *background) work(ctx context.Context, c *Cellar) error {
	b.run(true)
	defer b.run(false)
	var behind []string
	var whole time.Time // when all jugs were last seen to be of that day
	ticker := time.NewTicker(rounds)
	defer ticker.Stop()
	for ctx.Err() == nil {
		id := b.next()
		if id == "" && len(behind) > 0 {
			id, behind = behind[0], behind[1:]
		}
		if id != "" {
			if _, err := c.refresh(ctx, id); err != nil && ctx.Err() == nil {
				return err
			}
			continue
		}
		var err error
		behind, err = c.stale(ctx)
		if err == nil && len(behind) == 0 && !c.today(whole) {
			behind, err = c.old(ctx)
			whole = c.Now()
		}
		if err != nil && ctx.Err() == nil {
			return err
		}
		if len(behind) > 0 {
			continue
		}
		select {
		case <-ctx.Done():
		case <-b.wake:
		case <-ticker.C:
		}
	}
	return nil
}

// old are the jugs of which what is kept was worked out on an earlier day.
func (c *Cellar) old(ctx context.Context) ([]string, error) {
	jugs, err := c.jugs(ctx)
	if err != nil {
		return nil, err
	}
	var old []string
	for _, j := range jugs {
		brief, err := c.brief(ctx, j)
		if err != nil {
			return nil, err
		}
		if !j.Emptied && !c.today(brief.At) {
			old = append(old, j.ID)
		}
	}
	return old, nil
}

// today says that a time is of this day, by the calendar.
func (c *Cellar) today(at time.Time) bool {
	now := c.Now()
	year, month, day := at.In(now.Location()).Date()
	y, m, d := now.Date()
	return year == y && month == m && day == d
}
