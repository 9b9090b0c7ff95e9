package interpreter

import "github.com/bonnetbook/bonnetbook/kernelsetup/internal/memory"

// MemoryVariable names the environment variable that says how much memory
// cells may take together.
const MemoryVariable = memory.Variable

// totalLimit returns how large the process's memory may become while a cell
// runs.
func totalLimit() uint64 {
	n, _ := memory.Limit() // whoever started the process has told of an error
	return n
}

// freeMemory returns the memory that the machine has free, or a guess.
func freeMemory() uint64 { return memory.Free() }
