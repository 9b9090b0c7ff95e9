package place

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Side is which of several like places a name speaks of. The zero Side is none.
type Side struct {
	// Kind says between what it tells: "side", "end" or "number".
	Kind string
	// Number is 1 for left and front, 2 for right and rear, or the number itself.
	Number int
}

// sides are the words of the five languages, each a word of its own.
var sides = []struct {
	side  Side
	words []string
}{
	{Side{"side", 1}, []string{"left", "lh", "l", "links", "linke", "linker", "linkes", "li", "gauche", "g", "izquierda", "izquierdo", "izq", "sinistra", "sinistro", "sx", "sin"}},
	{Side{"side", 2}, []string{"right", "rh", "r", "rechts", "rechte", "rechter", "rechtes", "re", "droite", "droit", "d", "derecha", "derecho", "der", "destra", "destro", "dx"}},
	{Side{"end", 1}, []string{"front", "vorn", "vorne", "vorderer", "vordere", "avant", "av", "delantera", "delantero", "anteriore", "ant"}},
	{Side{"end", 2}, []string{"rear", "back", "hinten", "hinterer", "hintere", "arrière", "arriere", "ar", "trasera", "trasero", "posteriore", "post"}},
	{Side{"number", 1}, []string{"first", "1st", "erster", "erste", "erstes", "premier", "première", "1er", "1ère", "primer", "primera", "primero", "primo", "prima"}},
	{Side{"number", 2}, []string{"second", "2nd", "zweiter", "zweite", "zweites", "deuxième", "seconde", "2e", "2ème", "segunda", "segundo", "seconda", "secondo"}},
}

// spare are words for a probe that stands in for another.
var spare = []string{"spare", "backup", "redundant", "ersatz", "reserve", "secours", "rechange", "repuesto", "reserva", "riserva", "scorta"}

// channel matches the number of a logger's channel before a name or behind it, which
// says nothing of a place: "T1", "CH 2", "1".
var channel = regexp.MustCompile(`^\s*(?:(?:t|tc|k|ch|channel|kanal|canal|canale|voie|sonde|probe|sensor|fühler|sonda)\s?)?[0-9]+\s|\s(?:t|tc|k|ch)[0-9]+\s|\s(?:channel|kanal|canal|canale|voie|sonde|probe|sensor|fühler|sonda)\s?[0-9]+\s`)

// SideOf returns which of several like places a name speaks of: left or right, front
// or rear, or a number: "carb 1". A logger's channel is none, and what is said to be
// a spare has none.
func SideOf(name string) Side {
	name = apart.Replace(strings.ToLower(name))
	name = channel.ReplaceAllString(" "+strings.Join(strings.Fields(name), " ")+" ", " ")
	words := strings.Fields(name)
	if slices.ContainsFunc(words, func(w string) bool {
		return slices.ContainsFunc(spare, func(s string) bool { return strings.HasPrefix(w, s) })
	}) {
		return Side{}
	}
	for _, s := range sides {
		if slices.ContainsFunc(words, func(w string) bool { return slices.Contains(s.words, w) }) {
			return s.side
		}
	}
	for _, w := range words {
		digits := strings.TrimLeft(w, "abcdefghijklmnopqrstuvwxyzäöüéèàçñ#")
		if n, err := strconv.Atoi(digits); err == nil && n > 0 && n < 10 {
			return Side{"number", n}
		}
	}
	return Side{}
}
