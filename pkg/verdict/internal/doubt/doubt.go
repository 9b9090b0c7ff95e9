// Package doubt knows what single drives give cause to doubt, and which of it is
// worth telling among many drives: each sound drive gives a false alarm now and then,
// and of 200 some surely do.
package doubt

import (
	"fmt"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// A sound ambient probe seems to be heated by more than named in 2 drives of 100,
// as if by noise of the deviation scatter: 4 of 204 drives of the simulator rise by
// 1.0 to 1.4 K at stops.
const (
	falseShare = 0.02
	named      = 1.0 // K
	scatter    = 0.5 // K
)

// level is the chance that sound drives give an alarm worth telling, however many
// they are: by how large one is, and as much again by how many they are.
const level = 0.1

// Telling says which sizes of alarms, in K, of drives of which there are so many are
// worth telling: those that the largest of sound drives' would hardly be, and all of
// them where sound drives would hardly give so many.
func Telling(sizes []float64, drives int) []bool {
	telling := make([]bool, len(sizes))
	least := max(named, scatter*distuv.UnitNormal.Quantile(1-level/float64(max(drives, 1))))
	many := atLeast(len(sizes), drives) < level
	for i, size := range sizes {
		telling[i] = many || size >= least
	}
	return telling
}

// atLeast is the probability that k or more of n sound drives give an alarm.
func atLeast(k, n int) float64 {
	if k <= 0 {
		return 1
	}
	return 1 - distuv.Binomial{N: float64(n), P: falseShare}.CDF(float64(k-1))
}

// Unaligned says of which device the clock is not known; nil where the drive
// can be cut.
func Unaligned(d *drive.Drive) error {
	speed, ok := d.Channels[drive.Speed]
	if !ok {
		return nil
	}
	for _, r := range append([]drive.Role{drive.Intake, drive.Ambient}, d.IntakeProbes()...) {
		c, ok := d.Channels[r]
		if !ok || c.Device == speed.Device {
			continue
		}
		for _, k := range d.Clocks {
			if (k.Device == c.Device || k.Device == speed.Device) && !k.Aligned() {
				return fmt.Errorf("nothing tells how the clock of %s stands to the others, and minutes off its readings belong to other stretches; state clock-offset for %s in the campaign, with clock-uncertainty, or sync", k.Device, k.File)
			}
		}
	}
	return nil
}

// MostlyBelow reports whether the intake reads colder than the outside air most of
// the time, as with swapped probes; at a stop in warm air it does so for a while.
func MostlyBelow(d *drive.Drive) bool {
	rise, err := d.Rise(drive.Intake)
	return err == nil && rise.Median(d.Interval()) < 0
}
