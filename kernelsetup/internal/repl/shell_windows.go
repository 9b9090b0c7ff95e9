package repl

import (
	"os/exec"
	"strconv"
	"strings"
	"time"
)

// command runs lines one after the other, until one fails.
func command(script string) *exec.Cmd {
	return exec.Command("cmd", "/c", strings.ReplaceAll(script, "\n", " && "))
}

// startGroup starts a command and returns what ends it with all that it
// started.
func startGroup(cmd *exec.Cmd) (end func(), err error) {
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	pid := strconv.Itoa(cmd.Process.Pid)
	return func() { exec.Command("taskkill", "/t", "/f", "/pid", pid).Run() }, nil
}

// processorTime is not measured.
func processorTime() time.Duration { return 0 }
