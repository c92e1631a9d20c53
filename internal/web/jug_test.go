package web

import "skep/internal/app"

var startWords = app.StartWords{
	Name: "heather", Jug: "4.5 L", With: []string{"1.1 kg honey"}, Yeast: "a packet of white wine yeast", Room: "20 C", Gravity: "1.084 at 20 C",
}
