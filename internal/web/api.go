package web

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"reflect"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"skep/internal/app"
	"skep/internal/app/calc"
	"skep/internal/app/handbook"
	"skep/internal/measure"
)

// apiPrefix is where other programs ask: the same use cases as pages and terminal, as
// JSON. Its description lies at apiPrefix + "/openapi.json" (OpenAPI 3.1); errors are
// problem details (RFC 9457).
const apiPrefix = "/api"

const apiText = `The use cases of a cellar, as JSON. Words are those a person would say, with their units
("2 1/2 cups honey", "1.032 at 72 F"); numbers are answered as {"value", "unit", "low", "high"}, the range
holding the truth in four cases of five. What is written is never edited: an entry is corrected or withdrawn
by another. A request that writes may carry the header Idempotency-Key (16 to 64 letters and digits): sent
again under the same key it is recorded once.`

// apiRoutes are the addresses of the API.
func (s *Server) apiRoutes() {
	config := huma.DefaultConfig("Skep", "1")
	config.Info.Description = apiText
	config.OpenAPIPath = apiPrefix + "/openapi"
	config.DocsPath, config.SchemasPath = "", "" // its page of documents would load from elsewhere
	config.CreateHooks = nil                     // no link to a schema in every answer
	config.Components.Schemas.RegisterTypeAlias(reflect.TypeFor[measure.Range](), reflect.TypeFor[apiRange]())
	a := api{huma: humago.New(s.mux, config), cellar: s.cellar, fresh: s.fresh, failed: s.problem}

	get(a, "/today", "What every jug wants by now and in days to come, most urgent first", func(c *app.Cellar, ctx context.Context, in *struct {
		Ahead int `query:"ahead" minimum:"0" maximum:"3650" doc:"days to look ahead"`
	},
	) (map[string][]app.Wanted, error) {
		wants, err := c.Today(ctx, time.Duration(in.Ahead)*24*time.Hour)
		return map[string][]app.Wanted{"wants": wants}, err
	})
	get(a, "/jugs", "The names of all jugs, the youngest first", func(c *app.Cellar, ctx context.Context, _ *struct{}) (map[string][]string, error) {
		k, err := c.Kitchen(ctx)
		return map[string][]string{"jugs": k.Jugs}, err
	})
	post(a, "/jugs", "Record brew day: a new jug", http.StatusCreated, func(c *app.Cellar, ctx context.Context, in *sent[app.StartWords]) (app.Started, error) {
		return c.Start(ctx, in.Body)
	})
	get(a, "/jugs/{jug}", "Where a jug stands, what it was and will be", func(c *app.Cellar, ctx context.Context, in *OfJug) (app.Stood, error) {
		return c.Stand(ctx, in.Jug)
	})
	get(a, "/jugs/{jug}/history", "Everything written of a jug", func(c *app.Cellar, ctx context.Context, in *OfJug) (map[string][]app.HistoryLine, error) {
		lines, err := c.History(ctx, in.Jug)
		return map[string][]app.HistoryLine{"entries": lines}, err
	})
	post(a, "/jugs/{jug}/history/{number}/withdrawal", "Take an entry back; it stays, marked", http.StatusCreated, func(c *app.Cellar, ctx context.Context, in *struct {
		OfJug
		Keyed
		Number int `path:"number" minimum:"1"`
		Body   struct {
			Why string `json:"why,omitempty"`
		}
	},
	) (app.Recorded, error) {
		return c.Withdraw(ctx, in.Jug, in.Number, in.Body.Why)
	})
	record(a, "looks", "Record what was seen", func(c *app.Cellar, ctx context.Context, jug string, w app.LookWords) (app.Recorded, error) {
		w.Jug = jug
		return c.Look(ctx, w)
	})
	record(a, "additions", "Record what went in", func(c *app.Cellar, ctx context.Context, jug string, w app.AddWords) (app.Recorded, error) {
		w.Jug = jug
		return c.Add(ctx, w)
	})
	record(a, "pitchings", "Record that yeast went in", func(c *app.Cellar, ctx context.Context, jug string, w app.PitchWords) (app.Recorded, error) {
		w.Jug = jug
		return c.Pitch(ctx, w)
	})
	record(a, "rackings", "Record a racking off the lees", func(c *app.Cellar, ctx context.Context, jug string, w app.RackWords) (app.Recorded, error) {
		w.Jug = jug
		return c.Rack(ctx, w)
	})
	record(a, "moves", "Record where it stands now", func(c *app.Cellar, ctx context.Context, jug string, w app.MoveWords) (app.Recorded, error) {
		w.Jug = jug
		return c.Move(ctx, w)
	})
	post(a, "/jugs/{jug}/bottling", "Whether it may be bottled and in which bottles; with done, that it was", http.StatusOK, func(c *app.Cellar, ctx context.Context, in *sentToJug[app.BottleWords]) (app.BottleAnswer, error) {
		in.Body.Jug = in.Jug
		return c.Bottle(ctx, in.Body)
	})
	post(a, "/jugs/{jug}/finish", "The way to the bottle; with done, record its next step", http.StatusOK, func(c *app.Cellar, ctx context.Context, in *sentToJug[app.FinishWords]) (app.FinishAnswer, error) {
		in.Body.Jug = in.Jug
		return c.Finish(ctx, in.Body)
	})
	post(a, "/jugs/{jug}/trial", "Glasses to taste, and the best one for the whole jug; with done, record that", http.StatusOK, func(c *app.Cellar, ctx context.Context, in *sentToJug[app.TrialWords]) (app.TrialAnswer, error) {
		in.Body.Jug = in.Jug
		return c.Trial(ctx, in.Body)
	})
	post(a, "/blends", "What wines of several jugs make together; with done, record it in all of them", http.StatusOK, func(c *app.Cellar, ctx context.Context, in *sent[app.BlendWords]) (app.BlendAnswer, error) {
		return c.Blend(ctx, in.Body)
	})
	record(a, "tastings", "Record what it tasted like", func(c *app.Cellar, ctx context.Context, jug string, w app.TasteWords) (app.Recorded, error) {
		w.Jug = jug
		return c.Taste(ctx, w)
	})
	get(a, "/jugs/{jug}/tastings", "How it was found to be over time", func(c *app.Cellar, ctx context.Context, in *OfJug) (app.Tastings, error) {
		return c.Tastings(ctx, in.Jug)
	})
	record(a, "openings", "Record that bottles left the shelf: drunk, given, broken", func(c *app.Cellar, ctx context.Context, jug string, w app.OpenWords) (app.Recorded, error) {
		w.Jug = jug
		return c.OpenBottle(ctx, w)
	})
	record(a, "shelvings", "Record where its bottles stand now", func(c *app.Cellar, ctx context.Context, jug string, w app.ShelveWords) (app.Recorded, error) {
		w.Jug = jug
		return c.Shelve(ctx, w)
	})
	get(a, "/shelf/{name}", "The whole story of a jug's bottles, by the jug or by what the lot is called", func(c *app.Cellar, ctx context.Context, in *Named) (app.LotStory, error) {
		return c.Lot(ctx, in.Name)
	})
	get(a, "/shelf", "The bottles that are left, the oldest first", func(c *app.Cellar, ctx context.Context, _ *struct{}) (map[string][]app.ShelfLot, error) {
		lots, err := c.Shelf(ctx)
		return map[string][]app.ShelfLot{"lots": lots}, err
	})
	post(a, "/plan", "Work out what a jug can become; nothing is kept", http.StatusOK, func(c *app.Cellar, ctx context.Context, in *sent[app.PlanWords]) (app.Plan, error) {
		return c.Plan(ctx, in.Body)
	})
	get(a, "/plans", "The names of the plans that are kept", func(c *app.Cellar, ctx context.Context, _ *struct{}) (map[string][]string, error) {
		names, err := c.PlanNames(ctx)
		return map[string][]string{"plans": names}, err
	})
	get(a, "/plans/{name}", "A plan that is kept", func(c *app.Cellar, ctx context.Context, in *Named) (app.Plan, error) {
		return c.KeptPlan(ctx, in.Name)
	})
	get(a, "/plans/{name}/sheet", "Brew day of a kept plan, step by step", func(c *app.Cellar, ctx context.Context, in *Named) (app.Sheet, error) {
		plan, err := c.KeptPlan(ctx, in.Name)
		if err != nil {
			return app.Sheet{}, err
		}
		return c.Sheet(ctx, plan)
	})
	get(a, "/calc", "What single questions can be asked", func(*app.Cellar, context.Context, *struct{}) (map[string][]calc.Calculation, error) {
		return map[string][]calc.Calculation{"calculations": calc.All()}, nil
	})
	post(a, "/calc/{name}", "Answer a single question", http.StatusOK, func(c *app.Cellar, _ context.Context, in *struct {
		Named
		Body map[string][]string `doc:"words by the name of the input, {\"og\": [\"1.098\"]}"`
	},
	) (json.RawMessage, error) {
		for _, k := range calc.All() {
			if k.Name == in.Name {
				answer, err := k.Answer(in.Body, c.Units())
				if err != nil {
					return nil, err
				}
				return json.Marshal(answer)
			}
		}
		return nil, errNoCalculation
	})
	get(a, "/handbook", "What the handbook tells of", func(*app.Cellar, context.Context, *struct{}) (map[string][]handbook.Chapter, error) {
		return map[string][]handbook.Chapter{"chapters": handbook.Contents()}, nil
	})
	s.mux.HandleFunc(apiPrefix+"/", func(w http.ResponseWriter, r *http.Request) {
		writeProblem(w, &huma.ErrorModel{
			Status: http.StatusNotFound, Title: http.StatusText(http.StatusNotFound),
			Detail: "there is nothing at " + r.URL.Path + "; see " + apiPrefix + "/openapi.json",
		})
	})
}

var errNoCalculation = &huma.ErrorModel{
	Status: http.StatusNotFound, Title: http.StatusText(http.StatusNotFound), Detail: "no calculation is called so; see " + apiPrefix + "/calc",
}

// apiRange is measure.Range as JSON has it.
type apiRange struct {
	Value *float64 `json:"value" doc:"null: not known"`
	Unit  string   `json:"unit"`
	Low   *float64 `json:"low"`
	High  *float64 `json:"high"`
}

// api is what an operation is registered with.
type api struct {
	huma   huma.API
	cellar *app.Cellar
	fresh  func(context.Context, *app.Cellar) (*app.Cellar, error) // in the units of the day
	failed func(error) error
}

// Parts of requests; the library that reads them wants their names in capitals.
type (
	OfJug struct {
		Jug string `path:"jug" doc:"name of the jug, or its beginning"`
	}
	Named struct {
		Name string `path:"name"`
	}
	Keyed struct {
		Key string `header:"Idempotency-Key" pattern:"^[A-Za-z0-9]{16,64}$" doc:"new for each request; the same when it is sent again"`
	}
	sent[W any] struct {
		Keyed
		Body W
	}
	sentToJug[W any] struct {
		OfJug
		Keyed
		Body W
	}
)

// once is the key of a request that has one.
func (k *Keyed) once() string { return k.Key }

type answered[O any] struct{ Body O }

func get[I, O any](a api, path, summary string, use func(*app.Cellar, context.Context, *I) (O, error)) {
	register(a, http.MethodGet, path, summary, http.StatusOK, use)
}

func post[I, O any](a api, path, summary string, status int, use func(*app.Cellar, context.Context, *I) (O, error)) {
	register(a, http.MethodPost, path, summary, status, use)
}

// record registers what writes an entry into a jug's record.
func record[W any](a api, what, summary string, use func(*app.Cellar, context.Context, string, W) (app.Recorded, error)) {
	post(a, "/jugs/{jug}/"+what, summary, http.StatusCreated, func(c *app.Cellar, ctx context.Context, in *sentToJug[W]) (app.Recorded, error) {
		return use(c, ctx, in.Jug, in.Body)
	})
}

func register[I, O any](a api, method, path, summary string, status int, use func(*app.Cellar, context.Context, *I) (O, error)) {
	id := strings.ToLower(method) + strings.NewReplacer("/", "-", "{", "", "}", "").Replace(path)
	huma.Register(a.huma, huma.Operation{
		OperationID: id, Method: method, Path: apiPrefix + path, Summary: summary, DefaultStatus: status, MaxBodyBytes: largestForm,
	}, func(ctx context.Context, in *I) (*answered[O], error) {
		cellar, err := a.fresh(ctx, a.cellar)
		if err != nil {
			return nil, a.failed(err)
		}
		if k, ok := any(in).(interface{ once() string }); ok && k.once() != "" {
			if cellar, err = cellar.Once(k.once()); err != nil {
				return nil, a.failed(err)
			}
		}
		out, err := use(cellar, ctx, in)
		if err != nil {
			return nil, a.failed(err)
		}
		return &answered[O]{out}, nil
	})
}

// problem is an error as problem details.
func (s *Server) problem(err error) error {
	var done *huma.ErrorModel
	if errors.As(err, &done) {
		return done
	}
	p := &huma.ErrorModel{Status: http.StatusUnprocessableEntity, Detail: err.Error()}
	var asked *app.AskError
	var hinted interface{ Hint() string }
	var yet *app.NotYetError
	switch {
	case errors.As(err, new(*app.NoJugError)):
		p.Status = http.StatusNotFound
	case errors.As(err, &asked):
		p.Detail = asked.Err.Error()
		p.Errors = []*huma.ErrorDetail{{Message: asked.Err.Error(), Location: "body." + asked.Field, Value: asked.Words}}
	case errors.As(err, &yet):
		p.Status = http.StatusConflict
	default:
		s.log.Error("request", "error", err)
	}
	p.Title = http.StatusText(p.Status)
	if errors.As(err, &hinted) && hinted.Hint() != "" {
		p.Detail += "; " + hinted.Hint()
	}
	return p
}

// writeProblem answers with problem details where no operation does.
func writeProblem(w http.ResponseWriter, p *huma.ErrorModel) {
	w.Header().Set("Content-Type", p.ContentType("application/json"))
	w.WriteHeader(p.Status)
	_ = json.NewEncoder(w).Encode(p) // the caller went away
}
