package speed

import (
	_ "embed"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"skep/internal/kinetics"
	"skep/internal/measure"
)

// Peer is what a general-purpose solver took for the same jugs on one thread: deSolve's
// lsoda at the tolerances that it needs for the same error, its model compiled from C.
type Peer struct {
	Name  string        `json:"name"`
	Count int           `json:"count"`
	Each  measure.Range `json:"each"`  // of one trajectory with 100 times
	Ours  measure.Range `json:"ours"`  // of the same one, with the same times
	Ratio float64       `json:"ratio"` // theirs over ours
	Apart float64       `json:"apart"` // sugar over all times, theirs against ours, as a share
}

//go:embed peer/peer.c
var peerC []byte

//go:embed peer/peer.R
var peerR []byte

var errNoPeer = errors.New("no peer: R with deSolve and a C compiler are not installed (Debian: r-cran-desolve, r-base-dev)")

// peers is how many of the trajectories both follow.
const peers = 500

// BesidePeer times the peer in dir, a folder of its own. Without R, deSolve or a compiler it
// says what is missing.
func BesidePeer(now func() time.Time, dir string) (*Peer, error) {
	script, err := exec.LookPath("Rscript")
	if err != nil {
		return nil, errNoPeer
	}
	version, err := exec.Command(script, "-e", `cat(as.character(packageVersion("deSolve")))`).Output()
	if err != nil {
		return nil, errNoPeer
	}
	all, err := many()
	if err != nil {
		return nil, err
	}
	all = all[:peers]
	var table strings.Builder
	table.WriteString("growth,growth_half,cells_per_nitrogen,use,use_half,yield,damage,lag4,limit,full_sugar,n,active,s\n")
	for i := range all {
		m := &all[i]
		p := m.p // at 20 °C as they stand
		fmt.Fprintf(&table, "%.17g,%.17g,%.17g,%.17g,%.17g,%.17g,%.17g,%.17g,%.17g,%.17g,%.17g,%.17g,%.17g\n",
			p.Growth, p.GrowthHalf, p.CellsPerNitrogen, p.Use, p.UseHalf, p.EthanolPerSugar, p.Damage, math.Pow(p.Lag, 4), p.EthanolLimit,
			m.start.Sugar, m.start.Nitrogen, m.start.Active, m.start.Sugar)
	}
	for name, text := range map[string][]byte{"peer.c": peerC, "peer.R": peerR, "jugs.csv": []byte(table.String())} {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o600); err != nil {
			return nil, err
		}
	}
	if _, err := run(dir, "R", "CMD", "SHLIB", "peer.c"); err != nil {
		return nil, fmt.Errorf("%w: %w", errNoPeer, err)
	}
	said, err := run(dir, script, "peer.R")
	if err != nil {
		return nil, err
	}
	var seconds, sugar float64
	var count int
	if _, err := fmt.Sscan(said, &seconds, &count, &sugar); err != nil || count != len(all) {
		return nil, fmt.Errorf("peer.R said %q, not seconds, %d and a sum", said, len(all))
	}
	ours, sum, err := withTimes(now, all)
	if err != nil {
		return nil, err
	}
	n := float64(count)
	return &Peer{
		Name: "R deSolve " + string(version) + ", lsoda, model in C", Count: count,
		Each: measure.Exact(seconds/n*1e6, "µs"), Ours: measure.Exact(ours/n*1e6, "µs"),
		Ratio: seconds / ours, Apart: math.Abs(sugar/sum - 1),
	}, nil
}

func run(dir, name string, args ...string) (string, error) {
	c := exec.Command(name, args...)
	c.Dir = dir
	said, err := c.CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("%s %s: %w: %s", name, strings.Join(args, " "), err, said)
	}
	return string(said), nil
}

// withTimes follows jugs on one thread with the 100 times that the peer has, and returns the
// seconds and the sum of sugar over all of them.
func withTimes(now func() time.Time, all []fermentation) (seconds, sum float64, err error) {
	times := hours()
	f := kinetics.New()
	f.Tolerance = tolerance
	best := math.Inf(1)
	for range 20 * repetitions { // some ms each
		sum = 0
		start := now()
		for i := range all {
			if err := all[i].follow(f, times, func(_ int, l kinetics.Levels) { sum += l.Sugar }); err != nil {
				return 0, 0, err
			}
		}
		best = min(best, now().Sub(start).Seconds())
	}
	return best, sum, nil
}
