package supervisor

import (
	"fmt"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/memory"
)

const (
	// lookTime is how often the memory of the process is looked at while it
	// works and for calmTime after, as cells come one after another; restTime
	// how often else.
	lookTime = 15 * time.Millisecond
	calmTime = time.Second
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
	worked := time.Now()
	c.rests.Store(true)
	for {
		select {
		case <-c.exited:
			return
		case <-c.busy: // it begins to work
			worked = time.Now()
			timer.Reset(lookTime)
			continue
		case <-timer.C:
		}
		if taken, ok := memory.Resident(c.cmd.Process.Pid); ok && taken > most {
			c.kill(fmt.Sprintf("out of memory: it took %s, %s are allowed", memory.Text(taken), memory.Text(limit)))
			return
		}
		if c.isBusy() {
			worked = time.Now()
		}
		if time.Since(worked) < calmTime {
			timer.Reset(lookTime)
			continue
		}
		timer.Reset(restTime)
		c.rests.Store(true)
		if c.isBusy() { // since just now
			c.works()
		}
	}
}
