//go:build unix

package repl

import (
	"os/exec"
	"syscall"
	"time"
)

// command runs lines one after the other, until one fails.
func command(script string) *exec.Cmd { return exec.Command("sh", "-e", "-c", script) }

// startGroup starts a command in a process group of its own and returns what
// ends the whole group.
func startGroup(cmd *exec.Cmd) (end func(), err error) {
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	group := -cmd.Process.Pid
	return func() { syscall.Kill(group, syscall.SIGKILL) }, nil
}

// processorTime is what this process and its ended children have used.
func processorTime() time.Duration {
	var sum time.Duration
	for _, who := range []int{syscall.RUSAGE_SELF, syscall.RUSAGE_CHILDREN} {
		var u syscall.Rusage
		if syscall.Getrusage(who, &u) != nil {
			return 0
		}
		sum += time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	return sum
}
