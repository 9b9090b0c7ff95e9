package main

// The machine that this table describes is as simple as a pocket calculator
// with many memories. A function's values lie in slots of eight bytes: those
// that hold a pointer in one row, so that the garbage collector finds them,
// all others in a second row. An instruction is an operation with up to five
// operands a, b, c, d and x; an operand is the place of a slot in its row, a
// number to calculate with, or an index into one of the function's tables.
//
// What an operation does is a line of Go in which
//
//	uint[b] int[b] float[b]   is the number in slot b, read as that type
//	float32[b]                is a float32, which takes half a slot
//	bool[a]                   is a slot that is set to 0 or 1
//	ptr[b]                    is pointer slot b
//	uint[a+8]                 is the slot after a; offsets count bytes
//	&uint[a]                  is a pointer to the slot
//	uint[8*x]                 is slot x: x has 16 bits and counts slots
//	c, int64(c), uint32(d)    is the operand itself, a number
//	ptrs[b] sites[c] exts[c]  is an entry of the function's tables
//	mem[uint8]                is the value of that type in Go's memory at the
//	                          address that the operation works on
//	mem[uint64+8]            is the one eight bytes further
//	address                   is that address itself
//	ws, wp                    is where the slots of a called function begin
//
// and "if … { fail…() }" stands for a panic at this place of the program.

// form says what surrounds an operation's line.
type form int

const (
	plain   form = iota
	branch       // the line is a condition; if it holds, the program goes on at d
	memory       // at address ptr[b]+c, which must not start from nil
	element      // at element int[c] of int[d] elements that begin at ptr[b]
	leaves       // runs Go code outside of the loop, which may move the slots; it sets its own result
	ret          // then the function returns to its caller
	written      // body is written out
)

type section struct {
	title string // how the operations are headed
	form  form
	ops   []operation
}

type operation struct {
	name string
	does string // a line of Go as above
	note string // for a reader who knows Go and no interpreters
	size string // of form element: bytes from one element to the next
	form form   // beside the section's: leaves
	body string // of form written
}

var table = []section{
	{"Moves and constants", plain, []operation{
		{name: "Nop", note: "does nothing; a variable without a value yet"},
		{name: "Const", does: "uint[a] = uint64(uint32(c)) | uint64(uint32(d))<<32", note: "puts a number into a slot; its halves are operands"},
		{name: "ConstP", does: "ptr[a] = ptrs[b]", note: "puts a pointer that is known before the run into a slot: a global variable's, a text's"},
		{name: "MovS", does: "uint[a] = uint[b]", note: "copies a slot, whatever number it holds"},
		{name: "MovP", does: "ptr[a] = ptr[b]", note: "copies a pointer"},
		{name: "MovPS", does: "ptr[a] = ptr[b]; uint[c] = uint[d]", note: "copies a string: where it begins and its length"},
		{name: "MovPP", does: "x, y := ptr[b], ptr[b+8]; ptr[a] = x; ptr[a+8] = y", note: "copies an interface: its type and its data; both are read first, as the slots may overlap"},
		{name: "MovSS", does: "x, y := uint[b], uint[b+8]; uint[a] = x; uint[a+8] = y", note: "copies length and capacity, or a complex number"},
	}},
	{"Integers of 64 bits; narrower ones are brought back into their range by the operations for widths", plain, []operation{
		{name: "Add", does: "uint[a] = uint[b] + uint[c]", note: "adds; int and uint64 have the same bits, and so the same sum"},
		{name: "Sub", does: "uint[a] = uint[b] - uint[c]", note: "subtracts"},
		{name: "Mul", does: "uint[a] = uint[b] * uint[c]", note: "multiplies"},
		{name: "DivS", does: "if int[c] == 0 { failDivide() }; int[a] = int[b] / int[c]", note: "divides signed integers, towards zero"},
		{name: "DivU", does: "if uint[c] == 0 { failDivide() }; uint[a] = uint[b] / uint[c]", note: "divides unsigned integers"},
		{name: "RemS", does: "if int[c] == 0 { failDivide() }; int[a] = int[b] % int[c]", note: "remainder of signed integers, with the sign of the dividend"},
		{name: "RemU", does: "if uint[c] == 0 { failDivide() }; uint[a] = uint[b] % uint[c]", note: "remainder of unsigned integers"},
		{name: "And", does: "uint[a] = uint[b] & uint[c]", note: "bits that both have"},
		{name: "Or", does: "uint[a] = uint[b] | uint[c]", note: "bits that one has"},
		{name: "Xor", does: "uint[a] = uint[b] ^ uint[c]", note: "bits that only one has"},
		{name: "AndNot", does: "uint[a] = uint[b] &^ uint[c]", note: "bits of the first that the second does not have"},
		{name: "Shl", does: "uint[a] = uint[b] << uint[c]", note: "shifts left; by 64 or more nothing is left"},
		{name: "ShrS", does: "int[a] = int[b] >> uint[c]", note: "shifts right and fills with the sign"},
		{name: "ShrU", does: "uint[a] = uint[b] >> uint[c]", note: "shifts right and fills with zeros"},
		{name: "AddI", does: "int[a] = int[b] + c", note: "adds a number of the program's text: i++ and most other sums"},
		{name: "MulI", does: "int[a] = int[b] * c", note: "multiplies by such a number"},
		{name: "AndI", does: "int[a] = int[b] & c", note: "bits that such a number has, too"},
		{name: "ShlI", does: "uint[a] = uint[b] << (uint32(c) & 63)", note: "shifts left by such a number; the mask saves the processor a comparison"},
		{name: "ShrSI", does: "int[a] = int[b] >> (uint32(c) & 63)", note: "shifts right by such a number and fills with the sign"},
		{name: "ShrUI", does: "uint[a] = uint[b] >> (uint32(c) & 63)", note: "shifts right by such a number and fills with zeros"},
		{name: "RsbI", does: "int[a] = c - int[b]", note: "subtracts from such a number"},
		{name: "DivSI", does: "int[a] = int[b] / int64(c)", note: "divides by such a number, which is above zero"},
		{name: "RemSI", does: "int[a] = int[b] % int64(c)", note: "remainder by such a number, which is above zero"},
		{name: "Neg", does: "uint[a] = -uint[b]", note: "changes the sign"},
		{name: "Not", does: "uint[a] = ^uint[b]", note: "turns every bit"},
		{name: "LNot", does: "uint[a] = uint[b] ^ 1", note: "turns a bool"},
		{name: "ShiftCheck", does: "if int[a] < 0 { failShift() }", note: "before a shift by a signed number: Go forbids negative ones"},
	}},
	{"Widths: a number narrower than 64 bits fills its slot by sign or by zeros, as if it were an int", plain, []operation{
		{name: "Sx8", does: "int[a] = int64(int8(int[b]))", note: "int8"},
		{name: "Sx16", does: "int[a] = int64(int16(int[b]))", note: "int16"},
		{name: "Sx32", does: "int[a] = int64(int32(int[b]))", note: "int32, rune"},
		{name: "Zx8", does: "uint[a] = uint64(uint8(uint[b]))", note: "uint8, byte"},
		{name: "Zx16", does: "uint[a] = uint64(uint16(uint[b]))", note: "uint16"},
		{name: "Zx32", does: "uint[a] = uint64(uint32(uint[b]))", note: "uint32"},
	}},
	{"Floating point; a float32 is calculated as such, for the same rounding", plain, []operation{
		{name: "FAdd", does: "float[a] = float[b] + float[c]", note: "adds float64"},
		{name: "FSub", does: "float[a] = float[b] - float[c]", note: "subtracts"},
		{name: "FMul", does: "float[a] = float[b] * float[c]", note: "multiplies"},
		{name: "FDiv", does: "float[a] = float[b] / float[c]", note: "divides; by zero gives an infinity"},
		{name: "FNeg", does: "float[a] = -float[b]", note: "changes the sign, of zero and NaN too"},
		{name: "F32Add", does: "float32[a] = float32[b] + float32[c]", note: "adds float32"},
		{name: "F32Sub", does: "float32[a] = float32[b] - float32[c]", note: "subtracts"},
		{name: "F32Mul", does: "float32[a] = float32[b] * float32[c]", note: "multiplies"},
		{name: "F32Div", does: "float32[a] = float32[b] / float32[c]", note: "divides"},
		{name: "F32Neg", does: "float32[a] = -float32[b]", note: "changes the sign"},
		{name: "IntToF", does: "float[a] = float64(int[b])", note: "float64 of a signed integer, or of a narrow unsigned one"},
		{name: "UintToF", does: "float[a] = float64(uint[b])", note: "float64 of a uint64"},
		{name: "FToInt", does: "int[a] = int64(float[b])", note: "int of a float64; beyond its range whatever the processor gives, as in compiled Go"},
	}},
	{"Comparisons whose result is kept; x > y is y < x", plain, []operation{
		{name: "Eq", does: "bool[a] = uint[b] == uint[c]", note: "integers and bools"},
		{name: "Ne", does: "bool[a] = uint[b] != uint[c]", note: "integers and bools"},
		{name: "LtS", does: "bool[a] = int[b] < int[c]", note: "signed integers"},
		{name: "LeS", does: "bool[a] = int[b] <= int[c]", note: "signed integers"},
		{name: "LtU", does: "bool[a] = uint[b] < uint[c]", note: "unsigned integers"},
		{name: "LeU", does: "bool[a] = uint[b] <= uint[c]", note: "unsigned integers"},
		{name: "FEq", does: "bool[a] = float[b] == float[c]", note: "float64; false where one is NaN"},
		{name: "FNe", does: "bool[a] = float[b] != float[c]", note: "float64; true where one is NaN"},
		{name: "FLt", does: "bool[a] = float[b] < float[c]", note: "float64"},
		{name: "FLe", does: "bool[a] = float[b] <= float[c]", note: "float64"},
		{name: "F32Eq", does: "bool[a] = float32[b] == float32[c]", note: "float32"},
		{name: "F32Ne", does: "bool[a] = float32[b] != float32[c]", note: "float32"},
		{name: "F32Lt", does: "bool[a] = float32[b] < float32[c]", note: "float32"},
		{name: "F32Le", does: "bool[a] = float32[b] <= float32[c]", note: "float32"},
		{name: "EqP", does: "bool[a] = ptr[b] == ptr[c]", note: "pointers, channels, and the type of an interface with nil"},
		{name: "NeP", does: "bool[a] = ptr[b] != ptr[c]", note: "the same"},
		{name: "EqI", does: "bool[a] = int[b] == c", note: "an integer with a number of the program's text"},
		{name: "StrEq", does: "storeEqual(&uint[a], makeString(ptr[b], uint[c]), makeString(ptr[d], uint[8*x]))", form: leaves, note: "strings; comparing their bytes is a call"},
		{name: "StrNe", does: "storeUnequal(&uint[a], makeString(ptr[b], uint[c]), makeString(ptr[d], uint[8*x]))", form: leaves, note: "strings"},
	}},
	{"Branches: if, for, switch. Each looks at the stop flag when it jumps, so that a loop can be interrupted", branch, []operation{
		{name: "Jmp", does: "true", note: "always: the end of a loop's body"},
		{name: "JT", does: "uint[a] != 0", note: "if a bool is true"},
		{name: "JF", does: "uint[a] == 0", note: "if a bool is false"},
		{name: "JEq", does: "uint[a] == uint[b]", note: "comparison and jump in one, for what loops and ifs test most"},
		{name: "JNe", does: "uint[a] != uint[b]", note: "the same"},
		{name: "JLtS", does: "int[a] < int[b]", note: "signed integers"},
		{name: "JLeS", does: "int[a] <= int[b]", note: "signed integers"},
		{name: "JLtU", does: "uint[a] < uint[b]", note: "unsigned integers"},
		{name: "JLeU", does: "uint[a] <= uint[b]", note: "unsigned integers"},
		{name: "JEqI", does: "int[a] == b", note: "an integer with a number of the program's text"},
		{name: "JNeI", does: "int[a] != b", note: "the same"},
		{name: "JLtI", does: "int[a] < b", note: "the same, signed"},
		{name: "JLeI", does: "int[a] <= b", note: "the same, signed"},
		{name: "JGtI", does: "int[a] > b", note: "the same, signed"},
		{name: "JGeI", does: "int[a] >= b", note: "the same, signed"},
		{name: "JFEq", does: "float[a] == float[b]", note: "float64"},
		{name: "JFNe", does: "float[a] != float[b]", note: "float64"},
		{name: "JFLt", does: "float[a] < float[b]", note: "float64"},
		{name: "JFLe", does: "float[a] <= float[b]", note: "float64"},
		{name: "JNFLt", does: "!(float[a] < float[b])", note: "not less, which is not the same as more or equal: also where one is NaN"},
		{name: "JNFLe", does: "!(float[a] <= float[b])", note: "the same"},
	}},
	{"Loads: from Go's memory into slots", memory, []operation{
		{name: "LdU8", does: "uint[a] = uint64(mem[uint8])", note: "uint8, bool"},
		{name: "LdI8", does: "int[a] = int64(mem[int8])", note: "int8"},
		{name: "LdU16", does: "uint[a] = uint64(mem[uint16])", note: "uint16"},
		{name: "LdI16", does: "int[a] = int64(mem[int16])", note: "int16"},
		{name: "LdU32", does: "uint[a] = uint64(mem[uint32])", note: "uint32, float32"},
		{name: "LdI32", does: "int[a] = int64(mem[int32])", note: "int32"},
		{name: "Ld64", does: "uint[a] = mem[uint64]", note: "all of 64 bits"},
		{name: "LdP", does: "ptr[a] = mem[unsafe.Pointer]", note: "a pointer, map, channel or func"},
		{name: "LdStr", does: "uint[d] = mem[uint64+8]; ptr[a] = mem[unsafe.Pointer]", note: "a string's two words; ptr[a] may be where the address came from, so it is set last"},
		{name: "LdSlice", does: "uint[d] = mem[uint64+8]; uint[d+8] = mem[uint64+16]; ptr[a] = mem[unsafe.Pointer]", note: "a slice's three words"},
		{name: "LdIface", does: "x, y := mem[unsafe.Pointer], mem[unsafe.Pointer+8]; ptr[a] = x; ptr[a+8] = y", note: "an interface's two words"},
		{name: "Ld2", does: "uint[a] = mem[uint64]; uint[a+8] = mem[uint64+8]", note: "a complex128, or a struct of two numbers"},
	}},
	{"Stores: from slots into Go's memory", memory, []operation{
		{name: "St8", does: "mem[uint8] = uint8(uint[a])", note: "8 bits"},
		{name: "St16", does: "mem[uint16] = uint16(uint[a])", note: "16 bits"},
		{name: "St32", does: "mem[uint32] = uint32(uint[a])", note: "32 bits"},
		{name: "St64", does: "mem[uint64] = uint[a]", note: "64 bits"},
		{name: "StP", does: "mem[unsafe.Pointer] = ptr[a]", note: "a pointer; the compiler adds what the collector has to be told"},
		{name: "StStr", does: "mem[unsafe.Pointer] = ptr[a]; mem[uint64+8] = uint[d]", note: "a string"},
		{name: "StSlice", does: "mem[unsafe.Pointer] = ptr[a]; mem[uint64+8] = uint[d]; mem[uint64+16] = uint[d+8]", note: "a slice"},
		{name: "StIface", does: "mem[unsafe.Pointer] = ptr[a]; mem[unsafe.Pointer+8] = ptr[a+8]", note: "an interface"},
		{name: "St2", does: "mem[uint64] = uint[a]; mem[uint64+8] = uint[a+8]", note: "a complex128, or a struct of two numbers"},
	}},
	{"Addresses, and values too large for slots, which lie in a box of memory of their own", memory, []operation{
		{name: "Lea", does: "ptr[a] = address", note: "&p.field"},
		{name: "Check", does: "_ = ptr[b]", note: "only looks for nil, where Go does"},
		{name: "LdBox", does: "storeCopy(&ptr[a], ptrs[d], address)", form: leaves, note: "copies an array or a large struct out; ptrs[d] is its type"},
		{name: "StBox", does: "abi.Typedmemmove(ptrs[d], address, ptr[a])", form: leaves, note: "copies it back"},
	}},
	{"Global variables, whose addresses are known and never nil", plain, []operation{
		{name: "LdG64", does: "uint[a] = *(*uint64)(ptrs[b])", note: "reads one of 64 bits"},
		{name: "StG64", does: "*(*uint64)(ptrs[b]) = uint[a]", note: "sets it"},
		{name: "LdGP", does: "ptr[a] = *(*unsafe.Pointer)(ptrs[b])", note: "reads a pointer"},
		{name: "StGP", does: "*(*unsafe.Pointer)(ptrs[b]) = ptr[a]", note: "sets it"},
	}},
	{"Elements: s[i] of slices and strings in one instruction; an index beyond the length panics", element, []operation{
		{name: "IxU8", size: "1", does: "uint[a] = uint64(mem[uint8])", note: "reads a byte of a slice or string"},
		{name: "IxI32", size: "4", does: "int[a] = int64(mem[int32])", note: "reads an int32"},
		{name: "Ix64", size: "8", does: "uint[a] = mem[uint64]", note: "reads a number of 64 bits"},
		{name: "IxP", size: "8", does: "ptr[a] = mem[unsafe.Pointer]", note: "reads a pointer"},
		{name: "IxStr", size: "16", does: "ptr[a] = mem[unsafe.Pointer]; uint[8*x] = mem[uint64+8]", note: "reads a string"},
		{name: "IxSlice", size: "24", does: "ptr[a] = mem[unsafe.Pointer]; uint[8*x] = mem[uint64+8]; uint[8*x+8] = mem[uint64+16]", note: "reads a slice of a slice of slices"},
		{name: "IxAddr", size: "x", does: "ptr[a] = address", note: "&s[i], elements of x bytes"},
		{name: "IxAddrBig", size: "uint[8*x]", does: "ptr[a] = address", note: "&s[i], elements of 64 kB and more"},
		{name: "IsU8", size: "1", does: "mem[uint8] = uint8(uint[a])", note: "sets a byte"},
		{name: "Is32", size: "4", does: "mem[uint32] = uint32(uint[a])", note: "sets 32 bits"},
		{name: "Is64", size: "8", does: "mem[uint64] = uint[a]", note: "sets 64 bits"},
		{name: "IsP", size: "8", does: "mem[unsafe.Pointer] = ptr[a]", note: "sets a pointer"},
	}},
	{"Elements of arrays, whose length is part of their type", plain, []operation{
		{name: "IxArr", does: "if uint[c] >= uint64(uint32(d)) { failIndex(int[c], int64(d)) }; ptr[a] = unsafe.Add(ptr[b], uintptr(uint[c])*uintptr(x))", note: "&a[i]"},
		{name: "IxUnsigned", does: "if int[a] < 0 { failIndexUnsigned(int[a], int[b]) }", note: "before an index of type uint64 that no int could hold: the panic shows it as it is"},
	}},
	{"Calls. The called function's slots begin where the caller's end: a window with room for the results, then the parameters", leaves, []operation{
		{name: "Call", form: written, does: "sites[c].fn(…)", note: "calls a function of cells: what could need help is looked at first, and the rest is a new frame, without a Go call", body: `
callee := code.sites[in.c].fn.code.Load()
ns, np := unsafe.Add(s, code.sizeS), unsafe.Add(p, code.sizeP)
if callee == nil || atomic.LoadUint32(stop) != 0 || uintptr(ns)+callee.needS > t.endS || uintptr(np)+callee.needP > t.endP || t.top+1 >= len(t.frames) {
	t.pc = pc
	t.callSlowly(code.sites[in.c].fn, ns, np)
	goto resume
}
t.top++
fr := &t.frames[t.top]
fr.code, fr.ret, fr.s, fr.p, fr.defers = callee, pc, ns, np, nil
code, s, p, pc = callee, ns, np, callee.start`},
		{name: "CallNat", does: "sites[c].fn.native(t, ws, wp)", note: "calls a compiled function"},
		{name: "CallFn", does: "t.callFunc(sites[c], ptr[b], ws, wp)", note: "calls a func value"},
		{name: "Invoke", does: "t.invoke(sites[c], ptr[b], ptr[b+8], ws, wp)", note: "calls a method through an interface"},
		{name: "Ext", does: "exts[c](t, s, p)", note: "runs a Go function that was made for this very place: whatever is too rare to be an operation"},
		{name: "New", does: "storeNew(&ptr[a], ptrs[b])", note: "new(T); ptrs[b] is T"},
	}},
	{"Returns", ret, []operation{
		{name: "Ret", note: "the results are in their slots already"},
		{name: "RetS", does: "*(*uint64)(s) = uint[a]", note: "the only result is a number"},
		{name: "RetP", does: "*(*unsafe.Pointer)(p) = ptr[a]", note: "the only result is a pointer"},
	}},
	{"Defer, panic and the end of a thread", written, []operation{
		{name: "RunDefers", does: "for … { t.runDefer() }", note: "runs the deferred calls, the last first: it stays at this instruction until none is left", body: `
if t.frames[t.top].defers == nil {
	continue
}
t.pc = unsafe.Add(pc, -int(instrSize))
t.runDefer()
goto resume`},
		{name: "Unwind", does: "t.unwindOn()", note: "where a deferred call of a panicking function returns to: recovered, or on with the panic", body: `
t.pc = pc
if t.unwindOn() {
	return
}
goto resume`},
		{name: "Exit", does: "return", note: "where a thread's first function returns to", body: "return"},
	}},
}
