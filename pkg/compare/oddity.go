package compare

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// A condition of a drive is unlike those of the others where it lies this far
// outside of all of them. Judgement, no source.
const (
	ambientApart = 2.0                               // K
	speedApart   = 5 * quantity.KilometrePerHour     // m/s
	sinceApart   = 300.                              // s
	briefShare   = 1. / 3                            // of the shortest time of the others
	ownApart     = quantity.TemperatureDifference(1) // K, of what is known of its readings
)

// oddity says how far a drive lies from the others of its side, and in which of
// its conditions it is unlike all others.
func oddity(name string, sides [2][]DriveRise) string {
	var side []DriveRise
	var odd DriveRise
	var others []DriveRise
	for _, rises := range sides {
		for _, r := range rises {
			if r.Drive == name {
				odd, side = r, rises
			} else {
				others = append(others, r)
			}
		}
	}
	side = slices.DeleteFunc(slices.Clone(side), func(r DriveRise) bool { return r.Drive == name })
	if len(side) == 0 {
		return "It is the only one of its side"
	}
	units := unitsOf(sides[0], sides[1])
	way, off := "above", float64(odd.Mean)-stat.Mean(means(side), nil)
	if off < 0 {
		way = "below"
	}
	text := fmt.Sprintf("Its rise lies %s %s the mean of the others with %q", units.Say(quantity.KindTemperatureDifference, "%.1f", math.Abs(off)), way, odd.Configuration)
	unlike := conditions(odd, others, units)
	if len(unlike) == 0 {
		return text + ", and neither the outside air nor its speed, its time since the opening or how long it had this driving is unlike the others'"
	}
	return text + "; unlike the others it was driven " + strings.Join(unlike, ", ")
}

// conditions are those in which a drive lies outside of all others.
func conditions(odd DriveRise, others []DriveRise, units quantity.Preferred) (unlike []string) {
	check := func(what string, k quantity.Kind, apart float64, of func(DriveRise) float64) {
		low, high := math.Inf(1), math.Inf(-1)
		for _, r := range others {
			if x := of(r); !math.IsNaN(x) {
				low, high = math.Min(low, x), math.Max(high, x)
			}
		}
		if x := of(odd); x < low-apart || x > high+apart {
			unlike = append(unlike, fmt.Sprintf("%s (%s, they %s)", what, units.Say(k, "%.0f", x), units.Span(k, "%.0f", low, high)))
		}
	}
	check("in other air", quantity.KindTemperature, ambientApart, func(r DriveRise) float64 { return r.Ambient.Kelvin() })
	check("at another speed", quantity.KindSpeed, speedApart.MetresPerSecond(), func(r DriveRise) float64 { return r.Speed.MetresPerSecond() })
	check("another time after the opening", quantity.KindDuration, sinceApart, func(r DriveRise) float64 { return r.SinceOpening })
	shortest := math.Inf(1)
	for _, r := range others {
		shortest = math.Min(shortest, r.Time)
	}
	if odd.Time < briefShare*shortest {
		unlike = append(unlike, fmt.Sprintf("for %.0f s only (they at least %.0f s)", odd.Time, shortest))
	}
	if !slices.ContainsFunc(others, func(r DriveRise) bool { return odd.Own <= r.Own+ownApart }) {
		unlike = append(unlike, "with an outside temperature that was stated, not measured")
	}
	return unlike
}
