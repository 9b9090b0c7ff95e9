package supervisor

import (
	"fmt"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/memory"
)

const (
	// lookTime is how often the memory of the process is looked at while it
	// works, restTime how often else.
	lookTime = 15 * time.Millisecond
	restTime = time.Second
)

// watchMemory ends the process when it takes more than a fifth beyond the
// limit: the interpreter, which stops a cell at the limit and keeps its state, has
// not been able to.
func (c *child) watchMemory() {
	limit, _ := memory.Limit()
	most := limit + limit/5
	timer := time.NewTimer(restTime)
	defer timer.Stop()
	for {
		select {
		case <-c.exited:
			return
		case <-c.busy: // it begins to work
			timer.Reset(lookTime)
			continue
		case <-timer.C:
		}
		if taken, ok := memory.Resident(c.cmd.Process.Pid); ok && taken > most {
			c.kill(fmt.Sprintf("out of memory: it took %s, %s are allowed", memory.Text(taken), memory.Text(limit)))
			return
		}
		if c.isBusy() {
			timer.Reset(lookTime)
		} else {
			timer.Reset(restTime)
		}
	}
}
