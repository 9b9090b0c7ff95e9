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
	nameBay:           "a drive whose speed changes with a warm engine",
	nameSoak:          "a stop of a minute or more with a hot engine",
	nameSoakTime:      "a stop of a few minutes with a hot engine",
	namePickUp:        "a second intake probe where the air enters the box, or a drive with full throttle and long climbs",
}

// ofRadiator are the numbers that an engine cooled by air does not have.
var ofRadiator = map[string]bool{nameBefore: true, nameAfter: true, nameRadiator: true, nameRest: true,
	nameShare: true, nameMixing: true, nameEffectiveness: true}

// Wishes lists what the drive does not give, with the probe or drive that
// would; none about a radiator for an engine that is cooled by air.
func (a Analysis) Wishes() (all []Wish) {
	for _, e := range a.Estimates() {
		if !e.Known() && !(a.cooledByAir && ofRadiator[e.Name]) {
			all = append(all, Wish{Of: e.Name, Why: e.Missing, Need: needs[e.Name]})
		}
	}
	return all
}
