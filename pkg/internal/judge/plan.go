package judge

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/road"
)

// Order is the order in which configurations are driven.
type Order string

// The orders.
const (
	InBlocks Order = "AABB"
	Balanced Order = "ABBA"
	Shuffled Order = "random"
)

// Orders lists the orders.
func Orders() []Order { return []Order{InBlocks, Balanced, Shuffled} }

// Flaw is what spoils a campaign.
type Flaw string

// The flaws.
const (
	WarmStart         Flaw = "warm start"         // the drives after begin at 55 to 85 °C
	WarmerBy4         Flaw = "warmer by 4.5 K"    // the days after are warmer
	WarmerBy8         Flaw = "warmer by 8 K"      //
	Refit             Flaw = "refit"              // the intake probe moves with its part: 0.8 to 2.5 K
	Drift             Flaw = "drift"              // the rise grows by 1 to 3 K over the campaign, whatever is fitted
	UnequalScatter    Flaw = "unequal scatter"    // after scatters three times as much as before, or the other way
	Outlier           Flaw = "outlier"            // one drive 6 to 12 K off
	OtherRoute        Flaw = "other route"        // the drives after take another road
	SameConfiguration Flaw = "same configuration" // nothing was changed
)

// Flaws lists the flaws.
func Flaws() []Flaw {
	return []Flaw{WarmStart, WarmerBy4, WarmerBy8, Refit, Drift, UnequalScatter, Outlier, OtherRoute, SameConfiguration}
}

// Plan is a campaign to be made. The same plan makes the same campaign.
type Plan struct {
	Seed          uint64
	Before, After int // drives a side, at least 1 and 0
	Order         Order
	// Variant is one of car.Names; empty takes the variants in turn by seed.
	Variant string
	// ScatterK is the sd between drives at 60 to 95 km/h, 0 to 6; Heavy has
	// long tails; DayCorrelation (0 to 0.95) makes a drive like the one before.
	ScatterK       float64
	Heavy          bool
	DayCorrelation float64
	// PlantedK is added to the intake's air after the change, the same in every
	// kind of driving; 0 fits a duct instead (DrawDuct), unless the flaw says
	// that nothing was changed.
	PlantedK float64
	Flaws    []Flaw
	Road     road.Kind // empty is Mixed
	StepS    float64   // of the loggers, 0 is 2 s
	Season   car.Season
	// Hop adds a last drive too short for the valve to open; NoPulls drivers
	// never use full throttle; Park stops one drive with the engine off for 8
	// to 25 minutes on its way.
	Hop, NoPulls, Park bool
	// Law fixes the law of ambient; nil draws it with the car.
	Law *car.AmbientLaw
}

func (p Plan) has(f Flaw) bool {
	for _, g := range p.Flaws {
		if g == f {
			return true
		}
	}
	return false
}

// check says what is wrong with a plan.
func (p Plan) check() error {
	switch {
	case p.Before < 1 || p.After < 0:
		return fmt.Errorf("judge: %d drives before and %d after: at least 1 and 0", p.Before, p.After)
	case p.ScatterK < 0 || p.ScatterK > 6:
		return fmt.Errorf("judge: scatter %g K: 0 to 6", p.ScatterK)
	case p.DayCorrelation < 0 || p.DayCorrelation > 0.95:
		return fmt.Errorf("judge: correlation of days %g: 0 to 0.95", p.DayCorrelation)
	case p.StepS < 0:
		return fmt.Errorf("judge: step %g s: above 0, or 0 for 2 s", p.StepS)
	}
	for _, f := range p.Flaws {
		if !(Plan{Flaws: Flaws()}).has(f) {
			return fmt.Errorf("judge: flaw %q is none of %v", f, Flaws())
		}
	}
	for _, o := range append(Orders(), "") {
		if o == p.Order {
			return nil
		}
	}
	return fmt.Errorf("judge: order %q is none of %v", p.Order, Orders())
}

// sequence says for each drive whether it is after the change.
func (p Plan) sequence(shuffle func(int, func(int, int))) []bool {
	n := p.Before + p.After
	after := make([]bool, n)
	for i := p.Before; i < n; i++ {
		after[i] = true
	}
	switch p.Order {
	case Shuffled:
		shuffle(n, func(i, j int) { after[i], after[j] = after[j], after[i] })
	case Balanced:
		left := [2]int{p.Before, p.After}
		for i := range after {
			side := 0
			if i%4 == 1 || i%4 == 2 {
				side = 1
			}
			if left[side] == 0 {
				side = 1 - side
			}
			left[side]--
			after[i] = side == 1
		}
	}
	return after
}
