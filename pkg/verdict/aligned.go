package verdict

import (
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/verdict/internal/doubt"
)

// leaveUnaligned leaves out the drives in which nothing tells how the clock of
// the intake's or the outside air's logger stands to that of the speed: a rise
// would be counted to another stretch than the one it was measured in.
func (a *Answer) leaveUnaligned() {
	a.Runs = slices.DeleteFunc(a.Runs, func(r Run) bool {
		why := doubt.Unaligned(r.Drive)
		if why != nil {
			a.LeftOut = append(a.LeftOut, drive.LeftOut{Drive: r.Drive.Name, Configuration: r.Drive.Configuration, Step: drive.Cutting, Why: why})
		}
		return why != nil
	})
}
