package pages

import (
	"context"
	"fmt"
	"net/url"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// FirstRun is a page seen for the first time, nothing of it kept from before, on a phone:
// 390 by 844 points, a processor four times slower than this machine's, 1.6 Mbit/s down,
// 0.75 up, 150 ms to an answer.
type FirstRun struct {
	Page     string  `json:"page"`
	Bytes    int     `json:"bytes"`      // of the page and all that it loads, as transferred
	Requests int     `json:"requests"`   // for them
	Largest  float64 `json:"largest_ms"` // largest contentful paint
}

// firstVisits opens Today and a jug's page, each in a browser that knows nothing.
//
// Errors: no Chromium.
func firstVisits(ctx context.Context, address string) ([]FirstRun, error) {
	var all []FirstRun
	for _, p := range []struct{ name, path string }{
		{"Today", "/"}, {"a jug's page", "/jugs/" + url.PathEscape(jugName(0))},
	} {
		v, err := firstVisit(ctx, address+p.path)
		if err != nil {
			return all, err
		}
		v.Page = p.name
		all = append(all, v)
	}
	return all, nil
}

func firstVisit(ctx context.Context, address string) (v FirstRun, err error) {
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU)
	ctx, stop := chromedp.NewExecAllocator(ctx, options...)
	defer stop()
	ctx, stop = chromedp.NewContext(ctx)
	defer stop()
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile, chromedp.EmulateScale(2))); err != nil {
		return v, err
	}
	if _, err := chromedp.Call(ctx, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: 4}); err != nil {
		return v, err
	}
	if _, err := chromedp.Call(ctx, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{
		MatchedNetworkConditions: []*network.Conditions{{Latency: 150, DownloadThroughput: 1.6e6 / 8, UploadThroughput: 0.75e6 / 8}},
	}); err != nil {
		return v, err
	}
	limited, cancel := context.WithTimeout(ctx, time.Minute)
	defer cancel()
	if err := chromedp.Do(limited, chromedp.Navigate(address)); err != nil {
		return v, err
	}
	seen, err := chromedp.Run(limited, chromedp.Evaluate[struct {
		Bytes, Requests int
		Largest         float64
	}](measureScript, chromedp.EvalAwaitPromise))
	if err != nil {
		return v, fmt.Errorf("what the browser saw: %w", err)
	}
	return FirstRun{Bytes: seen.Bytes, Requests: seen.Requests, Largest: seen.Largest}, nil
}

// measureScript reads what the browser itself noted.
const measureScript = `new Promise((tell) => {
  const loads = [...performance.getEntriesByType("navigation"), ...performance.getEntriesByType("resource")];
  const sum = {Bytes: loads.reduce((n, l) => n + l.transferSize, 0), Requests: loads.length, Largest: 0};
  new PerformanceObserver((list) => { for (const e of list.getEntries()) sum.Largest = e.startTime; })
    .observe({type: "largest-contentful-paint", buffered: true});
  setTimeout(() => tell(sum), 1500);
})`
