package estimate

// Posterior is what the evidence says of a jug's past, present and future, as an
// ensemble of jugs any of which may be the real one.
type Posterior struct {
	Misfits      []Misfit // readings that do not fit, in time order
	Contradicted string   // "" or one sentence: the evidence contradicts the ensemble, which then is as wide as before it
}
