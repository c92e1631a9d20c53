package web

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"skep/internal/app"
)

// A plan follows while it is typed: nothing is sent by hand, the cursor stays where it is,
// and a reload has it all again.
func TestPlanFollows(t *testing.T) {
	s, _ := atHome(t)
	b := onTable(t, s)
	near := func(strength float64) {
		t.Helper()
		b.until(fmt.Sprintf("shows a plan of about %g %% vol", strength), func() bool {
			return math.Abs(read[float64](b, `parseFloat(document.querySelector(".worked .figures dd")?.textContent) || 0`)-strength) < 0.3
		})
	}
	b.open("/plan")
	b.see("See an example")
	b.write("jug", "1 gal")
	b.see("what is it to become") // said at the field, while the rest is still to be typed
	b.do("choose a yeast", chromedp.SendKeys(chromedp.CSS("[name=yeast]"), "champagne"))
	b.write("strength", "11")
	near(11)
	b.see("It becomes", "this much honey")
	read[bool](b, `document.querySelector("details:has([name=use]) summary").click() ?? true`)
	b.write("with", "4 cups elderflower")
	b.see("hemlock")
	if typed := read[string](b, `document.activeElement.name + ": " + document.activeElement.value`); typed != "with: 4 cups elderflower" {
		t.Errorf("after the answer the cursor stands in %q", typed)
	}
	if !read[bool](b, `document.querySelector("details:has([name=use])").open`) {
		t.Error("what was opened is shut again by the answer")
	}
	b.write("strength", "25")
	b.see("wine and mead have 1 to 20 % vol")
	b.write("strength", "13")
	near(13)
	b.until("has it in the address", func() bool {
		return strings.Contains(read[string](b, `location.search`), "strength=13")
	})
	b.do("reload", chromedp.Reload())
	near(13)
	b.see("4 cups")
	b.picture("plan-followed")
	b.write("name", "may wine")
	b.press("Keep, and on to brew day")
	b.see("Kept as “may wine”", "Undo", "Brew day, step by step")
}

// On a phone the answer is in sight of the field that is typed in, and a tap away.
func TestPlanFollowsInSight(t *testing.T) {
	s, _ := atHome(t)
	b := onPhone(t, s)
	b.open("/plan")
	b.write("jug", "1 gal")
	b.write("strength", "11")
	in := func(selector string) bool {
		return read[bool](b, fmt.Sprintf(`(() => { const e = document.querySelector(%q), r = e?.getBoundingClientRect(); return !!r && document.elementFromPoint(r.left + r.width / 2, r.top + r.height / 2)?.closest(%q) === e; })()`, selector, selector))
	}
	b.until("shows the answer beside the field", func() bool {
		return in(".summary") && in("[name=strength]") && strings.Contains(read[string](b, `document.querySelector(".summary").textContent`), "honey")
	})
	b.click(".summary a")
	b.until("goes to what it becomes", func() bool { return in("#becomes") })
}

// Without script the same is had by a button.
func TestPlanAndCalcWithoutScript(t *testing.T) {
	s, _ := atHome(t)
	b := onPhone(t, s)
	b.scriptsOff()
	b.open("/plan")
	b.write("jug", "1 gal")
	b.write("strength", "19")
	b.click("#ask button")
	b.see("cannot be had", "high-alcohol yeast")
	b.open("/calc/abv")
	b.write("og", "1.098")
	b.write("fg", "1.004")
	b.click("main form button")
	b.see("Alcohol", "12.68 % vol", "most likely")
	b.picture("calc-without-script")
}

// Brew day with a reload in the middle: what was typed and not sent is there, the clock goes
// on, and at the end there is a jug of what was really used.
func TestBrewDayInTheBrowser(t *testing.T) {
	s, now, brew := brewed(t)
	*now = time.Now().UTC() // the clock of the phone
	b := onPhone(t, s)
	b.open(brew)
	b.see("Read this through", "3.0 oz, 4 cups", "Step 1 of 9")
	b.picture("brew-day")
	b.write("empty", "1.35 kg")
	b.see("Kept at")
	b.do("reload", chromedp.Reload())
	b.see("Step 1 of 9")
	if kept := read[string](b, `document.querySelector("[name=empty]").value`); kept != "1.35 kg" {
		t.Errorf("after a reload the empty weight is %q, want what was typed", kept)
	}
	b.press("Done, next")
	b.see("Clean, then sanitise")
	b.press("Start the clock")
	b.see("Clean, then sanitise:", "until")
	b.do("reload", chromedp.Reload())
	b.until("counts down", func() bool {
		return strings.Contains(read[string](b, `document.querySelector("[data-left]")?.textContent ?? ""`), "14:5")
	})
	// The phone sleeps for twenty minutes, and wakes.
	read[bool](b, `(() => { const then = Date.now() + 20 * 60e3; Date.now = () => then; document.dispatchEvent(new Event("visibilitychange")); return true; })()`)
	b.see("the time is up")
	b.picture("brew-day-clock")
	b.press("Done, next")
	for _, step := range []string{"Infuse", "Let it cool in the pot", "Into the jug"} {
		b.see(step)
		b.press("Done, next")
	}
	b.see("Measure")
	b.write("gravity", "1.078 at 22 C")
	b.press("Done, next")
	b.see("Pitch the yeast")
	b.write("must", "23 C")
	b.press("Done, next")
	b.see("Lock, and put it in its place")
	b.press("Done, next")
	b.see("Record the jug", "1.35 kg", "1.078 at 22 C", "they agree")
	b.picture("brew-day-record")
	b.press("Start the jug")
	b.see("elderflower is started", "they agree", "Undo")
	b.picture("brew-day-started")
	history, err := s.cellar.History(t.Context(), "elderflower")
	if err != nil || len(history) != 2 || !strings.Contains(history[0].Said, "1.35 kg") {
		t.Errorf("History = %v, %v, want brew day with the jug's weight, and the yeast", fmt.Sprint(history), err)
	}
}

// Plan, brew day, calculations, handbook, kitchen and shelf fit the screen, narrow and dark,
// wide and light, with all that can be opened open.
func TestPagesOfTheTableFitTheScreen(t *testing.T) {
	s, _, brew := brewed(t)
	p, err := s.cellar.Plan(t.Context(), app.PlanWords{Jug: "5 L", Strength: "13", Sweet: "medium", With: []string{"800 g blackberries"}, Yeast: "mead", Prices: []string{"honey 12 per kg"}})
	if err == nil {
		err = s.cellar.KeepPlan(t.Context(), "blackberry", p)
	}
	if err == nil {
		_, err = s.cellar.KeepVessel(t.Context(), "green demijohn", "5 L", "1.4 kg")
	}
	if err == nil {
		_, err = s.cellar.KeepPrice(t.Context(), "honey 12 per kg")
	}
	if err != nil {
		t.Fatal(err)
	}
	fillShelf(t, s)
	base := serve(t, s)
	for _, screen := range []struct {
		name        string
		width, high int64
	}{{"narrow-dark", 320, 700}, {"table", 1280, 900}} {
		b := newTab(t, base, screen.width, screen.high)
		if screen.width == 320 {
			b.dark()
		}
		for name, path := range map[string]string{
			"plan": withQuery("/plan", elderflower()), "plan-unmet": "/plan?jug=1+gal&strength=19&price=dear", "plan-kept": "/plans/blackberry?kept=yes",
			"plan-compared": "/plan/compare?one=blackberry&two=elderflower", "brew": brew, "calc": "/calc", "calc-abv": "/calc/abv?og=1.098&fg=1.004",
			"calc-fault": "/calc/density?sugar=20", "handbook": "/handbook?q=sulphite", "words": "/handbook/words", "kitchen": "/kitchen", "learned": "/kitchen/learned", "shelf": "/shelf", "lot": "/shelf/elder", "labels": "/print/labels/elder",
		} {
			b.open(path)
			read[int](b, `document.querySelectorAll("details").forEach((d) => { d.open = true; }) ?? 0`)
			b.fits(screen.width)
			b.picture(name + "-" + screen.name)
		}
	}
}
