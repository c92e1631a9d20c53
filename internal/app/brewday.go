package app

import "skep/internal/measure"

// BrewDayResult says whether what was weighed and what was read agree.
type BrewDayResult struct {
	Agree    bool          `json:"agree"`
	Sentence string        `json:"sentence"`
	Expected measure.Range `json:"expected"`        // SG 20/20 that the sample should have today, with the juice that is out of the fruit by now
	Read     measure.Range `json:"read"`            // SG 20/20, corrected for temperature
	Original measure.Range `json:"original"`        // SG 20/20 that counts, once the fruit has given all its juice
	Volume   measure.Range `json:"volume"`          // L of must that the parts come to
	Z        float64       `json:"z"`               // how far apart, in standard deviations
	Would    *Reconciled   `json:"would,omitempty"` // nil when they agree
}

// Reconciled is what would have to be true for the reading to be right. Zero: nothing would do.
type Reconciled struct {
	Litres      float64 `json:"litres"`      // L of must, with the parts as told
	Ingredient  string  `json:"ingredient"`  // the sweetest part
	Grams       float64 `json:"grams"`       // of it, with the volume as told
	Temperature float64 `json:"temperature"` // °C of the sample, with parts and volume as told
}
