package machine

// opcode says what an instruction does. In the comments s[x] is a scalar slot,
// p[x] a pointer slot at byte offset x; "to" is a branch target relative to
// the next instruction.
type opcode uint16

const (
	opNop opcode = iota

	// Moves and constants.
	opConst  // s[a] = d<<32|c
	opConstP // p[a] = ptrs[b]
	opMovS   // s[a] = s[b]
	opMovP   // p[a] = p[b]
	opMovPS  // p[a] = p[b]; s[c] = s[d]
	opMovPP  // p[a] = p[b]; p[a+8] = p[b+8]
	opMovSS  // s[a] = s[b]; s[a+8] = s[b+8]

	// 64-bit integers: s[a] = s[b] op s[c], or the immediate c.
	opAdd
	opSub
	opMul
	opDivS
	opDivU
	opRemS
	opRemU
	opAnd
	opOr
	opXor
	opAndNot
	opShl
	opShrS
	opShrU
	opAddI
	opMulI
	opAndI
	opShlI
	opShrSI
	opShrUI
	opRsbI // s[a] = c - s[b]
	opDivSI
	opRemSI
	opNeg
	opNot
	opLNot
	opShiftCheck // panics when s[a] < 0

	// Widths: s[a] = extension of s[b].
	opSx8
	opSx16
	opSx32
	opZx8
	opZx16
	opZx32
	opAdd32 // s[a] = int32(s[b] + s[c])
	opAddU8

	// Floats.
	opFAdd
	opFSub
	opFMul
	opFDiv
	opFNeg
	opF32Add
	opF32Sub
	opF32Mul
	opF32Div
	opF32Neg
	opIntToF
	opUintToF
	opFToInt
	opFSqrt

	// Comparisons to bool: s[a] = s[b] op s[c].
	opEq
	opNe
	opLtS
	opLeS
	opLtU
	opLeU
	opFEq
	opFNe
	opFLt
	opFLe
	opF32Eq
	opF32Ne
	opF32Lt
	opF32Le
	opEqP
	opNeP
	opEqI
	opLtI
	opStrEq // s[a] = p[b],s[c] == p[d],s[x*8]
	opStrNe

	// Branches.
	opJmp // to d
	opJT  // s[a] != 0
	opJF
	opJEq // s[a] op s[b]
	opJNe
	opJLtS
	opJLeS
	opJLtU
	opJLeU
	opJEqI // s[a] op b
	opJNeI
	opJLtI
	opJLeI
	opJGtI
	opJGeI
	opJFEq
	opJFNe
	opJFLt
	opJFLe
	opJNFLt // not less: also true for NaN
	opJNFLe
	opJNil // p[a] == nil
	opJNotNil

	// Memory: address p[b]+c.
	opLdU8 // s[a] = ...
	opLdI8
	opLdU16
	opLdI16
	opLdU32
	opLdI32
	opLd64
	opLdP
	opLdStr // p[a], s[d]
	opLdSlice
	opLdIface // p[a], p[a+8]
	opLd2     // s[a], s[a+8]
	opSt8     // *(p[b]+c) = s[a]
	opSt16
	opSt32
	opSt64
	opStP
	opStStr // p[a], s[d]
	opStSlice
	opStIface
	opSt2
	opLea   // p[a] = p[b]+c, nil checked
	opCheck // nil check of p[b]
	opLdBox // p[a] = copy of *(p[b]+c), type ptrs[d]
	opStBox // *(p[b]+c) = *p[a], type ptrs[d]
	opBoxLea
	opLdG64 // s[a] = *ptrs[b]
	opStG64 // *ptrs[b] = s[a]
	opLdGP
	opStGP
	opIncG64 // *ptrs[b] += s[a]

	// Elements: data p[b], index s[c], length s[d].
	opIxU8 // s[a] =
	opIxI32
	opIx64
	opIxP
	opIxStr // p[a], s[x*8] = string element
	opIxSlice
	opIxAddr // p[a] = address, element size x
	opIxAddrBig
	opIsU8 // element = s[a]
	opIs32
	opIs64
	opIsP
	opIxArr      // bounds check of s[c] against d; p[a] = p[b] + s[c]*x
	opIxUnsigned // panics when s[a] is beyond the signed numbers and length s[b]
	opIxArrBig   // element size in s-table

	// Calls. The window begins at the end of the frame.
	opCall     // sites[c]
	opCallSelf // the function itself
	opCallNat  // sites[c]
	opCallFn   // func value p[b], sites[c]
	opInvoke   // interface p[b],p[b+8], sites[c]
	opRet
	opRetS // s[0] = s[a]; return
	opRetP
	opExt // exts[c]
	opRunDefers
	opUnwind
	opExit
	opNew // p[a] = new(type ptrs[b])

	// opEnd follows the last instruction of every code and is never reached.
	// A program counter is where its thread goes on, the place after the
	// instruction that runs: after the last one, a panic say, that must not
	// be the beginning of whatever lies behind in memory. The collector takes
	// such a pointer for one to that object and ends the process when it is
	// free.
	opEnd
)
