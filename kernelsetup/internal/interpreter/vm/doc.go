// Package vm is a virtual machine for functions in SSA form. It compiles each
// to compact register code at its first call and runs that in a loop. Values
// that leave the registers are real Go values in real Go memory, so that
// compiled code can share them.
//
// # Layers
//
// The files stand in layers. A file uses functions, variables and constants of
// files before it in this list, never of one after it; types know each other.
// A test holds them to it. From the bottom:
//
//	values: code lineage resolved ops layout shapes signatures window
//	frames: vm stack thread alive
//	memory: failures words memory maplocks sharing reach copymaps weights
//	waiting: watch waiting channels
//	compiled functions: fastcalls registers names owner standard late compiled cycles native functions
//	calls: calls defers panics
//	execution: loop execute
//	goroutines: timers run guest recovering callback owned
//	replaced functions: natives sorting
//	generation: consts promote alloc emit moves gen_cond gen_binop gen_iface gen_mem gen_slice gen_map gen_chan gen_unsafe gen_unop gen_builtin gen_panic gen_call gen_instr gen
//	program: program holdings
//
// Two calls go up all the same, through a field that the layer above sets: the
// first call of a function has its code made (Machine.compile), and a value
// that was to be computed where it is used may have to be computed after all
// (gen.fusedValue).
//
// The instructions and the loop that runs them, ops.go and loop.go, are made
// by generate from its table of operations. Package sample has functions that
// use all of them, for the tests.
package vm

//go:generate go run ./generate
