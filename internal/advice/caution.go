package advice

import "fmt"

// CautionKey names a caution.
type CautionKey string

// The cautions.
const (
	Bursting  CautionKey = "bursting"
	HotGlass  CautionKey = "hot glass"
	NeverSeal CautionKey = "never seal"
	RoomAir   CautionKey = "room air"
	Sulphites CautionKey = "sulphites"
	Infants   CautionKey = "infants"
	Plants    CautionKey = "plants"
	Cleaners  CautionKey = "cleaners"
	Stills    CautionKey = "stills"
	LocalLaw  CautionKey = "local law"
)

// Cautions are all of them, in the order in which a maker meets them.
var Cautions = []CautionKey{LocalLaw, Plants, HotGlass, Cleaners, NeverSeal, RoomAir, Sulphites, Bursting, Infants, Stills}

var cautions = map[CautionKey]struct{ words, when, source string }{
	LocalLaw: {
		"Making wine at home for yourself is allowed in many places and selling it in hardly any: check your local rules.",
		"before the first jug", "27 CFR 24.75 and HMRC Excise Notice 163, read in part; other places vary",
	},
	Plants: {
		"Use only a plant that you have identified with certainty from two guides, and only the parts named; if someone falls ill, keep the plant and call your poison centre or emergency number.",
		"planning with flowers, leaves, roots or wild fruit", "usual caution, from memory, unverified",
	},
	HotGlass: {
		"Never pour boiling or hot liquid into a glass jug: cool it in a pot to within 20 °C of the glass first.",
		"making a must that was heated", "35 °C is the lowest published test (GOST R 53921-2010); 20 is our policy",
	},
	Cleaners: {
		"Never mix cleaners: bleach with acid or sulphite gives off poisonous gas. Rinse between steps.",
		"cleaning", "general chemical safety pages, secondary",
	},
	NeverSeal: {
		"Never seal a must that works: always an airlock or a loose cover, and look that fruit has not blocked it.",
		"from pitching until it is bottled", "usual caution; how soon it bursts is computed, see the forecast of a working jug",
	},
	RoomAir: {
		"Working jugs give off carbon dioxide, which gathers low: air small rooms and cellars, and leave at once if you are short of breath or your head aches.",
		"several jugs, or one in a cupboard or cellar", "limits of NIOSH and OSHA for carbon dioxide, 5000 ppm over 8 hours",
	},
	Sulphites: {
		`Sulphites can bring on asthma: write "contains sulphites" on the label and tell your guests.`,
		"sulphite went in", "27 CFR 4.32(e), from 10 ppm; ferments make a little of their own",
	},
	Bursting: {
		"A bottle under pressure can burst and maim: use sound bottles made for it, keep them boxed, cool and away from people, and wear eye protection.",
		"bottling, and whenever bottles stand that hold sugar", "usual caution; the pressure is computed for each bottling",
	},
	Infants: {
		"Never give honey, or anything made with it, to a child under one year.",
		"honey is used", "INSPQ (Quebec public health), read",
	},
	Stills: {
		"Skep is for wine and mead. It gives no help with distilling or freezing out strength, which are unlawful in most places and dangerous.",
		"the handbook", "national laws, in general",
	},
}

// Caution returns the sentence. It panics on a key that is none of Cautions.
func Caution(k CautionKey) string {
	c, known := cautions[k]
	if !known {
		panic(fmt.Sprintf("advice: no caution is called %q", k))
	}
	return c.words
}

// CautionWhen returns when to show it, and where it comes from. It panics as Caution does.
func CautionWhen(k CautionKey) (when, source string) {
	_ = Caution(k)
	return cautions[k].when, cautions[k].source
}
