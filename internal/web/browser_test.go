package web

import (
	"context"
	"errors"
	"fmt"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// The tests of this file's tab drive Debian's Chromium, one for all of them, started by
// the first that asks. Each gets a browser context of its own: nothing that one kept is
// seen by another. Where there is no Chromium they are skipped, unless SKEP_CHECK is 1.

// TestMain closes the browser once all tests are done.
func TestMain(m *testing.M) {
	code := m.Run()
	if browser.close != nil {
		browser.close()
	}
	os.Exit(code)
}

var browser struct {
	once  sync.Once
	ctx   context.Context
	close func()
	err   error
}

// startBrowser starts Chromium, once.
func startBrowser() (context.Context, error) {
	browser.once.Do(func() {
		var path string
		for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
			if path, browser.err = exec.LookPath(name); browser.err == nil {
				break
			}
		}
		if browser.err != nil {
			return
		}
		options := append(chromedp.DefaultExecAllocatorOptions[:],
			chromedp.ExecPath(path), chromedp.Flag("disable-gpu", true))
		if os.Geteuid() == 0 {
			options = append(options, chromedp.NoSandbox)
		}
		allocated, free := chromedp.NewExecAllocator(context.Background(), options...)
		ctx, end := chromedp.NewContext(allocated)
		browser.ctx, browser.close = ctx, func() { end(); free() }
		browser.err = chromedp.Do(ctx)
	})
	return browser.ctx, browser.err
}

// tab is a page in the browser, as a person has it before them.
type tab struct {
	t    *testing.T
	ctx  context.Context
	base string // address of the server
}

// patience is how long a person waits for a page, on a machine that is busy with other tests.
const patience = 20 * time.Second

// onPhone opens a tab as wide as a phone upon a server of s; onTable one as wide as a screen.
func onPhone(t *testing.T, s *Server) *tab { return newTab(t, serve(t, s), 390, 844) }
func onTable(t *testing.T, s *Server) *tab { return newTab(t, serve(t, s), 1280, 900) }

// another is a second device upon the same server.
func (b *tab) another() *tab { return newTab(b.t, b.base, 390, 844) }

// serve answers on an address of this machine until the test ends.
func serve(t *testing.T, s *Server) string {
	t.Helper()
	server := httptest.NewServer(s)
	t.Cleanup(server.Close)
	return server.URL
}

func newTab(t *testing.T, base string, width, height int64) *tab {
	t.Helper()
	if testing.Short() {
		t.Skip("drives a browser")
	}
	parent, err := startBrowser()
	if errors.Is(err, exec.ErrNotFound) && os.Getenv("SKEP_CHECK") != "1" {
		t.Skip("needs Chromium: apt-get install chromium")
	}
	if err != nil {
		t.Fatal("Chromium: ", err)
	}
	ctx, end := chromedp.NewContext(parent, chromedp.WithNewBrowserContext())
	t.Cleanup(end)
	b := &tab{t, ctx, base}
	var more []chromedp.EmulateViewportOption
	if width < 600 {
		more = append(more, chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulatePortrait)
	}
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, height, more...)); err != nil {
		t.Fatal(err)
	}
	// What the page does wrong unseen fails the test: script that stops, and what the
	// policy of the page refuses.
	faults := chromedp.Console(ctx)
	go func() {
		for m, err := range faults {
			if err != nil {
				return
			}
			if m.IsException() || m.Source == "security" || m.Type == chromedp.ConsoleError && m.Source != "network" {
				t.Errorf("the page complains: %s (%s)", m.Text, m.URL)
			}
		}
	}()
	return b
}

// do carries out actions, or ends the test.
func (b *tab) do(what string, actions ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	if err := chromedp.Do(ctx, actions...); err != nil {
		b.t.Fatalf("%s: %v; the page says:\n%s", what, err, b.text())
	}
}

// open goes to an address of the server.
func (b *tab) open(path string) {
	b.t.Helper()
	b.do("open "+path, chromedp.Navigate(b.base+path))
}

// click clicks the first element that a CSS selector finds.
func (b *tab) click(selector string) {
	b.t.Helper()
	b.do("click "+selector, chromedp.Click(chromedp.CSS(selector), chromedp.NodeVisible))
}

// press clicks the first button or link whose words begin so.
func (b *tab) press(words string) {
	b.t.Helper()
	b.do("press "+words, chromedp.Click(chromedp.JSPath(fmt.Sprintf(
		`[...document.querySelectorAll("button, a, summary")].find(e => e.checkVisibility() && e.textContent.trim().startsWith(%q))`, words))))
}

// write types into a field in the place of what it holds.
func (b *tab) write(name, words string) {
	b.t.Helper()
	field := chromedp.CSS(fmt.Sprintf("[name=%q]:not([type=hidden])", name))
	b.do("write "+name, chromedp.WaitVisible(field))
	read[string](b, fmt.Sprintf("document.querySelector(%q).value = ''", string(field)))
	b.do("write "+name, chromedp.SendKeys(field, words))
}

// text is what the page shows.
func (b *tab) text() string { return read[string](b, `document.body?.innerText ?? ""`) }

// read evaluates an expression within the page; again in the next page, if the page went
// away under it.
func read[T any](b *tab, expression string) T {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	for {
		answer, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression))
		if err == nil {
			return answer
		}
		if !strings.Contains(err.Error(), "navigated or closed") || ctx.Err() != nil {
			b.t.Fatalf("%s: %v", expression, err)
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// see waits until the page shows these words, in any case; it ends the test if it does not.
func (b *tab) see(words ...string) {
	b.t.Helper()
	for _, w := range words {
		b.until("shows "+w, func() bool { return strings.Contains(strings.ToLower(b.text()), strings.ToLower(w)) })
	}
}

// until waits for something to be so.
func (b *tab) until(what string, is func() bool) {
	b.t.Helper()
	for end := time.Now().Add(patience); !is(); time.Sleep(50 * time.Millisecond) {
		if time.Now().After(end) {
			b.t.Fatalf("until the page %s: waited %v; it says:\n%s", what, patience, b.text())
		}
	}
}

// scriptsOff is a browser whose owner allows none.
func (b *tab) scriptsOff() {
	b.t.Helper()
	call(b, emulation.SetScriptExecutionDisabled.Method, func(ctx context.Context) error {
		_, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		return err
	})
}

// dark is a device set to dark colours.
func (b *tab) dark() {
	b.t.Helper()
	call(b, emulation.SetEmulatedMedia.Method, func(ctx context.Context) error {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}},
		})
		return err
	})
}

// reach says whether the server can be reached.
func (b *tab) reach(can bool) {
	b.t.Helper()
	call(b, network.EmulateNetworkConditionsByRule.Method, func(ctx context.Context) error {
		params := network.EmulateNetworkConditionsByRuleParams{MatchedNetworkConditions: []*network.Conditions{}}
		if !can {
			params.MatchedNetworkConditions = []*network.Conditions{{Offline: true, Latency: 0, DownloadThroughput: -1, UploadThroughput: -1}}
		}
		_, err := chromedp.Call(ctx, network.EmulateNetworkConditionsByRule, params)
		return err
	})
}

func call(b *tab, what string, do func(context.Context) error) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	if err := do(ctx); err != nil {
		b.t.Fatalf("%s: %v", what, err)
	}
}

// axe finds what keeps people out of a page; it is installed by front/package.json.
var axe = sync.OnceValues(func() (string, error) {
	body, err := os.ReadFile("../../front/node_modules/axe-core/axe.min.js")
	return string(body), err
})

// accessible holds the page against the rules of WCAG 2.2, levels A and AA.
func (b *tab) accessible(page string) {
	b.t.Helper()
	script, err := axe()
	if err != nil {
		if os.Getenv("SKEP_CHECK") == "1" {
			b.t.Fatal(err)
		}
		return // needs: npm ci, in front
	}
	read[bool](b, "void (() => {"+script+"})(), true")
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	faults, err := chromedp.Run(ctx, chromedp.Evaluate[[]string](`axe.run({runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]})
		.then((r) => r.passes.length < 5 ? ["only " + r.passes.length + " rules were tried"] : r.violations.flatMap((v) => v.nodes.map((n) => v.id + ": " + n.target.join(" ") + ": " + n.failureSummary.replaceAll("\n", " "))))`, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatal(err)
	}
	for _, f := range faults {
		b.t.Errorf("%s: %s", page, f)
	}
}

// fits holds the page against the width of its screen, against WCAG 2.2, to one heading of
// the first order, and to the words of a page: commands stand only where they are shown as such.
func (b *tab) fits(width int64) {
	b.t.Helper()
	path := read[string](b, `location.pathname + location.search`)
	if wide := read[int64](b, `document.documentElement.scrollWidth`); wide > width {
		widest := read[string](b, fmt.Sprintf(`[...document.querySelectorAll("main *")].filter(e => e.getBoundingClientRect().right > %d && !e.closest(".scroll")).map(e => e.tagName + "." + e.className).slice(0, 5).join(" ")`, width))
		b.t.Errorf("%s is %d wide on a screen of %d: %s", path, wide, width, widest)
	}
	b.accessible(path)
	prose := read[string](b, `(() => { const copy = document.body.cloneNode(true); copy.querySelectorAll("code, pre, script, svg").forEach((e) => e.remove()); return copy.textContent; })()`)
	if talk := commandTalk.FindStringIndex(prose); talk != nil && !strings.HasPrefix(path, "/handbook") { // which is the terminal's too
		b.t.Errorf("%s speaks of commands: %q", path, prose[max(0, talk[0]-40):min(len(prose), talk[1]+20)])
	}
	if n := read[int](b, `document.querySelectorAll("h1").length`); n != 1 {
		b.t.Errorf("%s has %d headings of the first order", path, n)
	}
}

// picture keeps a picture of the whole page in the folder SKEP_PICTURES, if that is set,
// for a person to look at.
func (b *tab) picture(name string) {
	b.t.Helper()
	folder := os.Getenv("SKEP_PICTURES")
	if folder == "" {
		return
	}
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	image, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
	if err == nil {
		err = os.WriteFile(filepath.Join(folder, name+".png"), image, 0o600)
	}
	if err != nil {
		b.t.Fatal(err)
	}
}

// A page opens in the browser, wide and narrow, light and dark, and nothing in it is
// wider than the screen.
func TestBrowserOpensToday(t *testing.T) {
	s, _ := atHome(t)
	b := onPhone(t, s)
	b.dark()
	b.open("/")
	b.see("Today")
	if wide := read[int](b, `document.documentElement.scrollWidth`); wide > 390 {
		t.Errorf("Today is %d pixels wide on a phone of 390", wide)
	}
	if scheme := read[bool](b, `matchMedia("(prefers-color-scheme: dark)").matches`); !scheme {
		t.Error("the browser is not dark")
	}
	b.picture("today-phone-dark")
}
