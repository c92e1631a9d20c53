package web

import (
	"net/http"
	"net/http/httptest"
	"testing"
)

// fromAfar serves s as if every request came from a phone in the home network.
func fromAfar(t *testing.T, s *Server) string {
	t.Helper()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.RemoteAddr = phone
		s.ServeHTTP(w, r)
	}))
	t.Cleanup(server.Close)
	return server.URL
}

// A phone is refused, reads the code off the screen of the machine, is let in, and is
// refused again once it is let in no longer.
func TestBrowserPairsAPhone(t *testing.T) {
	s, _ := atHome(t)
	desk := onTable(t, s)
	hand := newTab(t, fromAfar(t, s), 390, 844)

	hand.open("/")
	hand.see("Pair this device")

	desk.open("/devices")
	desk.press("Pair a phone")
	desk.see("Point the camera of the phone here")
	desk.picture("devices")
	code := read[string](desk, `document.querySelector("[data-code]").textContent`)

	hand.open("/pair#" + code) // as the camera opens it
	hand.until("takes the code out of the address", func() bool {
		return read[string](hand, `location.hash`) == "" && read[string](hand, `document.querySelector("[name=code]").value`) == code
	})
	hand.write("name", "Ada's phone")
	hand.picture("pair-phone")
	hand.press("Pair")
	hand.until("is the cellar", func() bool { return read[string](hand, `location.pathname`) == "/" })

	desk.open("/devices")
	desk.press("Let in no longer")
	desk.see("No other device has been let in")
	hand.open("/")
	hand.see("Pair this device")
}
