package app

import (
	"cmp"
	"context"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"skep/internal/store"
)

// background works out where jugs stand while people look at pages: first the jug that was
// asked for last, then whatever is not of today. What it has not come to when the program
// ends is found again by Cellar.behind.
type background struct {
	mu      sync.Mutex
	running bool
	asked   []string // ids of jugs, the latest last
	left    int      // jugs that are to be worked out beside them
	wake    chan struct{}

	visits atomic.Int64 // pages that were made
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
	b.asked = append(slices.DeleteFunc(b.asked, func(other string) bool { return other == id }), id)
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
	n := len(b.asked) - 1
	if n < 0 {
		return ""
	}
	id := b.asked[n]
	b.asked = b.asked[:n]
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

// visited tells the work that a page is being made.
func (b *background) visited() {
	if b != nil {
		b.visits.Add(1)
	}
}

func (b *background) run(is bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.running = is
}

// pending is how many jugs are still to be worked out.
func (b *background) pending() int {
	if b == nil {
		return 0
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	return len(b.asked) + b.left
}

func (b *background) leaves(jugs int) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.left = jugs
}

const (
	// rounds is how often the work looks for what other programs wrote.
	rounds = time.Minute
	// breath is how long the work that nobody waits for rests between two jugs while pages
	// are asked for: about as long as a jug takes, so that half of the machine is theirs.
	breath = 100 * time.Millisecond
)

// work works until ctx ends: first what pages asked for, then what was written without
// being worked out, then what was last worked out on an earlier day, for a forecast of
// yesterday says where a jug stood yesterday.
//
// Errors: of the store.
func (b *background) work(ctx context.Context, c *Cellar) error {
	b.run(true)
	defer b.run(false)
	var whole time.Time // when all jugs were last seen to be of that day
	ticker := time.NewTicker(rounds)
	defer ticker.Stop()
	for ctx.Err() == nil {
		err := b.answer(ctx, c)
		var behind []string
		if err == nil {
			behind, err = c.behind(ctx, c.today(whole))
		}
		if err == nil && len(behind) == 0 {
			whole = c.Now()
		}
		if err == nil {
			err = c.refreshAll(ctx, behind, b)
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

// answer works out what pages asked for.
func (b *background) answer(ctx context.Context, c *Cellar) error {
	for id := b.next(); id != "" && ctx.Err() == nil; id = b.next() {
		if _, err := c.refresh(ctx, id); err != nil {
			return err
		}
	}
	return nil
}

// refreshAll works jugs out anew, the first first and as many at once as there are
// processors. Behind pages (b is not nil) what they ask for goes before, and while they ask
// one goes on alone, with rests.
func (c *Cellar) refreshAll(ctx context.Context, jugs []string, b *background) error {
	var mu sync.Mutex
	var failed error
	take := func() (id string) {
		mu.Lock()
		defer mu.Unlock()
		if failed == nil && ctx.Err() == nil && len(jugs) > 0 {
			id, jugs = jugs[0], jugs[1:]
		}
		if b != nil {
			b.leaves(len(jugs))
		}
		return id
	}
	fail := func(err error) {
		mu.Lock()
		defer mu.Unlock()
		failed = cmp.Or(failed, err)
	}
	var wait sync.WaitGroup
	for w := range min(runtime.GOMAXPROCS(0), len(jugs)) {
		wait.Go(func() {
			for visits := int64(0); ; {
				if b != nil {
					if err := b.giveWay(ctx, c, w == 0, &visits); err != nil {
						fail(err)
					}
				}
				id := take()
				if id == "" {
					return
				}
				if _, err := c.refresh(ctx, id); err != nil {
					fail(err)
				}
			}
		})
	}
	wait.Wait()
	return failed
}

// giveWay lets pages go before the work that nobody waits for: the first worker sees to what
// they asked for, and rests once if there were any since it last did; the others rest until
// there are none. visits is how many there were then.
func (b *background) giveWay(ctx context.Context, c *Cellar, first bool, visits *int64) error {
	for ctx.Err() == nil {
		if first {
			if err := b.answer(ctx, c); err != nil {
				return err
			}
		}
		now := b.visits.Load()
		if now == *visits {
			return nil
		}
		*visits = now
		if !first {
			time.Sleep(breath)
			continue
		}
		select {
		case <-b.wake: // something is asked for
		case <-time.After(breath):
			return nil
		}
	}
	return nil
}

// behind are the jugs to be worked out anew, those first of which the most urgent was
// wanted when they last were: those of which nothing is known, or not of all their record or
// by an older model, and, unless the day was seen to already, those of an earlier day.
func (c *Cellar) behind(ctx context.Context, seen bool) ([]string, error) {
	jugs, err := c.jugs(ctx)
	if err != nil {
		return nil, err
	}
	all, err := drawer[keptBrief](ctx, c.store, store.Briefs)
	if err != nil {
		return nil, err
	}
	known := make(map[string]keptBrief, len(all))
	for _, b := range all {
		if b.Model == model {
			known[b.ID] = b
		}
	}
	var ids []string
	for _, j := range jugs {
		if b := known[j.ID]; b.Seq != j.Seq || !seen && !j.Emptied && !c.today(b.At) {
			ids = append(ids, j.ID)
		}
	}
	if len(ids) < 2 {
		return ids, nil
	}
	wants, err := c.store.Today(ctx, c.Now(), c.Now())
	if err != nil {
		return nil, err
	}
	place := map[string]int{}
	for i, w := range slices.Backward(wants) {
		place[w.Jug] = i
	}
	at := func(id string) int {
		if i, wanted := place[id]; wanted {
			return i
		}
		return math.MaxInt
	}
	slices.SortStableFunc(ids, func(a, b string) int { return cmp.Compare(at(a), at(b)) })
	return ids, nil
}

// today says that a time is of this day, by the calendar.
func (c *Cellar) today(at time.Time) bool {
	now := c.Now()
	year, month, day := at.In(now.Location()).Date()
	y, m, d := now.Date()
	return year == y && month == m && day == d
}
