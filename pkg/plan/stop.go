package plan

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
)

// A sequence of looks begins with four drives, and there is one after each drive
// until there were ten.
const (
	firstLook = 4
	mostLooks = 10
)

// Stopping says whether one may stop after these drives.
type Stopping struct {
	// Look is which of the Looks planned this one is; 0 before the first, above
	// Looks when all are used up.
	Look, Looks int
	// Level is that of the interval at this look: with it all looks together
	// call a car cooler or warmer on which nothing was changed in 5 of 100
	// campaigns. NaN where there is no look.
	Level float64
	// Word is the one of this level; Stop says that it is an answer.
	Word compare.Verdict
	Stop bool
}

// MayStop answers whether the drives of a difference are enough, for somebody
// who asks after each drive and stops at the first answer: an interval of 95 %
// looked at ten times errs in one of five campaigns ([ErrorOf]). level is that
// of the whole sequence, 0.5 < level < 1, such as 0.95; otherwise there is no
// look.
func MayStop(d compare.Difference, level float64) Stopping {
	s := Stopping{Look: max(0, d.Before.Drives+d.After.Drives-firstLook+1), Looks: mostLooks, Level: math.NaN(), Word: compare.Undecided}
	if s.Look == 0 || s.Look > mostLooks || !(level > 0.5 && level < 1) {
		return s
	}
	var times []float64 // up to this one: the later ones don't change its bound
	for k := range s.Look {
		times = append(times, float64(firstLook+k)/(firstLook+mostLooks-1))
	}
	bounds, err := Bounds(times, 1-level, SpendEvenly)
	if err != nil {
		return s
	}
	s.Level = 2*distuv.UnitNormal.CDF(bounds[s.Look-1]) - 1
	s.Word = d.VerdictAt(s.Level)
	s.Stop = s.Word > compare.Undecided
	return s
}

// String answers in a sentence.
func (s Stopping) String() string {
	switch {
	case s.Look == 0:
		return fmt.Sprintf("Not yet: a first look needs %d drives.", firstLook)
	case s.Look > s.Looks:
		return fmt.Sprintf("The %d looks that were planned are used up: the interval of the answer holds for one look at all of these drives, not for the best of many.", s.Looks)
	case s.Stop:
		return fmt.Sprintf("Yes: %v, also at the %.1f %% that look %d of %d asks for if you look after each drive.", s.Word, 100*s.Level, s.Look, s.Looks)
	}
	return fmt.Sprintf("No: look %d of %d asks for %.1f %% if you look after each drive, and at that the drives are %v.", s.Look, s.Looks, 100*s.Level, s.Word)
}
