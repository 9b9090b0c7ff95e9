// Package compare sets two configurations of a car against each other:
// before and after, open filters and duct.
//
// Three rules keep it fair. Only like stretches are compared (same kind of
// driving, same band of speed, thermally settled). What is compared is the
// rise over ambient, not the temperature. And the unit of evidence is the
// drive: 900 neighbouring readings of one drive repeat each other, so each
// drive gives one mean for each stratum, and intervals come from how these
// means differ between drives.
package compare

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
)

// Stratum is one class of like stretches: a kind of driving within a band of
// mean speed, From ≤ v < To.
type Stratum struct {
	Name     string
	Kinds    []segment.Kind
	From, To quantity.Speed
}

// DefaultStrata returns the usual classes. They are data: change, drop or add
// lines.
func DefaultStrata() []Stratum {
	const kmh = quantity.KilometrePerHour
	moving := []segment.Kind{segment.Steady, segment.OpenRoad}
	return []Stratum{
		{"stopped", []segment.Kind{segment.Stopped}, 0, 5 * kmh},
		{"stop-and-go", []segment.Kind{segment.StopAndGo}, 0, 40 * kmh},
		{"road below 60 km/h", moving, 20 * kmh, 60 * kmh},
		{"road 60 to 95 km/h", moving, 60 * kmh, 95 * kmh},
		{"road above 95 km/h", moving, 95 * kmh, 250 * kmh},
		{"full throttle", []segment.Kind{segment.FullThrottle}, 0, 250 * kmh},
	}
}

// holds reports whether the stretch belongs to the stratum.
func (s Stratum) holds(g segment.Segment) bool {
	if g.MeanSpeed < s.From || g.MeanSpeed >= s.To {
		return false
	}
	for _, k := range s.Kinds {
		if k == g.Kind {
			return true
		}
	}
	return false
}

// Run is one drive with its stretches, ready to be compared.
type Run struct {
	Drive    *drive.Drive
	Segments []segment.Segment
}

// Rules say which stretches take part.
type Rules struct {
	Strata []Stratum
	// Role is the channel whose rise over ambient is compared.
	Role drive.Role
	// Unsettled also takes stretches that are not marked settled. Short kinds
	// (stopped, full throttle) never settle by themselves; for them it is
	// enough that warm-up and heat soak are over.
	Unsettled bool
	// MinimumTime is the least total time in seconds that a drive must spend
	// in a stratum to give a mean.
	MinimumTime float64
	// Level is the coverage of intervals, 0 < Level < 1.
	Level float64
}

// DefaultRules compares the intake's rise with 95 % intervals.
func DefaultRules() Rules {
	return Rules{Strata: DefaultStrata(), Role: drive.Intake, MinimumTime: 10, Level: 0.95}
}

func (r Rules) check() error {
	if !(r.Level > 0 && r.Level < 1) {
		return fmt.Errorf("compare: level %v: an interval's level lies between 0 and 1, such as 0.95", r.Level)
	}
	if len(r.Strata) == 0 {
		return fmt.Errorf("compare: no strata; start from compare.DefaultRules()")
	}
	return nil
}
