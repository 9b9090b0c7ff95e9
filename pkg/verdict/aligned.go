package verdict

import (
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// leaveUnaligned leaves out the drives in which nothing tells how the clock of
// the intake's or the outside air's logger stands to that of the speed: a rise
// would be counted to another stretch than the one it was measured in.
func (a *Answer) leaveUnaligned() {
	a.Runs = slices.DeleteFunc(a.Runs, func(r Run) bool {
		why := unaligned(r.Drive)
		if why != nil {
			a.LeftOut = append(a.LeftOut, drive.LeftOut{Drive: r.Drive.Name, Configuration: r.Drive.Configuration, Step: drive.Cutting, Why: why})
		}
		return why != nil
	})
}

// unaligned says of which device the clock is not known; nil where the drive
// can be cut.
func unaligned(d *drive.Drive) error {
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
