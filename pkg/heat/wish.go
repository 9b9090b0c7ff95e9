package heat

import "fmt"

// Wish is a number that the drive does not give, and what would give it.
type Wish struct {
	Of   string // the estimate's name
	Why  string // why it is not known
	Need string // the probe or drive that would give it
}

// String returns the wish as a sentence.
func (w Wish) String() string { return fmt.Sprintf("%s: %s (now: %s)", w.Of, w.Need, w.Why) }

const longDrive = "a drive from a cold start that goes on for ten minutes after the opening"

// needs say what would give an estimate, by its name.
var needs = map[string]string{
	nameBefore: longDrive, nameAfter: longDrive, nameRadiator: longDrive, nameRest: longDrive,
	nameShare:         "a probe on the radiator's top tank, and " + longDrive,
	nameMixing:        "a probe in the air behind the radiator, on a drive with villages and hills",
	nameEffectiveness: "a probe in the air behind the radiator and one on its top tank",
	nameBay:           "a drive whose speed changes after the opening",
	nameSoak:          "a stop of a minute or more with a hot engine",
	nameSoakTime:      "a stop of a few minutes with a hot engine",
	namePickUp:        "a second intake probe where the air enters the box, or a drive with full throttle and long climbs",
}

// Wishes lists what the drive does not give, with the probe or drive that
// would.
func (a Analysis) Wishes() (all []Wish) {
	for _, e := range a.Estimates() {
		if !e.Known() {
			all = append(all, Wish{Of: e.Name, Why: e.Missing, Need: needs[e.Name]})
		}
	}
	return all
}
