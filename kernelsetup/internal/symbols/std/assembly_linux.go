package std

import (
	"syscall"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/table"
)

// assembly is what well-known packages that are loaded from source define in
// assembly, and what other compiled code can do as well.
var assembly = []*table.Package{{
	Path: "golang.org/x/sys/unix", Name: "unix",
	Funcs: table.Symbols{
		Names: []string{"RawSyscall", "RawSyscall6", "RawSyscallNoError", "Syscall", "Syscall6", "SyscallNoError"},
		Values: []any{syscall.RawSyscall, syscall.RawSyscall6, withoutError(syscall.RawSyscall),
			syscall.Syscall, syscall.Syscall6, withoutError(syscall.Syscall)},
	},
}}

func withoutError(call func(trap, a1, a2, a3 uintptr) (r1, r2 uintptr, err syscall.Errno)) any {
	return func(trap, a1, a2, a3 uintptr) (r1, r2 uintptr) {
		r1, r2, _ = call(trap, a1, a2, a3)
		return r1, r2
	}
}
