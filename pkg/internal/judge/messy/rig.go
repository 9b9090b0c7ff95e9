package messy

import (
	"fmt"
	"math/rand/v2"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/instrument"
)

// Rig is what was taped to which engine.
type Rig struct {
	Name string
	Why  string
	// Variant of the car; empty draws one of the physical variants.
	Variant string
	// Places of the first and the second logger; an empty second has none.
	First, Second []instrument.Place
	NoPhone       bool
	NoPulls       bool
	NoHop         bool
	EngineReader  bool // the injected engine's own sensors, read once a second
	OneEach       bool // one drive a side
	OneSide       bool // all drives of one configuration
}

// Rigs lists the rigs, the complete one first.
func Rigs() []Rig {
	const (
		in, in2, throat, front, rear = instrument.Intake, instrument.Intake2, instrument.Throat, instrument.BayFront, instrument.BayRear
		nose, tank, water, head, oil = instrument.Grille, instrument.UpperTank, instrument.Coolant, instrument.Head, instrument.Oil
	)
	type places = []instrument.Place
	return []Rig{
		{Name: "complete", Why: "two loggers and a phone", First: places{in, front, nose, tank}, Second: places{throat, rear, water}},
		{Name: "two loggers, no coolant", Why: "the tank alone tells of the valve", First: places{in, rear, nose, tank}, Second: places{throat, rear, front}},
		{Name: "one logger", Why: "four channels and a phone", First: places{in, front, nose, tank}},
		{Name: "no radiator probe", Why: "nothing tells of the valve", First: places{in, front, nose, rear}},
		{Name: "air-cooled twin", Why: "no valve; head and oil", Variant: "air-cooled", First: places{in, in2, nose, head}, Second: places{oil, rear}, NoHop: true},
		{Name: "two intakes", Why: "a filter for each carburettor", First: places{in, in2, nose, tank}, Second: places{throat, front}},
		{Name: "injected", Why: "an engine with its own intake sensor", Variant: "injected", First: places{in, front, nose, tank}, EngineReader: true},
		{Name: "motorcycle", Why: "little bay, air-cooled", Variant: "motorcycle", First: places{in, nose, head, oil}, NoHop: true},
		{Name: "no phone", Why: "no speed, no place", First: places{in, front, nose, tank}, Second: places{throat, water}, NoPhone: true},
		{Name: "no full throttle", Why: "a gentle owner", First: places{in, front, nose, tank}, Second: places{throat, water}, NoPulls: true},
		{Name: "no ambient probe", Why: "weather from elsewhere", First: places{in, front, rear, tank}},
		{Name: "one drive a side", Why: "an impatient owner", First: places{in, front, nose, tank}, OneEach: true},
		{Name: "one configuration", Why: "the change has not come yet", First: places{in, front, nose, tank}, OneSide: true},
	}
}

// RigNamed finds a rig. It fails when there is none of that name.
func RigNamed(name string) (Rig, error) {
	var names []string
	for _, r := range Rigs() {
		if r.Name == name {
			return r, nil
		}
		names = append(names, r.Name)
	}
	return Rig{}, fmt.Errorf("messy: rig %q is none of %q", name, names)
}

// labels are what the owner wrote beside the channels: T1 grille, CH2 …; a
// place that occurs twice gets another word.
func labels(lang language, places []instrument.Place, rng *rand.Rand) []string {
	prefix := []string{"T%d ", "CH%d ", "%d ", "", "TC%d "}[rng.IntN(5)]
	var out []string
	for i, p := range places {
		words := lang.places[p]
		word := words[rng.IntN(len(words))]
		for j := range out {
			if len(words) > 1 && len(out[j]) >= len(word) && out[j][len(out[j])-len(word):] == word {
				word = words[(rng.IntN(len(words)-1)+1)%len(words)] + " 2"
			}
		}
		if prefix != "" {
			word = fmt.Sprintf(prefix, i+1) + word
		}
		out = append(out, word)
	}
	return out
}
