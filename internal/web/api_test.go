package web

import (
	"bytes"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
)

// ask sends JSON from this machine and returns status, kind and body of the answer.
func ask(t *testing.T, s *Server, method, path, body string, header ...string) (int, string, map[string]any) {
	t.Helper()
	r := httptest.NewRequest(method, "http://localhost"+path, bytes.NewBufferString(body))
	r.RemoteAddr = machine
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	for i := 0; i < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	var got map[string]any
	if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil {
		t.Fatalf("%s %s: %v in %q", method, path, err, w.Body)
	}
	return w.Code, w.Header().Get("Content-Type"), got
}

func TestAPI(t *testing.T) {
	s, _ := atHome(t)
	const start = `{"name": "elderflower", "jug": "1 gal", "with": ["1 kg honey"], "yeast": "a packet of wine yeast", "room": "19 C"}`
	for _, tt := range []struct {
		name, method, path, body string
		status                   int
		want                     string // in the answer
	}{
		{"brew day", "POST", "/api/jugs", start, 201, `"jug":"elderflower"`},
		{"a name that is taken", "POST", "/api/jugs", start, 422, `"detail"`},
		{"a look", "POST", "/api/jugs/elderflower/looks", `{"bubbles": "8/min"}`, 201, `"number":4`},
		{"a look that cannot be understood", "POST", "/api/jugs/elderflower/looks", `{"gravity": "10.50"}`, 422, `"location":"body.gravity"`},
		{"a field that nobody knows", "POST", "/api/jugs/elderflower/looks", `{"bubles": "8/min"}`, 422, `body.bubles`},
		{"no JSON", "POST", "/api/jugs/elderflower/looks", `{"bubbles"`, 400, `"status":400`},
		{"where it stands", "GET", "/api/jugs/elderflower", "", 200, `"standing"`},
		{"no such jug", "GET", "/api/jugs/nettle", "", 404, `there is no jug`},
		{"its history", "GET", "/api/jugs/elderflower/history", "", 200, `"entries"`},
		{"a tasting", "POST", "/api/jugs/elderflower/tastings", `{"look": "hazy", "score": 4}`, 201, `"number":5`},
		{"its tastings", "GET", "/api/jugs/elderflower/tastings", "", 200, `"out_of":10`},
		{"may it be bottled", "POST", "/api/jugs/elderflower/bottling", `{"bottles": ["750 mL"]}`, 200, `"answer":"not yet"`},
		{"bottled against the verdict", "POST", "/api/jugs/elderflower/bottling", `{"bottles": ["2 x 750 mL"], "done": true}`, 409, `not yet`},
		{"with a reason", "POST", "/api/jugs/elderflower/bottling", `{"bottles": ["2 x 750 mL"], "done": true, "despite": "a gift for tonight"}`, 200, `a gift for tonight`},
		{"moved", "POST", "/api/jugs/elderflower/shelvings", `{"place": "larder"}`, 201, `moved to larder`},
		{"opened", "POST", "/api/jugs/elderflower/openings", `{"why": "drunk"}`, 201, `off the shelf`},
		{"the story of its bottles", "GET", "/api/shelf/elderflower", "", 200, `"place":"larder"`},
		{"no such lot", "GET", "/api/shelf/nettle", "", 404, `there is no jug`},
		{"taken back", "POST", "/api/jugs/elderflower/history/4/withdrawal", `{"why": "another jug"}`, 201, `"number":9`},
		{"today", "GET", "/api/today?ahead=7", "", 200, `"wants"`},
		{"too far ahead", "GET", "/api/today?ahead=-1", "", 422, `query.ahead`},
		{"a plan", "POST", "/api/plan", `{"jug": "1 gal", "strength": "11 %vol"}`, 200, `"amounts"`},
		{"a calculation", "POST", "/api/calc/abv", `{"og": ["1.098"], "fg": ["1.004"]}`, 200, `"low"`},
		{"no such calculation", "POST", "/api/calc/luck", `{}`, 404, `"detail"`},
		{"nothing there", "GET", "/api/nothing", "", 404, `openapi.json`},
	} {
		status, kind, got := ask(t, s, tt.method, tt.path, tt.body)
		text, err := json.Marshal(got)
		if err != nil {
			t.Fatal(err)
		}
		if status != tt.status || !strings.Contains(string(text), tt.want) {
			t.Errorf("%s: %s %s = %d %.300s, want %d with %s", tt.name, tt.method, tt.path, status, text, tt.status, tt.want)
		}
		if wantKind := map[bool]string{true: "application/problem+json", false: "application/json"}[tt.status >= 400]; kind != wantKind {
			t.Errorf("%s: content type %q, want %q", tt.name, kind, wantKind)
		}
	}
}

func TestAPISentTwice(t *testing.T) {
	s, _ := atHome(t)
	ask(t, s, "POST", "/api/jugs", `{"name": "rose hip", "jug": "1 gal", "with": ["1 kg honey"], "yeast": "wine yeast"}`)
	for range 2 {
		status, _, got := ask(t, s, "POST", "/api/jugs/rose%20hip/looks", `{"mass": "5.2 kg"}`, "Idempotency-Key", "0123456789abcdef")
		if status != http.StatusCreated || got["number"] != 3.0 {
			t.Errorf("a look under a key = %d, entry %v, want 201 and entry 3 each time", status, got["number"])
		}
	}
	if status, _, _ := ask(t, s, "POST", "/api/jugs/rose%20hip/looks", `{"mass": "5.2 kg"}`, "Idempotency-Key", "short"); status != http.StatusUnprocessableEntity {
		t.Errorf("a key of five letters = %d, want 422", status)
	}
}

// The description is of OpenAPI 3.1, names every address that answers, and points at
// nothing that is not in it.
func TestAPIDescription(t *testing.T) {
	s, _ := atHome(t)
	status, _, got := ask(t, s, http.MethodGet, "/api/openapi.json", "")
	version, _ := got["openapi"].(string)
	if status != http.StatusOK || !strings.HasPrefix(version, "3.1") {
		t.Fatalf("openapi.json = %d, version %q, want 200 and 3.1", status, version)
	}
	paths, _ := got["paths"].(map[string]any)
	for _, p := range []string{"/api/today", "/api/jugs", "/api/jugs/{jug}", "/api/jugs/{jug}/looks", "/api/plan", "/api/calc/{name}"} {
		if paths[p] == nil {
			t.Errorf("the description lacks %s", p)
		}
	}
	components, _ := got["components"].(map[string]any)
	schemas, _ := components["schemas"].(map[string]any)
	refs, ids := 0, []string{}
	var walk func(any)
	walk = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			if ref, ok := v["$ref"].(string); ok {
				refs++
				if schemas[strings.TrimPrefix(ref, "#/components/schemas/")] == nil {
					t.Errorf("the description points at %s, which is not there", ref)
				}
			}
			if id, ok := v["operationId"].(string); ok {
				if slices.Contains(ids, id) {
					t.Errorf("two operations are called %s", id)
				}
				ids = append(ids, id)
			}
			for _, part := range v {
				walk(part)
			}
		case []any:
			for _, part := range v {
				walk(part)
			}
		}
	}
	walk(got)
	if refs < 20 || len(ids) < 15 {
		t.Errorf("%d references and %d operations seen, want all of them", refs, len(ids))
	}
}
