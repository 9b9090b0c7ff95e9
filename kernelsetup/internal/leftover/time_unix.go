//go:build unix

package leftover

import (
	"syscall"
	"time"
)

// ProcessorTime is what this process has used so far.
func ProcessorTime() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
