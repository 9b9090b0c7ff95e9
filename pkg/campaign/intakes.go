package campaign

import (
	"iter"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// checkIntakes demands that intake probes are numbered from 1 without a hole,
// that none goes without a number beside them, and that the engine has as many
// intakes.
func (c *Campaign) checkIntakes(t *table) {
	var numbers []int
	line := 0
	for ch := range c.channels() {
		if n := ch.Role.IntakeNumber(); n > 0 {
			numbers, line = append(numbers, n), ch.line
		}
	}
	if len(numbers) == 0 {
		return
	}
	slices.Sort(numbers)
	numbers = slices.Compact(numbers)
	last := numbers[len(numbers)-1]
	switch {
	case c.measures(drive.Intake):
		t.problems.add(line, "device.channels", "there are intake probes with a number and one without; number them all (\"intake 1\", \"intake 2\"): their mean is the answer")
	case last != len(numbers):
		t.problems.add(line, "device.channels", "the intake probes are numbered up to %d, and there are %d of them; number them from 1", last, len(numbers))
	case c.Intakes > 0 && last > c.Intakes:
		t.problems.add(line, "engine.intakes", "the engine has %d intakes, and %d intake probes are numbered; two probes in one intake are \"intake 1\" and \"spare intake 1\"", c.Intakes, last)
	}
}

// intakeProbes is how many numbered intake probes the devices have.
func (c *Campaign) intakeProbes() int {
	most := 0
	for ch := range c.channels() {
		most = max(most, ch.Role.IntakeNumber())
	}
	return most
}

// channels goes through the channels of all devices but spare ones.
func (c *Campaign) channels() iter.Seq[ChannelRole] {
	return func(yield func(ChannelRole) bool) {
		for _, d := range c.Devices {
			for _, ch := range d.Channels {
				if !ch.Spare && !yield(ch) {
					return
				}
			}
		}
	}
}

// measures reports whether some device has a channel of the role.
func (c *Campaign) measures(r drive.Role) bool {
	for ch := range c.channels() {
		if ch.Role == r {
			return true
		}
	}
	return false
}
