//go:build linux && amd64

package faults

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"unsafe"

	"golang.org/x/sys/unix"
)

// A fault is what happens at a point: a system call that changes a file below
// the watched folder.
type fault int

const (
	none       fault = iota
	killBefore       // the process is killed and the call not made
	killAfter        // the call is made and the process killed
	broken           // the call fails with "input/output error"
	full             // from here on nothing fits on the disk; a write stores half
)

func (f fault) String() string {
	return [...]string{"none", "killed before", "killed after", "call fails", "disk full"}[f]
}

// A traced run tells what the process did and how it ended.
type traced struct {
	points []string // the calls, with the file
	status int      // -1 where it was killed
	output string
}

// trace runs a command with a fault at the point of that number, counted from
// 0. Each system call of each of its threads stops it, so that no writer is
// missed, whatever package it is in. started is called beside it.
func trace(t *testing.T, cmd *exec.Cmd, watched string, f fault, at int, started func(*os.Process)) traced {
	t.Helper()
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	out, err := os.CreateTemp(t.TempDir(), "")
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	cmd.Stdout, cmd.Stderr = out, out
	cmd.SysProcAttr = &syscall.SysProcAttr{Ptrace: true}
	if err := cmd.Start(); err != nil {
		t.Skip("no program can be traced here:", err)
	}
	done := make(chan struct{})
	go func() {
		defer close(done)
		started(cmd.Process)
	}()
	defer func() { <-done }()
	r := &run{main: cmd.Process.Pid, watched: watched, fault: f, at: at, skipped: map[int]syscall.Errno{}, killing: map[int]bool{}}
	defer syscall.Kill(r.main, syscall.SIGKILL)
	if err := r.follow(); err != nil {
		t.Fatal(err)
	}
	text, _ := os.ReadFile(out.Name())
	r.result.output = string(text)
	return r.result
}

type run struct {
	main    int
	watched string
	fault   fault
	at      int
	hit     bool
	skipped map[int]syscall.Errno // threads whose call is not made, and what they get
	killing map[int]bool          // threads whose call is the last
	result  traced
}

const traceOptions = unix.PTRACE_O_TRACESYSGOOD | unix.PTRACE_O_TRACECLONE | unix.PTRACE_O_TRACEFORK |
	unix.PTRACE_O_TRACEVFORK | unix.PTRACE_O_TRACEEXEC | unix.PTRACE_O_EXITKILL

// follow runs the command to the end of its last process: the one that runs
// the cells outlives the one that was killed, a little, and what it has locked
// is no leftover until then.
func (r *run) follow() error {
	var ws syscall.WaitStatus
	if _, err := syscall.Wait4(r.main, &ws, 0, nil); err != nil {
		return err
	}
	if err := syscall.PtraceSetOptions(r.main, traceOptions); err != nil {
		return err
	}
	syscall.PtraceSyscall(r.main, 0)
	for {
		thread, err := syscall.Wait4(-1, &ws, syscall.WALL, nil)
		switch {
		case errors.Is(err, syscall.EINTR):
			continue
		case errors.Is(err, syscall.ECHILD):
			return nil // the last process is gone
		case err != nil:
			return err
		case (ws.Exited() || ws.Signaled()) && thread == r.main:
			r.result.status = ws.ExitStatus() // -1 after a signal
		case !ws.Stopped():
			continue
		}
		signal := 0
		switch s := ws.StopSignal(); {
		case s == syscall.SIGTRAP|0x80:
			if err := r.call(thread); err != nil && !errors.Is(err, syscall.ESRCH) {
				return err
			}
		case s == syscall.SIGTRAP && ws.TrapCause() > 0, s == syscall.SIGSTOP:
			// A new thread or program.
		default:
			signal = int(s)
		}
		syscall.PtraceSyscall(thread, signal)
	}
}

// callInfo is struct ptrace_syscall_info of Linux.
type callInfo struct {
	op    uint8 // 1 at the beginning of a call, 2 at its end
	_     [3]uint8
	arch  uint32
	_, _  uint64 // instruction and stack pointer
	nr    uint64
	args  [6]uint64
	extra [2]uint64
}

// call looks at a system call that begins or ends.
func (r *run) call(thread int) error {
	var info callInfo
	if _, _, e := syscall.Syscall6(syscall.SYS_PTRACE, unix.PTRACE_GET_SYSCALL_INFO, uintptr(thread),
		unsafe.Sizeof(info), uintptr(unsafe.Pointer(&info)), 0, 0); e != 0 {
		return e
	}
	if info.op == 2 {
		return r.ends(thread)
	}
	name, changes := r.changes(thread, &info)
	if !changes {
		return nil
	}
	point := len(r.result.points)
	r.result.points = append(r.result.points, name)
	if point == r.at {
		r.hit = true
	}
	switch {
	case !r.hit:
	case r.fault == full && fills(name):
		if point == r.at && info.nr == syscall.SYS_WRITE && info.args[2] > 1 {
			return r.registers(thread, func(regs *syscall.PtraceRegs) { regs.Rdx /= 2 })
		}
		return r.skip(thread, syscall.ENOSPC)
	case point != r.at:
	case r.fault == killBefore:
		r.registers(thread, func(regs *syscall.PtraceRegs) { regs.Orig_rax = ^uint64(0) })
		return syscall.Kill(r.main, syscall.SIGKILL)
	case r.fault == killAfter:
		r.killing[thread] = true
	case r.fault == broken:
		return r.skip(thread, syscall.EIO)
	}
	return nil
}

// fills tells calls that need room on the disk.
func fills(name string) bool {
	for _, call := range []string{"write", "open", "link", "rename", "mkdir"} {
		if strings.HasPrefix(name, call) {
			return true
		}
	}
	return false
}

func (r *run) skip(thread int, err syscall.Errno) error {
	r.skipped[thread] = err
	return r.registers(thread, func(regs *syscall.PtraceRegs) { regs.Orig_rax = ^uint64(0) })
}

func (r *run) ends(thread int) error {
	if r.killing[thread] {
		return syscall.Kill(r.main, syscall.SIGKILL)
	}
	if err, ok := r.skipped[thread]; ok {
		delete(r.skipped, thread)
		return r.registers(thread, func(regs *syscall.PtraceRegs) { regs.Rax = -uint64(err) })
	}
	return nil
}

func (r *run) registers(thread int, change func(*syscall.PtraceRegs)) error {
	var regs syscall.PtraceRegs
	if err := syscall.PtraceGetRegs(thread, &regs); err != nil {
		return err
	}
	change(&regs)
	return syscall.PtraceSetRegs(thread, &regs)
}

// byName and byFile are the calls that change files or folders: the number
// of the argument that is a path, or a descriptor.
var (
	byName = map[uint64]struct {
		name string
		path int
	}{
		unix.SYS_OPENAT: {"open", 1}, unix.SYS_OPEN: {"open", 0}, unix.SYS_CREAT: {"open", 0},
		unix.SYS_RENAMEAT: {"rename", 3}, unix.SYS_RENAMEAT2: {"rename", 3}, unix.SYS_RENAME: {"rename", 1},
		unix.SYS_LINKAT: {"link", 3}, unix.SYS_LINK: {"link", 1}, unix.SYS_SYMLINKAT: {"link", 2},
		unix.SYS_UNLINKAT: {"unlink", 1}, unix.SYS_UNLINK: {"unlink", 0}, unix.SYS_RMDIR: {"unlink", 0},
		unix.SYS_MKDIRAT: {"mkdir", 1}, unix.SYS_MKDIR: {"mkdir", 0},
		unix.SYS_FCHMODAT: {"chmod", 1}, unix.SYS_CHMOD: {"chmod", 0}, unix.SYS_FCHOWNAT: {"chown", 1},
		unix.SYS_TRUNCATE: {"truncate", 0},
	}
	byFile = map[uint64]string{
		unix.SYS_WRITE: "write", unix.SYS_PWRITE64: "write", unix.SYS_WRITEV: "write",
		unix.SYS_COPY_FILE_RANGE: "write", unix.SYS_SENDFILE: "write", unix.SYS_FALLOCATE: "write",
		unix.SYS_FTRUNCATE: "truncate", unix.SYS_FCHMOD: "chmod", unix.SYS_FCHOWN: "chown",
		unix.SYS_FSYNC: "flush", unix.SYS_FDATASYNC: "flush", unix.SYS_FLOCK: "lock", unix.SYS_CLOSE: "close",
	}
)

// changes describes a call and reports whether it changes something below the
// watched folder.
func (r *run) changes(thread int, info *callInfo) (string, bool) {
	if c, ok := byName[info.nr]; ok {
		path := readText(thread, info.args[c.path])
		if c.name == "open" {
			flags := info.args[c.path+1]
			if info.nr != unix.SYS_CREAT && flags&(unix.O_WRONLY|unix.O_RDWR|unix.O_CREAT|unix.O_TRUNC) == 0 {
				return "", false
			}
		}
		if !filepath.IsAbs(path) {
			path = filepath.Join(r.watched, path) // the process runs there
		}
		return c.name + " " + filepath.Base(path), r.below(path)
	}
	if name, ok := byFile[info.nr]; ok {
		path, err := os.Readlink(fmt.Sprintf("/proc/%d/fd/%d", thread, int32(info.args[0])))
		if err != nil || !r.below(path) {
			return "", false
		}
		// A close matters for what was written.
		if name == "close" {
			flags, _ := os.ReadFile(fmt.Sprintf("/proc/%d/fdinfo/%d", thread, int32(info.args[0])))
			mode := 0
			if _, after, ok := bytes.Cut(flags, []byte("flags:\t")); ok {
				fmt.Sscanf(string(after), "%o", &mode)
			}
			if mode&(unix.O_WRONLY|unix.O_RDWR) == 0 {
				return "", false
			}
		}
		return name + " " + filepath.Base(path), true
	}
	return "", false
}

func (r *run) below(path string) bool {
	return path == r.watched || strings.HasPrefix(path, r.watched+"/")
}

// readText reads a string of the traced process.
func readText(thread int, at uint64) string {
	var text []byte
	buf := make([]byte, 256)
	for len(text) < 4096 {
		n, err := syscall.PtracePeekData(thread, uintptr(at)+uintptr(len(text)), buf)
		text = append(text, buf[:n]...)
		if i := bytes.IndexByte(text, 0); i >= 0 {
			return string(text[:i])
		}
		if err != nil || n == 0 {
			return string(text)
		}
	}
	return string(text)
}
