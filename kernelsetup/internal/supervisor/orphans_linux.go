package supervisor

import (
	"bytes"
	"os"
	"strconv"
	"syscall"

	"golang.org/x/sys/unix"
)

// adoptOrphans makes processes that cells leave behind this one's, whatever
// group they have moved to.
func adoptOrphans() { unix.Prctl(unix.PR_SET_CHILD_SUBREAPER, 1, 0, 0, 0) }

// endOrphans ends those.
func endOrphans() {
	for _, pid := range childrenOf(os.Getpid()) {
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
		for _, pid := range childrenOf(os.Getpid()) {
			endTree(pid)
		}
	}
}

func endTree(pid int) {
	below := childrenOf(pid)
	syscall.Kill(pid, syscall.SIGKILL)
	for _, p := range below {
		endTree(p)
	}
}

// childrenOf lists the processes whose parent is pid.
func childrenOf(pid int) (list []int) {
	entries, err := os.ReadDir("/proc")
	if err != nil {
		return nil
	}
	want := []byte(strconv.Itoa(pid))
	for _, e := range entries {
		child, err := strconv.Atoi(e.Name())
		if err != nil {
			continue
		}
		stat, err := os.ReadFile("/proc/" + e.Name() + "/stat")
		if err != nil {
			continue
		}
		// pid (name) state parent …; the name may hold anything
		fields := bytes.Fields(stat[bytes.LastIndexByte(stat, ')')+1:])
		if len(fields) > 1 && bytes.Equal(fields[1], want) {
			list = append(list, child)
		}
	}
	return list
}
