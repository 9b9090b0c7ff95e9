package clock

import (
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Ran is from when to when two devices recorded one drive, each by its own clock.
type Ran struct {
	FirstFrom, FirstTo, SecondFrom, SecondTo time.Time
}

// apart is what has to be added to the second's times so that the middles of the
// two fall together, and half of by how much one recorded longer.
func (r Ran) apart() (middle, half float64) {
	from, to := r.FirstFrom.Sub(r.SecondFrom).Seconds(), r.FirstTo.Sub(r.SecondTo).Seconds()
	return (from + to) / 2, math.Abs(to-from) / 2
}

// switchedOn is by how many seconds one device may have been switched on before
// or off after another, and wrongFile from how far off the others' offset on two
// files are not of one drive. Common practice, no source.
const (
	switchedOn = 60.0
	wrongFile  = 600.0
)

// FromDriveTimes gives the offset between two devices in drive k from when they
// recorded that drive and others: people switch both on at the start and off at
// the end, so that the offset is about the same in all drives whatever the clocks
// show. It is known within a minute and by how much the drives differ, which is
// better than nothing where the readings tell nothing, and enough to see which
// parts of two files belong together. Second times on its own clock get the
// offset; it is about the median over the drives, and holds for the middle of
// drive k.
//
// The error wraps [ErrUndecided] where there are fewer than two drives or less
// than two that agree with drive k within ten minutes: one of its files may be of
// another drive.
func FromDriveTimes(drives []Ran, k int) (Result, error) {
	own, unlike := drives[k].apart()
	var near []float64
	for _, d := range drives {
		if x, _ := d.apart(); math.Abs(x-own) < wrongFile+driftPrior*math.Abs(d.SecondFrom.Sub(drives[k].SecondFrom).Seconds()) {
			near = append(near, x)
		}
	}
	if len(near) < 2 {
		return Result{Method: AsWritten, Interval: series.Interval{From: math.Inf(-1), To: math.Inf(1)}},
			fmt.Errorf("%w: when the two recorded fits in this drive alone", ErrUndecided)
	}
	slices.Sort(near)
	middle := (near[(len(near)-1)/2] + near[len(near)/2]) / 2
	half := switchedOn + math.Max(unlike, math.Max(near[len(near)-1]-middle, middle-near[0]))
	at := drives[k].SecondFrom.Add(drives[k].SecondTo.Sub(drives[k].SecondFrom) / 2)
	return Result{Method: DriveTimes, Drives: len(near), Offset: middle, Origin: at,
		Interval: series.Interval{From: middle - half, To: middle + half}}, nil
}
