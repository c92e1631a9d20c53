package pages

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"skep/internal/store"
)

// How much is asked.
const (
	browsers = 20
	each     = 60                     // pages asked for by each
	meantime = 20                     // the same while every jug is worked out anew
	pause    = 500 * time.Millisecond // of each, between two pages
	apart    = 3                      // pages of one browser between two looks recorded, by one phone
	every    = 5 * time.Second        // between two lines that say how far it is
)

// Report is what was measured.
type Report struct {
	Jugs     int        `json:"jugs"`
	Events   int        `json:"events"`
	Waits    []Wait     `json:"waits"`
	Meantime []Wait     `json:"meantime"`  // while every jug is worked out anew, as after an update
	Memory   float64    `json:"memory_mb"` // most that the program held, resident
	Binary   float64    `json:"binary_mb"`
	FirstRun []FirstRun `json:"first_visit,omitempty"` // none where no browser is installed
	Skipped  string     `json:"skipped,omitempty"`     // why not
	Prepared float64    `json:"prepared_s"`            // until every jug was worked out behind the pages, Meantime within it
}

// Wait is how long a client waited for one kind of answer.
type Wait struct {
	What   string  `json:"what"`
	Asked  int     `json:"asked"`
	Failed int     `json:"failed"`
	Median float64 `json:"median_ms"`
	P99    float64 `json:"p99_ms"`
	Bytes  int     `json:"bytes_median"`
}

// Measure starts program over the cellar that Fill wrote at path and asks it.
//
// Errors: the program does not start, or ends by itself.
func Measure(ctx context.Context, program, path string, jugs int, say func(string, ...any)) (Report, error) {
	report := Report{Jugs: jugs, Events: jugs * Entries}
	info, err := os.Stat(program)
	if err != nil {
		return report, err
	}
	report.Binary = float64(info.Size()) / 1e6

	running, address, err := start(ctx, program, path)
	if err != nil {
		return report, err
	}
	defer running.Process.Kill() //nolint:errcheck // it has ended, unless something failed
	began := time.Now()
	say("every jug is worked out behind the pages, while %d browsers ask for %d pages each", browsers, meantime)
	report.Meantime = load(ctx, address, jugs, meantime)
	if err := workedOut(ctx, path, jugs, say); err != nil {
		return report, err
	}
	report.Prepared = time.Since(began).Seconds()
	say("%d browsers ask for %d pages each", browsers, each)
	report.Waits = load(ctx, address, jugs, each)
	say("a phone opens its first page")
	report.FirstRun, err = firstVisits(ctx, address)
	if err != nil {
		report.Skipped = err.Error()
	}
	report.Memory, err = mostMemory(running.Process.Pid)
	if err != nil {
		return report, err
	}
	if err := running.Process.Signal(os.Interrupt); err != nil {
		return report, err
	}
	return report, running.Wait()
}

// start runs skep serve on a free port and returns its address.
func start(ctx context.Context, program, path string) (*exec.Cmd, string, error) {
	c := exec.CommandContext(ctx, program, "--cellar", path, "serve", "--port", "0", "--json")
	c.Stderr = os.Stderr
	out, err := c.StdoutPipe()
	if err != nil {
		return nil, "", err
	}
	if err := c.Start(); err != nil {
		return nil, "", err
	}
	var told struct {
		Address string `json:"address"`
	}
	if err := json.NewDecoder(out).Decode(&told); err != nil {
		return nil, "", fmt.Errorf("%s serve told no address: %w", filepath.Base(program), err)
	}
	return c, told.Address, nil
}

// workedOut waits until the program has worked out every jug of the cellar at path, and says
// how far it is.
func workedOut(ctx context.Context, path string, jugs int, say func(string, ...any)) error {
	s, err := store.Open(path)
	if err != nil {
		return err
	}
	defer s.Close()
	for {
		briefs, err := s.All(ctx, store.Briefs)
		if err != nil || len(briefs) >= jugs {
			return err
		}
		say("%d of %d jugs worked out", len(briefs), jugs)
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(every):
		}
	}
}

// visit is one answer.
type visit struct {
	what   string
	took   time.Duration
	bytes  int
	failed bool
}

// load lets browsers ask for so many pages each while a phone writes.
func load(ctx context.Context, address string, jugs, each int) []Wait {
	var all []visit
	var mu sync.Mutex
	note := func(v visit) {
		mu.Lock()
		defer mu.Unlock()
		all = append(all, v)
	}
	var done sync.WaitGroup
	for b := range browsers {
		done.Go(func() {
			draw := rand.New(rand.NewPCG(3, uint64(b)))
			client := &http.Client{Timeout: 30 * time.Second}
			time.Sleep(time.Duration(draw.Int64N(int64(pause))))
			for i := range each {
				what, page := "Today", "/"
				if i%2 == 1 {
					what, page = "a jug's page", "/jugs/"+url.PathEscape(jugName(draw.IntN(jugs)))
				}
				note(ask(ctx, client, what, http.MethodGet, address+page, ""))
				time.Sleep(pause)
			}
		})
	}
	done.Go(func() {
		draw := rand.New(rand.NewPCG(4, 0))
		client := &http.Client{Timeout: 30 * time.Second}
		for range each / apart {
			page := "/api/jugs/" + url.PathEscape(jugName(draw.IntN(jugs))) + "/looks"
			note(ask(ctx, client, "a look recorded, with its forecast", http.MethodPost, address+page, `{"bubbles": "6/min"}`))
			time.Sleep(apart * pause)
		}
	})
	done.Wait()
	var waits []Wait
	for _, what := range []string{"Today", "a jug's page", "a look recorded, with its forecast"} {
		waits = append(waits, sum(what, all))
	}
	return waits
}

func ask(ctx context.Context, client *http.Client, what, method, address, body string) visit {
	v := visit{what: what, failed: true}
	request, err := http.NewRequestWithContext(ctx, method, address, strings.NewReader(body))
	if err != nil {
		return v
	}
	if body != "" {
		request.Header.Set("Content-Type", "application/json")
	}
	began := time.Now()
	answer, err := client.Do(request)
	if err != nil {
		return v
	}
	defer answer.Body.Close()
	n, err := io.Copy(io.Discard, answer.Body)
	v.took, v.bytes, v.failed = time.Since(began), int(n), err != nil || answer.StatusCode >= 400
	return v
}

func sum(what string, all []visit) Wait {
	w := Wait{What: what}
	var took []time.Duration
	var bytes []int
	for _, v := range all {
		if v.what != what {
			continue
		}
		w.Asked++
		if v.failed {
			w.Failed++
			continue
		}
		took, bytes = append(took, v.took), append(bytes, v.bytes)
	}
	if len(took) == 0 {
		return w
	}
	slices.Sort(took)
	slices.Sort(bytes)
	at := func(share float64) float64 {
		return float64(took[min(len(took)-1, int(share*float64(len(took))))].Microseconds()) / 1000
	}
	w.Median, w.P99, w.Bytes = at(0.5), at(0.99), bytes[len(bytes)/2]
	return w
}

// mostMemory is the most that a process has held so far, resident, in MB.
//
// Errors: a system without /proc.
func mostMemory(pid int) (float64, error) {
	f, err := os.Open(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0, fmt.Errorf("memory of the program: %w", err)
	}
	defer f.Close()
	lines := bufio.NewScanner(f)
	for lines.Scan() {
		if words := strings.Fields(lines.Text()); len(words) == 3 && words[0] == "VmHWM:" {
			kb, err := strconv.ParseFloat(words[1], 64)
			return kb / 1000, err
		}
	}
	return 0, fmt.Errorf("memory of the program: no VmHWM; %w", lines.Err())
}
