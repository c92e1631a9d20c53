package app

import "skep/internal/measure"

// Sheet is brew day step by step.
type Sheet struct {
	Name     string        `json:"name"`
	Steps    []Step        `json:"steps"`
	FullKg   measure.Range `json:"full_weight"` // kg of must in the full jug, without the jug
	Warnings []string      `json:"warnings,omitempty"`
}

// Step is one thing to do on brew day or soon after.
type Step struct {
	Title      string        `json:"title"`
	Do         []string      `json:"do"` // in order, one sentence each
	Quantities []Amount      `json:"quantities,omitempty"`
	Minutes    measure.Range `json:"minutes"`
	Caution    []string      `json:"caution,omitempty"`
	When       string        `json:"when"` // "brew day", "day 2"
}
