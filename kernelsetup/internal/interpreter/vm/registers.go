package vm

import (
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// One function for each sequence of result registers: I for an integer, P for a
// pointer, then floats. Only the type of the result differs, which cannot be a
// parameter: it decides in which registers the results are.

// floatArgs is how many of the registers for floats are used for parameters.
const floatArgs = 6

// registers carries the parameters and results of a call of compiled code.
// More parameters are always passed than the callee takes: it does not look
// at the rest.
type registers struct {
	i  [abi.IntArgRegs]uintptr
	f  [floatArgs]float64
	ri [6]uintptr
	rp [6]unsafe.Pointer
	rf [2]float64
}

func callNone(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64))(unsafe.Pointer(&f))
	fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callI(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) uintptr)(unsafe.Pointer(&f))
	r.ri[0] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callP(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) unsafe.Pointer)(unsafe.Pointer(&f))
	r.rp[0] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callII(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (uintptr, uintptr))(unsafe.Pointer(&f))
	r.ri[0], r.ri[1] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPI(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, uintptr))(unsafe.Pointer(&f))
	r.rp[0], r.ri[1] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callIP(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (uintptr, unsafe.Pointer))(unsafe.Pointer(&f))
	r.ri[0], r.rp[1] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPP(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, unsafe.Pointer))(unsafe.Pointer(&f))
	r.rp[0], r.rp[1] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPII(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, uintptr, uintptr))(unsafe.Pointer(&f))
	r.rp[0], r.ri[1], r.ri[2] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callIPP(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (uintptr, unsafe.Pointer, unsafe.Pointer))(unsafe.Pointer(&f))
	r.ri[0], r.rp[1], r.rp[2] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPPP(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, unsafe.Pointer, unsafe.Pointer))(unsafe.Pointer(&f))
	r.rp[0], r.rp[1], r.rp[2] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPPI(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, unsafe.Pointer, uintptr))(unsafe.Pointer(&f))
	r.rp[0], r.rp[1], r.ri[2] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPIP(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, uintptr, unsafe.Pointer))(unsafe.Pointer(&f))
	r.rp[0], r.ri[1], r.rp[2] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callIIP(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (uintptr, uintptr, unsafe.Pointer))(unsafe.Pointer(&f))
	r.ri[0], r.ri[1], r.rp[2] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callIII(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (uintptr, uintptr, uintptr))(unsafe.Pointer(&f))
	r.ri[0], r.ri[1], r.ri[2] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPIPP(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, uintptr, unsafe.Pointer, unsafe.Pointer))(unsafe.Pointer(&f))
	r.rp[0], r.ri[1], r.rp[2], r.rp[3] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPPPP(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, unsafe.Pointer, unsafe.Pointer, unsafe.Pointer))(unsafe.Pointer(&f))
	r.rp[0], r.rp[1], r.rp[2], r.rp[3] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPPPI(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, unsafe.Pointer, unsafe.Pointer, uintptr))(unsafe.Pointer(&f))
	r.rp[0], r.rp[1], r.rp[2], r.ri[3] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callIIPP(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (uintptr, uintptr, unsafe.Pointer, unsafe.Pointer))(unsafe.Pointer(&f))
	r.ri[0], r.ri[1], r.rp[2], r.rp[3] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPIPI(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, uintptr, unsafe.Pointer, uintptr))(unsafe.Pointer(&f))
	r.rp[0], r.ri[1], r.rp[2], r.ri[3] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callIIII(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (uintptr, uintptr, uintptr, uintptr))(unsafe.Pointer(&f))
	r.ri[0], r.ri[1], r.ri[2], r.ri[3] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPIIPP(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, uintptr, uintptr, unsafe.Pointer, unsafe.Pointer))(unsafe.Pointer(&f))
	r.rp[0], r.ri[1], r.ri[2], r.rp[3], r.rp[4] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPIIPI(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, uintptr, uintptr, unsafe.Pointer, uintptr))(unsafe.Pointer(&f))
	r.rp[0], r.ri[1], r.ri[2], r.rp[3], r.ri[4] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPIIPII(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, uintptr, uintptr, unsafe.Pointer, uintptr, uintptr))(unsafe.Pointer(&f))
	r.rp[0], r.ri[1], r.ri[2], r.rp[3], r.ri[4], r.ri[5] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPPPPI(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, unsafe.Pointer, unsafe.Pointer, unsafe.Pointer, uintptr))(unsafe.Pointer(&f))
	r.rp[0], r.rp[1], r.rp[2], r.rp[3], r.ri[4] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPIPIPP(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, uintptr, unsafe.Pointer, uintptr, unsafe.Pointer, unsafe.Pointer))(unsafe.Pointer(&f))
	r.rp[0], r.ri[1], r.rp[2], r.ri[3], r.rp[4], r.rp[5] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callF(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) float64)(unsafe.Pointer(&f))
	r.rf[0] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callFF(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (float64, float64))(unsafe.Pointer(&f))
	r.rf[0], r.rf[1] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPPF(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, unsafe.Pointer, float64))(unsafe.Pointer(&f))
	r.rp[0], r.rp[1], r.rf[0] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callIF(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (uintptr, float64))(unsafe.Pointer(&f))
	r.ri[0], r.rf[0] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPF(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, float64))(unsafe.Pointer(&f))
	r.rp[0], r.rf[0] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

func callPPFF(f unsafe.Pointer, r *registers) {
	fn := *(*func(uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, uintptr, float64, float64, float64, float64, float64, float64) (unsafe.Pointer, unsafe.Pointer, float64, float64))(unsafe.Pointer(&f))
	r.rp[0], r.rp[1], r.rf[0], r.rf[1] = fn(r.i[0], r.i[1], r.i[2], r.i[3], r.i[4], r.i[5], r.i[6], r.i[7], r.i[8], r.f[0], r.f[1], r.f[2], r.f[3], r.f[4], r.f[5])
}

var registerCalls = map[string]func(unsafe.Pointer, *registers){
	"":       callNone,
	"I":      callI,
	"P":      callP,
	"II":     callII,
	"PI":     callPI,
	"IP":     callIP,
	"PP":     callPP,
	"PII":    callPII,
	"IPP":    callIPP,
	"PPP":    callPPP,
	"PPI":    callPPI,
	"PIP":    callPIP,
	"IIP":    callIIP,
	"III":    callIII,
	"PIPP":   callPIPP,
	"PPPP":   callPPPP,
	"PPPI":   callPPPI,
	"IIPP":   callIIPP,
	"PIPI":   callPIPI,
	"IIII":   callIIII,
	"PIIPP":  callPIIPP,
	"PIIPI":  callPIIPI,
	"PIIPII": callPIIPII,
	"PPPPI":  callPPPPI,
	"PIPIPP": callPIPIPP,
	"F":      callF,
	"FF":     callFF,
	"PPF":    callPPF,
	"IF":     callIF,
	"PF":     callPF,
	"PPFF":   callPPFF,
}
