package machine

import (
	"math"
	"sync/atomic"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// loop runs from t.pc in the topmost frame until the thread's first function
// returns. What can fail saves its place first, so that a panic knows where
// it happened.
//
// Every instruction is written out, jumps with their look at the stop flag
// included: a call in here would cost more than most instructions do. To add
// one, start from the nearest; the equality suite compares what it does with
// compiled Go.
func (t *Thread) loop() {
resume:
	// No register of the loop stays alive over a call: whoever calls saves pc
	// and comes back here. So nothing has to be kept on the Go stack.
	fr := &t.frames[t.top]
	code, s, p, pc := fr.code, fr.s, fr.p, t.pc
	stop := t.stop
	for {
		in := (*instr)(pc)
		pc = unsafe.Add(pc, instrSize)
		switch in.op {
		case opNop:
		case opConst:
			*su(s, in.a) = uint64(uint32(in.c)) | uint64(uint32(in.d))<<32
		case opConstP:
			*pp(p, in.a) = code.ptrs[in.b]
		case opMovS:
			*su(s, in.a) = *su(s, in.b)
		case opMovP:
			*pp(p, in.a) = *pp(p, in.b)
		case opMovPS:
			*pp(p, in.a) = *pp(p, in.b)
			*su(s, in.c) = *su(s, in.d)
		case opMovPP:
			x, y := *pp(p, in.b), *pp(p, in.b+8)
			*pp(p, in.a) = x
			*pp(p, in.a+8) = y
		case opMovSS:
			x, y := *su(s, in.b), *su(s, in.b+8)
			*su(s, in.a) = x
			*su(s, in.a+8) = y
		case opAdd:
			*su(s, in.a) = *su(s, in.b) + *su(s, in.c)
		case opSub:
			*su(s, in.a) = *su(s, in.b) - *su(s, in.c)
		case opMul:
			*su(s, in.a) = *su(s, in.b) * *su(s, in.c)
		case opAnd:
			*su(s, in.a) = *su(s, in.b) & *su(s, in.c)
		case opOr:
			*su(s, in.a) = *su(s, in.b) | *su(s, in.c)
		case opXor:
			*su(s, in.a) = *su(s, in.b) ^ *su(s, in.c)
		case opAndNot:
			*su(s, in.a) = *su(s, in.b) &^ *su(s, in.c)
		case opDivS:
			y := *si(s, in.c)
			if y == 0 {
				t.pc = pc
				failDivide()
				return
			}
			*si(s, in.a) = *si(s, in.b) / y
		case opDivU:
			y := *su(s, in.c)
			if y == 0 {
				t.pc = pc
				failDivide()
				return
			}
			*su(s, in.a) = *su(s, in.b) / y
		case opRemS:
			y := *si(s, in.c)
			if y == 0 {
				t.pc = pc
				failDivide()
				return
			}
			*si(s, in.a) = *si(s, in.b) % y
		case opRemU:
			y := *su(s, in.c)
			if y == 0 {
				t.pc = pc
				failDivide()
				return
			}
			*su(s, in.a) = *su(s, in.b) % y
		case opShl:
			*su(s, in.a) = *su(s, in.b) << *su(s, in.c)
		case opShrS:
			*si(s, in.a) = *si(s, in.b) >> *su(s, in.c)
		case opShrU:
			*su(s, in.a) = *su(s, in.b) >> *su(s, in.c)
		case opAddI:
			*si(s, in.a) = *si(s, in.b) + int64(in.c)
		case opMulI:
			*si(s, in.a) = *si(s, in.b) * int64(in.c)
		case opAndI:
			*si(s, in.a) = *si(s, in.b) & int64(in.c)
		case opShlI:
			*su(s, in.a) = *su(s, in.b) << (uint32(in.c) & 63)
		case opShrSI:
			*si(s, in.a) = *si(s, in.b) >> (uint32(in.c) & 63)
		case opShrUI:
			*su(s, in.a) = *su(s, in.b) >> (uint32(in.c) & 63)
		case opRsbI:
			*si(s, in.a) = int64(in.c) - *si(s, in.b)
		case opDivSI:
			*si(s, in.a) = *si(s, in.b) / int64(in.c)
		case opRemSI:
			*si(s, in.a) = *si(s, in.b) % int64(in.c)
		case opNeg:
			*su(s, in.a) = -*su(s, in.b)
		case opNot:
			*su(s, in.a) = ^*su(s, in.b)
		case opLNot:
			*su(s, in.a) = *su(s, in.b) ^ 1
		case opShiftCheck:
			if *si(s, in.a) < 0 {
				t.pc = pc
				failShift()
				return
			}
		case opSx8:
			*si(s, in.a) = int64(int8(*si(s, in.b)))
		case opSx16:
			*si(s, in.a) = int64(int16(*si(s, in.b)))
		case opSx32:
			*si(s, in.a) = int64(int32(*si(s, in.b)))
		case opZx8:
			*su(s, in.a) = uint64(uint8(*su(s, in.b)))
		case opZx16:
			*su(s, in.a) = uint64(uint16(*su(s, in.b)))
		case opZx32:
			*su(s, in.a) = uint64(uint32(*su(s, in.b)))
		case opFAdd:
			*sf(s, in.a) = *sf(s, in.b) + *sf(s, in.c)
		case opF32Add:
			*su(s, in.a) = uint64(math.Float32bits(*sf32(s, in.b) + *sf32(s, in.c)))
		case opFSub:
			*sf(s, in.a) = *sf(s, in.b) - *sf(s, in.c)
		case opF32Sub:
			*su(s, in.a) = uint64(math.Float32bits(*sf32(s, in.b) - *sf32(s, in.c)))
		case opFMul:
			*sf(s, in.a) = *sf(s, in.b) * *sf(s, in.c)
		case opF32Mul:
			*su(s, in.a) = uint64(math.Float32bits(*sf32(s, in.b) * *sf32(s, in.c)))
		case opFDiv:
			*sf(s, in.a) = *sf(s, in.b) / *sf(s, in.c)
		case opF32Div:
			*su(s, in.a) = uint64(math.Float32bits(*sf32(s, in.b) / *sf32(s, in.c)))
		case opFNeg:
			*sf(s, in.a) = -*sf(s, in.b)
		case opF32Neg:
			*su(s, in.a) = uint64(math.Float32bits(-*sf32(s, in.b)))
		case opIntToF:
			*sf(s, in.a) = float64(*si(s, in.b))
		case opUintToF:
			*sf(s, in.a) = float64(*su(s, in.b))
		case opFToInt:
			*si(s, in.a) = int64(*sf(s, in.b))
		case opFSqrt:
			*sf(s, in.a) = math.Sqrt(*sf(s, in.b))
		case opEq:
			*su(s, in.a) = b2u(*su(s, in.b) == *su(s, in.c))
		case opNe:
			*su(s, in.a) = b2u(*su(s, in.b) != *su(s, in.c))
		case opLtS:
			*su(s, in.a) = b2u(*si(s, in.b) < *si(s, in.c))
		case opLeS:
			*su(s, in.a) = b2u(*si(s, in.b) <= *si(s, in.c))
		case opLtU:
			*su(s, in.a) = b2u(*su(s, in.b) < *su(s, in.c))
		case opLeU:
			*su(s, in.a) = b2u(*su(s, in.b) <= *su(s, in.c))
		case opFEq:
			*su(s, in.a) = b2u(*sf(s, in.b) == *sf(s, in.c))
		case opFNe:
			*su(s, in.a) = b2u(*sf(s, in.b) != *sf(s, in.c))
		case opFLt:
			*su(s, in.a) = b2u(*sf(s, in.b) < *sf(s, in.c))
		case opFLe:
			*su(s, in.a) = b2u(*sf(s, in.b) <= *sf(s, in.c))
		case opF32Eq:
			*su(s, in.a) = b2u(*sf32(s, in.b) == *sf32(s, in.c))
		case opF32Ne:
			*su(s, in.a) = b2u(*sf32(s, in.b) != *sf32(s, in.c))
		case opF32Lt:
			*su(s, in.a) = b2u(*sf32(s, in.b) < *sf32(s, in.c))
		case opF32Le:
			*su(s, in.a) = b2u(*sf32(s, in.b) <= *sf32(s, in.c))
		case opEqP:
			*su(s, in.a) = b2u(*pp(p, in.b) == *pp(p, in.c))
		case opNeP:
			*su(s, in.a) = b2u(*pp(p, in.b) != *pp(p, in.c))
		case opEqI:
			*su(s, in.a) = b2u(*si(s, in.b) == int64(in.c))
		case opLtI:
			*su(s, in.a) = b2u(*si(s, in.b) < int64(in.c))
		case opStrEq:
			t.pc = pc
			at := su(s, in.a)
			*at = b2u(makeString(*pp(p, in.b), *su(s, in.c)) == makeString(*pp(p, in.d), *su(s, int32(in.x)*8)))
			goto resume
		case opStrNe:
			t.pc = pc
			at := su(s, in.a)
			*at = b2u(makeString(*pp(p, in.b), *su(s, in.c)) != makeString(*pp(p, in.d), *su(s, int32(in.x)*8)))
			goto resume
		case opJmp:
			pc = unsafe.Add(pc, in.d)
			if atomic.LoadUint32(stop) != 0 {
				t.pc = pc
				t.interrupted()
				return
			}
		case opJT:
			if *su(s, in.a) != 0 {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJF:
			if *su(s, in.a) == 0 {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJEq:
			if *su(s, in.a) == *su(s, in.b) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJNe:
			if *su(s, in.a) != *su(s, in.b) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJLtS:
			if *si(s, in.a) < *si(s, in.b) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJLeS:
			if *si(s, in.a) <= *si(s, in.b) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJLtU:
			if *su(s, in.a) < *su(s, in.b) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJLeU:
			if *su(s, in.a) <= *su(s, in.b) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJFEq:
			if *sf(s, in.a) == *sf(s, in.b) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJFNe:
			if *sf(s, in.a) != *sf(s, in.b) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJFLt:
			if *sf(s, in.a) < *sf(s, in.b) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJFLe:
			if *sf(s, in.a) <= *sf(s, in.b) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJNFLt:
			if !(*sf(s, in.a) < *sf(s, in.b)) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJNFLe:
			if !(*sf(s, in.a) <= *sf(s, in.b)) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJEqI:
			if *si(s, in.a) == int64(in.b) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJNeI:
			if *si(s, in.a) != int64(in.b) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJLtI:
			if *si(s, in.a) < int64(in.b) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJLeI:
			if *si(s, in.a) <= int64(in.b) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJGtI:
			if *si(s, in.a) > int64(in.b) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJGeI:
			if *si(s, in.a) >= int64(in.b) {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJNil:
			if *pp(p, in.a) == nil {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opJNotNil:
			if *pp(p, in.a) != nil {
				pc = unsafe.Add(pc, in.d)
				if atomic.LoadUint32(stop) != 0 {
					t.pc = pc
					t.interrupted()
				}
			}
		case opLdU8:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			*su(s, in.a) = uint64(*(*uint8)(unsafe.Add(q, in.c)))
		case opLdU16:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			*su(s, in.a) = uint64(*(*uint16)(unsafe.Add(q, in.c)))
		case opLdU32:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			*su(s, in.a) = uint64(*(*uint32)(unsafe.Add(q, in.c)))
		case opLd64:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			*su(s, in.a) = *(*uint64)(unsafe.Add(q, in.c))
		case opLdI8:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			*si(s, in.a) = int64(*(*int8)(unsafe.Add(q, in.c)))
		case opLdI16:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			*si(s, in.a) = int64(*(*int16)(unsafe.Add(q, in.c)))
		case opLdI32:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			*si(s, in.a) = int64(*(*int32)(unsafe.Add(q, in.c)))
		case opLdP:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			*pp(p, in.a) = *(*unsafe.Pointer)(unsafe.Add(q, in.c))
		case opLdStr:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			q = unsafe.Add(q, in.c)
			*su(s, in.d) = *(*uint64)(unsafe.Add(q, 8))
			*pp(p, in.a) = *(*unsafe.Pointer)(q)
		case opLdSlice:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			q = unsafe.Add(q, in.c)
			*su(s, in.d) = *(*uint64)(unsafe.Add(q, 8))
			*su(s, in.d+8) = *(*uint64)(unsafe.Add(q, 16))
			*pp(p, in.a) = *(*unsafe.Pointer)(q)
		case opLdIface:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			q = unsafe.Add(q, in.c)
			x, y := *(*unsafe.Pointer)(q), *(*unsafe.Pointer)(unsafe.Add(q, 8))
			*pp(p, in.a) = x
			*pp(p, in.a+8) = y
		case opLd2:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			q = unsafe.Add(q, in.c)
			*su(s, in.a) = *(*uint64)(q)
			*su(s, in.a+8) = *(*uint64)(unsafe.Add(q, 8))
		case opSt8:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			*(*uint8)(unsafe.Add(q, in.c)) = uint8(*su(s, in.a))
		case opSt16:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			*(*uint16)(unsafe.Add(q, in.c)) = uint16(*su(s, in.a))
		case opSt32:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			*(*uint32)(unsafe.Add(q, in.c)) = uint32(*su(s, in.a))
		case opSt64:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			*(*uint64)(unsafe.Add(q, in.c)) = uint64(*su(s, in.a))
		case opStP:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			*(*unsafe.Pointer)(unsafe.Add(q, in.c)) = *pp(p, in.a)
		case opStStr:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			q = unsafe.Add(q, in.c)
			*(*unsafe.Pointer)(q) = *pp(p, in.a)
			*(*uint64)(unsafe.Add(q, 8)) = *su(s, in.d)
		case opStSlice:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			q = unsafe.Add(q, in.c)
			*(*unsafe.Pointer)(q) = *pp(p, in.a)
			*(*uint64)(unsafe.Add(q, 8)) = *su(s, in.d)
			*(*uint64)(unsafe.Add(q, 16)) = *su(s, in.d+8)
		case opStIface:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			q = unsafe.Add(q, in.c)
			*(*unsafe.Pointer)(q) = *pp(p, in.a)
			*(*unsafe.Pointer)(unsafe.Add(q, 8)) = *pp(p, in.a+8)
		case opSt2:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			q = unsafe.Add(q, in.c)
			*(*uint64)(q) = *su(s, in.a)
			*(*uint64)(unsafe.Add(q, 8)) = *su(s, in.a+8)
		case opLea:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			*pp(p, in.a) = unsafe.Add(q, in.c)
		case opCheck:
			if *pp(p, in.b) == nil {
				t.pc = pc
				failNil()
				return
			}
		case opLdBox:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			t.pc = pc
			q, at := unsafe.Add(q, in.c), pp(p, in.a)
			*at = copyBox(code.ptrs[in.d], q)
			goto resume
		case opStBox:
			q := *pp(p, in.b)
			if q == nil {
				t.pc = pc
				failNil()
				return
			}
			t.pc = pc
			abi.Typedmemmove(code.ptrs[in.d], unsafe.Add(q, in.c), *pp(p, in.a))
			goto resume
		case opLdG64:
			*su(s, in.a) = *(*uint64)(code.ptrs[in.b])
		case opStG64:
			*(*uint64)(code.ptrs[in.b]) = *su(s, in.a)
		case opIncG64:
			*(*uint64)(code.ptrs[in.b]) += *su(s, in.a)
		case opLdGP:
			*pp(p, in.a) = *(*unsafe.Pointer)(code.ptrs[in.b])
		case opStGP:
			*(*unsafe.Pointer)(code.ptrs[in.b]) = *pp(p, in.a)
		case opIxU8:
			i := *su(s, in.c)
			if n := *su(s, in.d); i >= n {
				t.pc = pc
				failIndex(int64(i), int64(n))
				return
			}
			*su(s, in.a) = uint64(*(*uint8)(unsafe.Add(*pp(p, in.b), i)))
		case opIxI32:
			i := *su(s, in.c)
			if n := *su(s, in.d); i >= n {
				t.pc = pc
				failIndex(int64(i), int64(n))
				return
			}
			*si(s, in.a) = int64(*(*int32)(unsafe.Add(*pp(p, in.b), i*4)))
		case opIx64:
			i := *su(s, in.c)
			if n := *su(s, in.d); i >= n {
				t.pc = pc
				failIndex(int64(i), int64(n))
				return
			}
			*su(s, in.a) = *(*uint64)(unsafe.Add(*pp(p, in.b), i*8))
		case opIxP:
			i := *su(s, in.c)
			if n := *su(s, in.d); i >= n {
				t.pc = pc
				failIndex(int64(i), int64(n))
				return
			}
			*pp(p, in.a) = *(*unsafe.Pointer)(unsafe.Add(*pp(p, in.b), i*8))
		case opIxStr:
			i := *su(s, in.c)
			if n := *su(s, in.d); i >= n {
				t.pc = pc
				failIndex(int64(i), int64(n))
				return
			}
			q := unsafe.Add(*pp(p, in.b), i*16)
			*pp(p, in.a) = *(*unsafe.Pointer)(q)
			*su(s, int32(in.x)*8) = *(*uint64)(unsafe.Add(q, 8))
		case opIxSlice:
			i := *su(s, in.c)
			if n := *su(s, in.d); i >= n {
				t.pc = pc
				failIndex(int64(i), int64(n))
				return
			}
			q := unsafe.Add(*pp(p, in.b), i*24)
			*pp(p, in.a) = *(*unsafe.Pointer)(q)
			*su(s, int32(in.x)*8) = *(*uint64)(unsafe.Add(q, 8))
			*su(s, int32(in.x)*8+8) = *(*uint64)(unsafe.Add(q, 16))
		case opIxAddr:
			i := *su(s, in.c)
			if n := *su(s, in.d); i >= n {
				t.pc = pc
				failIndex(int64(i), int64(n))
				return
			}
			*pp(p, in.a) = unsafe.Add(*pp(p, in.b), uintptr(i)*uintptr(in.x))
		case opIxAddrBig:
			i := *su(s, in.c)
			if n := *su(s, in.d); i >= n {
				t.pc = pc
				failIndex(int64(i), int64(n))
				return
			}
			*pp(p, in.a) = unsafe.Add(*pp(p, in.b), uintptr(i)*uintptr(*su(s, int32(in.x)*8)))
		case opIsU8:
			i := *su(s, in.c)
			if n := *su(s, in.d); i >= n {
				t.pc = pc
				failIndex(int64(i), int64(n))
				return
			}
			*(*uint8)(unsafe.Add(*pp(p, in.b), i)) = uint8(*su(s, in.a))
		case opIs32:
			i := *su(s, in.c)
			if n := *su(s, in.d); i >= n {
				t.pc = pc
				failIndex(int64(i), int64(n))
				return
			}
			*(*uint32)(unsafe.Add(*pp(p, in.b), i*4)) = uint32(*su(s, in.a))
		case opIs64:
			i := *su(s, in.c)
			if n := *su(s, in.d); i >= n {
				t.pc = pc
				failIndex(int64(i), int64(n))
				return
			}
			*(*uint64)(unsafe.Add(*pp(p, in.b), i*8)) = *su(s, in.a)
		case opIsP:
			i := *su(s, in.c)
			if n := *su(s, in.d); i >= n {
				t.pc = pc
				failIndex(int64(i), int64(n))
				return
			}
			*(*unsafe.Pointer)(unsafe.Add(*pp(p, in.b), i*8)) = *pp(p, in.a)
		case opIxArr:
			i := *su(s, in.c)
			if i >= uint64(uint32(in.d)) {
				t.pc = pc
				failIndex(int64(i), int64(in.d))
				return
			}
			*pp(p, in.a) = unsafe.Add(*pp(p, in.b), uintptr(i)*uintptr(in.x))
		case opIxUnsigned:
			if *si(s, in.a) < 0 {
				t.pc = pc
				failIndexUnsigned(*si(s, in.a), *si(s, in.b))
				return
			}
		case opCall:
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
			code, s, p, pc = callee, ns, np, callee.start
		case opCallNat:
			t.pc = pc
			code.sites[in.c].fn.native(t, unsafe.Add(s, code.sizeS), unsafe.Add(p, code.sizeP))
			goto resume
		case opCallFn:
			t.pc = pc
			t.callFunc(code.sites[in.c], *pp(p, in.b), unsafe.Add(s, code.sizeS), unsafe.Add(p, code.sizeP))
			goto resume
		case opInvoke:
			t.pc = pc
			t.invoke(code.sites[in.c], *pp(p, in.b), *pp(p, in.b+8), unsafe.Add(s, code.sizeS), unsafe.Add(p, code.sizeP))
			goto resume
		case opRet:
			fr := &t.frames[t.top]
			pc = fr.ret
			t.top--
			fr = &t.frames[t.top]
			code, s, p = fr.code, fr.s, fr.p
		case opRetS:
			*(*uint64)(s) = *su(s, in.a)
			fr := &t.frames[t.top]
			pc = fr.ret
			t.top--
			fr = &t.frames[t.top]
			code, s, p = fr.code, fr.s, fr.p
		case opRetP:
			*(*unsafe.Pointer)(p) = *pp(p, in.a)
			fr := &t.frames[t.top]
			pc = fr.ret
			t.top--
			fr = &t.frames[t.top]
			code, s, p = fr.code, fr.s, fr.p
		case opExt:
			t.pc = pc
			code.exts[in.c](t, s, p)
			goto resume
		case opRunDefers:
			if t.frames[t.top].defers == nil {
				continue
			}
			t.pc = unsafe.Add(pc, -int(instrSize))
			t.runDefer()
			goto resume
		case opUnwind:
			t.pc = pc
			if t.unwindOn() {
				return
			}
			goto resume
		case opExit:
			return
		case opNew:
			t.pc = pc
			at := pp(p, in.a)
			*at = abi.UnsafeNew(code.ptrs[in.b])
			goto resume
		default:
			panic("machine: unknown instruction")
		}
	}
}
