package supervisor

import (
	"os"
	"syscall"

	"golang.org/x/sys/unix"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/leftover"
)

// adoptOrphans makes processes that cells leave behind this one's, whatever
// group they have moved to.
func adoptOrphans() { unix.Prctl(unix.PR_SET_CHILD_SUBREAPER, 1, 0, 0, 0) }

// endOrphans ends those.
func endOrphans() {
	for _, pid := range leftover.ChildrenOf(os.Getpid()) {
		if !isOurs(pid) {
			syscall.Kill(pid, syscall.SIGKILL)
			syscall.Wait4(pid, nil, 0, nil)
		}
	}
}

// isOurs reports whether a process is no orphan: it leads its own group and
// was started by this program.
func isOurs(pid int) bool {
	living.Lock()
	defer living.Unlock()
	return living.pids[pid]
}

// endChildren ends what this process has started.
func endChildren() {
	for range 3 { // some may be starting others
		for _, pid := range leftover.ChildrenOf(os.Getpid()) {
			leftover.EndTree(pid)
		}
	}
}
