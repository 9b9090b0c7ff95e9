package supervisor

import (
	"os"
	"syscall"
)

// bound has the operating system refuse what is far beyond the limit at once,
// and prefer this process where memory runs out.
func bound(limit uint64) {
	if f, err := os.OpenFile("/proc/self/oom_score_adj", os.O_WRONLY, 0); err == nil { // no file of the user's
		f.WriteString("500")
		f.Close()
	}
	const rlimitData = 2
	most := 2*limit + 1<<30 // the heap has holes, and what is free in it counts
	var r syscall.Rlimit
	if syscall.Getrlimit(rlimitData, &r) == nil && r.Cur > most {
		r.Cur = most
		syscall.Setrlimit(rlimitData, &r)
	}
}
