package safety

import (
	"cmp"
	"fmt"
	"runtime"
	"sync"
	"time"

	"skep/internal/advice"
	"skep/internal/app"
	"skep/internal/batch"
)

// Ask is how Skep is asked: app.Judge.
type Ask func(events []batch.Event, now time.Time, put func(*advice.Question)) (app.Judged, error)

// Simulate plays the first jugs of a seed. It calls progress, if there is one, after each.
//
// Repeats: the same seed gives the same outcomes on any number of processors, as estimate does.
func Simulate(seed uint64, jugs int, ask Ask, progress func(done, of int)) ([]Outcome, error) {
	all := make([]Outcome, jugs)
	workers := min(runtime.GOMAXPROCS(0), jugs)
	errs := make([]error, workers)
	numbers := make(chan int, jugs)
	for i := range jugs {
		numbers <- i
	}
	close(numbers)
	var counting sync.Mutex
	done := 0
	var wait sync.WaitGroup
	for worker := range workers {
		wait.Go(func() {
			for i := range numbers {
				outcome, err := Play(seed, i, ask)
				if err != nil {
					errs[worker] = err
					return
				}
				all[i] = outcome
				counting.Lock()
				done++
				if progress != nil {
					progress(done, jugs)
				}
				counting.Unlock()
			}
		})
	}
	wait.Wait()
	return all, cmp.Or(errs...)
}

// Play plays one jug of a seed.
func Play(seed uint64, number int, ask Ask) (Outcome, error) {
	m, err := newMaker(seed, number, ask)
	if err == nil {
		err = m.play()
	}
	if err != nil {
		return Outcome{}, fmt.Errorf("jug %d of seed %d: %w", number, seed, err)
	}
	return *m.out, nil
}
