#include "textflag.h"

// A stub puts its number into a scratch register; tail loads the func value
// into the context register and jumps to its code. Argument registers, stack
// and return address are left as they are. Stubs are 16 bytes apart.
#define STUB(n) PCALIGN $16; MOVL $(n), R12; JMP tail;
#define STUB4(n) STUB(n) STUB(n+1) STUB(n+2) STUB(n+3)
#define STUB16(n) STUB4(n) STUB4(n+4) STUB4(n+8) STUB4(n+12)
#define STUB64(n) STUB16(n) STUB16(n+16) STUB16(n+32) STUB16(n+48)
#define STUB256(n) STUB64(n) STUB64(n+64) STUB64(n+128) STUB64(n+192)
#define STUB1024(n) STUB256(n) STUB256(n+256) STUB256(n+512) STUB256(n+768)
#define STUB4096(n) STUB1024(n) STUB1024(n+1024) STUB1024(n+2048) STUB1024(n+3072)

TEXT ·methodStubs(SB), NOSPLIT|NOFRAME, $0-0
	STUB4096(0)
	STUB4096(4096)
	STUB4096(8192)
	STUB4096(12288)
	STUB4096(16384)
	STUB4096(20480)
	STUB4096(24576)
	STUB4096(28672)
tail:
	LEAQ ·slots(SB), DX
	MOVQ (DX)(R12*8), DX
	JMP (DX)

// A thunk's inner func value is its fourth word.
TEXT ·thunkStub(SB), NOSPLIT|NOFRAME, $0-0
	MOVQ 24(DX), DX
	JMP (DX)

// func stubBase() unsafe.Pointer
TEXT ·stubBase(SB), NOSPLIT, $0-8
	LEAQ ·methodStubs(SB), AX
	MOVQ AX, ret+0(FP)
	RET

// func thunkPC() uintptr
TEXT ·thunkPC(SB), NOSPLIT, $0-8
	LEAQ ·thunkStub(SB), AX
	MOVQ AX, ret+0(FP)
	RET

// func stackUsed() uintptr
// R14 is g, whose first two words are the stack's bounds.
TEXT ·stackUsed(SB), NOSPLIT, $0-8
	MOVQ 8(R14), AX
	SUBQ SP, AX
	MOVQ AX, ret+0(FP)
	RET

// func goroutine() uintptr
TEXT ·goroutine(SB), NOSPLIT, $0-8
	MOVQ R14, ret+0(FP)
	RET

// func lend(w *Words) *Words
TEXT ·lend(SB), NOSPLIT, $0-16
	MOVQ w+0(FP), AX
	MOVQ AX, ret+8(FP)
	RET
