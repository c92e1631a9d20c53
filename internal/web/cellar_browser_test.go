package web

import (
	"context"
	"maps"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// A first visit: nothing is there, and within a minute the first jug is recorded.
func TestFirstVisitToFirstJug(t *testing.T) {
	s, _ := atHome(t)
	b := onPhone(t, s)
	b.open("/")
	b.see("There is no jug yet", "Plan one", "Look around a sample cellar")
	b.picture("first-visit")
	b.press("Record your first jug")
	b.see("Record a jug")
	b.write("name", "heather")
	b.write("jug", "4.5")
	b.write("with", "1.1 kg honey")
	b.picture("start")
	b.press("Record it")
	b.see("not a size") // it has no unit: told at its field, the rest kept
	if kept := read[string](b, `document.querySelector("[name=with]").value`); kept != "1.1 kg honey" {
		t.Errorf("after the error the form holds %q", kept)
	}
	b.write("jug", "4.5 L")
	b.write("yeast", "a packet of white wine yeast")
	b.press("Record it")
	b.see("Recorded:", "heather", "Strength in the end", "up to the shoulder")
	b.picture("first-jug")
	b.open("/")
	b.see("heather")
}

// oneJug is a server with one jug, begun ten days ago.
func oneJug(t *testing.T) *Server {
	t.Helper()
	s, now := atHome(t)
	started, err := s.cellar.Start(t.Context(), startWords)
	if err != nil || started.Jug != "heather" {
		t.Fatal(started.Jug, err)
	}
	*now = now.AddDate(0, 0, 10)
	return s
}

// entries are those of the jug that say so.
func entries(t *testing.T, s *Server, words string) int {
	t.Helper()
	lines, err := s.cellar.History(t.Context(), "heather")
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, l := range lines {
		if strings.Contains(l.Said, words) {
			n++
		}
	}
	return n
}

// Bubbles are counted by tapping along, twice with a finger that trembles, and once with
// the space bar; one more tap records them, and the record has them once.
func TestLookByTapping(t *testing.T) {
	s := oneJug(t)
	b := onPhone(t, s)
	b.open("/jugs/heather")
	b.press("Look")
	b.see("Tap with each bubble")
	// A clock of our own: a bubble every 3 s, each touched twice within 80 ms.
	read[bool](b, `(() => {
		let now = 1e12; Date.now = () => now;
		const button = document.querySelector("[data-tap]");
		const touch = () => button.dispatchEvent(new PointerEvent("pointerdown", {bubbles: true, cancelable: true}));
		for (let i = 0; i < 8; i++) { touch(); now += 80; touch(); now += 2920; }
		return true;
	})()`)
	b.see("20 bubbles a minute")
	b.picture("counting")
	if style := read[string](b, `getComputedStyle(document.querySelector("[data-tap]")).touchAction`); style != "none" {
		t.Errorf("touch-action of the button is %q: the screen would zoom or scroll under it", style)
	}
	b.press("Record it")
	b.see("Recorded:", "20 bubbles a minute")
	if n := entries(t, s, "20 bubbles a minute"); n != 1 {
		t.Errorf("%d entries, want 1", n)
	}
	b.press("Undo")
	b.see("Recorded:", "took back")
}

func TestCountingByKeyboard(t *testing.T) {
	b := onTable(t, oneJug(t))
	b.open("/jugs/heather/look")
	b.do("focus", chromedp.Focus(chromedp.CSS("[data-tap]")))
	b.do("first", chromedp.KeyEvent(" "))
	b.see("1 counted")
	b.do("wait", chromedp.Sleep(500e6), chromedp.KeyEvent(" "))
	b.see("2 counted")
	if rate := read[string](b, `document.querySelector("[name=bubbles]").value`); !strings.HasSuffix(rate, "bubbles a minute") {
		t.Errorf("two presses within a second make %q", rate)
	}
	// The rest of the form goes by keyboard too.
	b.do("weigh", chromedp.Focus(chromedp.CSS("[name=mass]")), chromedp.KeyEvent("5.21"+kb.Enter))
	b.see("Recorded:", "weight 5.21 kg")
}

// A look that cannot reach Skep is kept on the phone and sent when it can, once; one that
// is refused then stays with its reason.
func TestLookIsSentLaterOnce(t *testing.T) {
	s := oneJug(t)
	b := onPhone(t, s)
	b.open("/jugs/heather/look")
	b.reach(false)
	b.write("mass", "5.18")
	b.press("Record it")
	b.see("Waiting to be sent (1)", "Kept on this device")
	b.picture("waiting")
	if n := entries(t, s, "5.18 kg"); n != 0 {
		t.Fatalf("%d entries while Skep could not be reached", n)
	}
	b.reach(true)
	read[bool](b, `window.dispatchEvent(new Event("online"))`)
	b.until("has sent it", func() bool { return entries(t, s, "5.18 kg") > 0 })
	b.until("waits for nothing", func() bool { return !strings.Contains(b.text(), "Waiting to be sent") })
	b.open("/jugs/heather")
	b.see("5.18 kg")
	if n := entries(t, s, "5.18 kg"); n != 1 {
		t.Errorf("%d entries, want 1", n)
	}

	b.open("/jugs/heather/look")
	b.reach(false)
	b.write("mass", "5 furlongs")
	b.press("Record it")
	b.see("Waiting to be sent (1)")
	b.reach(true)
	read[bool](b, `window.dispatchEvent(new Event("online"))`)
	b.see("Not recorded", "furlongs", "Drop it")
	b.picture("refused")
	b.press("Put it right")
	b.until("shows the form with the words", func() bool {
		return read[string](b, `document.querySelector("[name=mass]")?.value ?? ""`) == "5 furlongs"
	})
	b.write("mass", "5.17 kg")
	b.press("Record it")
	b.see("Recorded:", "5.17 kg")
	if text := b.text(); strings.Contains(text, "Not recorded") {
		t.Errorf("the refused entry is still there:\n%s", text)
	}
}

// A blend that was refused later goes back into its form with each of its jugs.
func TestBlendIsPutRight(t *testing.T) {
	s := twoJugs(t)
	b := onPhone(t, s)
	b.open("/blend?jugs=heather&take=2+L&jugs=clover&take=1+L&to=summer")
	b.reach(false)
	b.write("when", "tomorrow")
	b.press("Record it in all of them")
	b.see("Waiting to be sent (1)")
	b.reach(true)
	read[bool](b, `window.dispatchEvent(new Event("online"))`)
	b.see("Not recorded", "Drop it")
	b.press("Put it right")
	b.until("shows the form with the words", func() bool {
		return read[string](b, `[...document.querySelectorAll("form[data-outbox] [name=jugs], form[data-outbox] [name=take], form[data-outbox] [name=when]")].map((e) => e.value).join()`) == "heather,2 L,clover,1 L,tomorrow"
	})
	b.write("when", "today")
	b.press("Record it in all of them")
	b.see("Recorded:", "blended of 2.00 L of heather and 1.00 L of clover")
}

// Two phones on one jug: what one records the other shows without being asked.
func TestTwoPhonesSeeEachOther(t *testing.T) {
	s := oneJug(t)
	ctx, stop := context.WithCancel(t.Context())
	done := make(chan error)
	go func() { done <- s.Work(ctx) }()
	t.Cleanup(func() {
		stop()
		if err := <-done; err != nil {
			t.Error(err)
		}
	})
	one := onPhone(t, s)
	other := one.another()
	other.open("/jugs/heather")
	other.see("heather")
	one.open("/jugs/heather/look")
	one.write("note", "foam to the neck")
	one.press("Record it")
	one.see("Recorded:", "Worked out at") // the forecast follows behind the page
	read[bool](other, `window.dispatchEvent(new Event("focus"))`)
	other.see("foam to the neck")
}

// Without script all of it works: plain forms, links, and pages.
func TestCellarWithScriptsOff(t *testing.T) {
	s := oneJug(t)
	b := onTable(t, s)
	b.scriptsOff()
	b.open("/")
	b.press("heather")
	b.see("Strength in the end")
	b.press("Look")
	if strings.Contains(b.text(), "Tap with each bubble") {
		t.Error("the button that counts is shown where nothing counts")
	}
	b.write("bubbles", "12")
	b.write("gravity", "1.045")
	b.press("Record it")
	b.see("Recorded:", "12 bubbles a minute, gravity 1.045")
	b.press("Undo")
	b.see("Recorded:", "took back")
	b.press("All of it")
	b.see("Taken back by")
}

// samplePages are pages of the sample cellar by the name of their picture; the further ones
// are held against a narrow dark screen and a wide light one only.
var samplePages, furtherSamplePages = map[string]string{
	"today": "/", "jugs": "/jugs", "jug": "/jugs/elderflower", "stuck": "/jugs/blackberry", "bubbles": "/jugs/elderflower?show=bubbles",
	"ready": "/jugs/apple", "bottled": "/jugs/last%20year's%20apple", "look": "/jugs/elderflower/look", "history": "/jugs/elderflower/history",
	"add": "/jugs/elderflower/add", "bottle": "/jugs/apple/bottle", "start": "/start", "weight": "/jugs/elderflower?show=weight",
	"rescue": "/jugs/blackberry/rescue", "what-if": "/jugs/elderflower/what-if?if=24+C%0A300+g+honey",
}, map[string]string{
	"trial": "/jugs/apple/trial", "trial-chosen": "/jugs/apple/trial?what=honey&chose=2", "trial-fault": "/jugs/apple/trial?what=tannin&glasses=none",
	"finish": "/jugs/apple/finish", "finish-sweet": "/jugs/apple/finish?path=sweet&to=1.012", "finish-dry": "/jugs/heather%20mead/finish?path=dry",
	"finish-sparkling": "/jugs/apple/finish?path=sparkling", "finish-heated": "/jugs/apple/finish?path=pasteurised&to=off-dry",
	"finish-working": "/jugs/elderflower/finish?path=sweet&to=1.012", "finish-stuck": "/jugs/blackberry/finish?path=sweet",
	"blend": "/blend?jugs=apple", "blend-asked": "/blend?jugs=apple&take=2+L&jugs=heather+mead&take=all&lost=100+mL&to=summer&jug=10+L",
	"blend-wish": "/blend?jugs=apple&take=&jugs=elderflower&take=&strength=15&volume=3+L", "blend-fault": "/blend?jugs=apple&take=9+L&jugs=heather+mead&take=&jugs=&take=",
	"bottle-working": "/jugs/elderflower/bottle", "bottle-empty": "/jugs/last%20year's%20apple/bottle", "rescue-working": "/jugs/elderflower/rescue",
	"rack": "/jugs/apple/rack", "taste": "/jugs/apple/taste", "move": "/jugs/apple/move", "pitch": "/jugs/apple/pitch", "young": "/jugs/quince",
	"correct": "/jugs/elderflower/history/4/correct", "withdraw": "/jugs/elderflower/history/4/withdraw",
	"shelf": "/shelf", "labels": "/print/labels/last%20year's%20apple", "kitchen": "/kitchen", "learned": "/kitchen/learned", "nothing": "/jugs/nobody",
}

// Every page of the sample cellar, with all that can be opened open, fits the screen, narrow
// and wide, light and dark. Pictures of them all are kept if asked for.
func TestPagesFitTheScreen(t *testing.T) {
	s, _ := atHome(t)
	t.Cleanup(func() { _ = s.Close() })
	base := serve(t, s)
	for _, screen := range []struct {
		name        string
		width, high int64
		dark, all   bool
	}{{"phone", 390, 844, false, false}, {"narrow-dark", 320, 700, true, true}, {"table", 1280, 900, false, true}, {"table-dark", 1280, 900, true, false}} {
		b := newTab(t, base, screen.width, screen.high)
		if screen.dark {
			b.dark()
		}
		b.open("/")
		b.press("Look around a sample cellar")
		b.see("sample cellar", "blackberry")
		pages := maps.Clone(samplePages)
		if screen.all {
			maps.Copy(pages, furtherSamplePages)
		}
		for name, path := range pages {
			b.open(path)
			read[int](b, `document.querySelectorAll("details").forEach((d) => { d.open = true; }) ?? 0`)
			b.fits(screen.width)
			b.picture(name + "-" + screen.name)
		}
	}
}

// Pages of a cellar in which nothing is yet say what will stand there and where to begin.
func TestEmptyPagesFitTheScreen(t *testing.T) {
	s, _ := atHome(t)
	b := newTab(t, serve(t, s), 320, 700)
	for name, page := range map[string]struct{ path, says string }{
		"today": {"/", "There is no jug yet"}, "jugs": {"/jugs", "There is no jug yet"}, "start": {"/start", "What you call it"}, "plan": {"/plan", "See an example"},
		"compare": {"/plan/compare", "Keep two plans"}, "shelf": {"/shelf", "Nothing is bottled yet"}, "kitchen": {"/kitchen", "None yet"},
		"learned": {"/kitchen/learned", "No finished jug has told anything"}, "blend": {"/blend", "A blend takes two jugs"}, "devices": {"/devices", "No other device"}, "handbook": {"/handbook", "Search the handbook"},
		"handbook-none": {"/handbook?q=xyzzy", "Try a single word"}, "calc": {"/calc", "One question, one number"}, "labels": {"/print/labels/nobody", "there is no jug"},
	} {
		b.open(page.path)
		b.see(page.says)
		b.fits(320)
		b.picture("empty-" + name)
	}
}
