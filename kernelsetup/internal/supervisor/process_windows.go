package supervisor

import (
	"os"
	"os/exec"
	"strconv"
	"syscall"

	"golang.org/x/sys/windows"
)

// hand lets a process inherit its ends of the pipes and what is shared with it.
func hand(cmd *exec.Cmd, theirs []*os.File) (args []string) {
	cmd.SysProcAttr = &syscall.SysProcAttr{CreationFlags: windows.CREATE_NEW_PROCESS_GROUP}
	for _, f := range theirs {
		h := windows.Handle(f.Fd())
		windows.SetHandleInformation(h, windows.HANDLE_FLAG_INHERIT, windows.HANDLE_FLAG_INHERIT)
		cmd.SysProcAttr.AdditionalInheritedHandles = append(cmd.SysProcAttr.AdditionalInheritedHandles, syscall.Handle(h))
		args = append(args, strconv.FormatUint(uint64(h), 10))
	}
	return args
}

// inherited opens a file that hand has passed on.
func inherited(arg, name string) (*os.File, error) {
	h, err := strconv.ParseUint(arg, 10, 64)
	if err != nil {
		return nil, err
	}
	windows.SetHandleInformation(windows.Handle(h), windows.HANDLE_FLAG_INHERIT, 0)
	return os.NewFile(uintptr(h), name), nil
}

// killAll ends a process.
func killAll(p *os.Process) {
	if p != nil {
		p.Kill()
	}
}

// endGroup ends this process.
func endGroup() { os.Exit(0) }

// signalled is never so on Windows.
func signalled(*os.ProcessState) (string, bool) { return "", false }
