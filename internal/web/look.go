package web

import (
	"skep/internal/app"
	"skep/internal/measure"
)

// lookFields are what may be seen of a jug, what is seen most often first. The page look
// has a button beside bubbles that counts them (assets/count.js).
func lookFields(f form, sys measure.System) []field {
	return []field{
		newField(f, "bubbles", "Bubbles a minute", `or “one every 12 s”, or “none”`),
		weightField(f, sys, "mass", "Weight of the jug", "with all that is in and on it"),
		newField(f, "gravity", "Gravity", `as the hydrometer shows it: “1.032”`).Number(),
		newField(f, "sample", "Sample at, in °"+degrees(sys), "empty: as warm as the room").Number(),
		newField(f, "room", "Room, in °"+degrees(sys), "").Number(),
		newField(f, "smell", "Smell", "").From("smells"),
		newField(f, "note", "Note", `anything else: “foam”, “stirred”`),
		newField(f, "liquid", "Must, in °"+degrees(sys), "").Number(),
		newField(f, "taste", "Taste", "", "dry", "off-dry", "medium dry", "medium", "medium sweet", "sweet"),
		newField(f, "clarity", "Clarity", `“cloudy”, “hazy”, “clear”`),
		newField(f, "spent", "Gravity fermented out", "of a sample that fresh yeast fermented out in the warm: “0.994”, “0.994 at 21 C”"),
		newField(f, "refractometer", "Refractometer, °Bx", "").Number(),
		newField(f, "ph", "pH", "").Number(),
		newField(f, "ta", "Titratable acidity, g/L as tartaric acid", "by titration").Number(),
		newField(f, "drawn", "Taken out and not given back", `“100 mL”`),
		newField(f, "calibrated", "The hydrometer is made for, in °"+degrees(sys), "as printed on it; empty: 20 °C").Number(),
		whenField(f),
	}
}

// lookWords are what was seen, each with the unit that stands beside its field.
func lookWords(jug string, f form, sys measure.System) app.LookWords {
	gravity := f.Get("gravity")
	if sample := f.Get("sample"); gravity != "" && sample != "" {
		gravity += " at " + withUnit(sample, degrees(sys))
	}
	ph := f.Get("ph")
	if onlyNumber.MatchString(ph) {
		ph = "pH " + ph
	}
	return app.LookWords{
		Jug: jug, Bubbles: withUnit(f.Get("bubbles"), "bubbles a minute"), Mass: withUnit(f.Get("mass"), weight(sys)),
		Gravity: gravity, Room: withUnit(f.Get("room"), degrees(sys)), Smell: f.Get("smell"), Note: f.Get("note"),
		Liquid: withUnit(f.Get("liquid"), degrees(sys)), Taste: f.Get("taste"), Clarity: f.Get("clarity"),
		Spent: f.Get("spent"), Brix: withUnit(f.Get("refractometer"), "Bx"), PH: ph, TA: withUnit(f.Get("ta"), "g/L"), Drawn: f.Get("drawn"),
		Calibrated: withUnit(f.Get("calibrated"), degrees(sys)), When: f.Get("when"), Instead: f.number("instead"),
	}
}
