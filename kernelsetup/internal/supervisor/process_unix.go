//go:build unix

package supervisor

import (
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"syscall"

	"golang.org/x/sys/unix"
)

// hand lets a process inherit its ends of the pipes and what is shared with it,
// and makes it the leader of a group that can be ended whole.
func hand(cmd *exec.Cmd, theirs []*os.File) (args []string) {
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	for i, f := range theirs {
		cmd.ExtraFiles = append(cmd.ExtraFiles, f)
		args = append(args, strconv.Itoa(3+i))
	}
	return args
}

// inherited opens a file that hand has passed on.
func inherited(arg string, name string) (*os.File, error) {
	fd, err := strconv.Atoi(arg)
	if err != nil {
		return nil, err
	}
	syscall.CloseOnExec(fd)
	if err := syscall.SetNonblock(fd, name != "last words"); err != nil {
		return nil, err
	}
	return os.NewFile(uintptr(fd), name), nil
}

// killAll ends a process's group.
func killAll(p *os.Process) {
	if p != nil {
		syscall.Kill(-p.Pid, syscall.SIGKILL)
	}
}

// endGroup ends this process and those it has started.
func endGroup() {
	endChildren()
	if syscall.Getpgrp() == os.Getpid() {
		syscall.Kill(0, syscall.SIGKILL)
	}
	os.Exit(0)
}

// signalled returns the signal that ended a process.
func signalled(state *os.ProcessState) (string, bool) {
	if state == nil {
		return "", false
	}
	w, ok := state.Sys().(syscall.WaitStatus)
	if !ok || !w.Signaled() {
		return "", false
	}
	return fmt.Sprintf("%d (%s)", w.Signal(), unix.SignalName(w.Signal())), true
}
