#include "textflag.h"

// A stub puts its number into a scratch register; tail loads the func value
// into the context register and jumps to its code. Argument registers, stack
// and link register are left as they are. Stubs are 8 bytes apart.
#define STUB(n) MOVD $(n), R16; B tail;
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
	MOVD $·slots(SB), R26
	MOVD (R26)(R16<<3), R26
	MOVD (R26), R17
	JMP (R17)

// A thunk's inner func value is its fourth word.
TEXT ·thunkStub(SB), NOSPLIT|NOFRAME, $0-0
	MOVD 24(R26), R26
	MOVD (R26), R17
	JMP (R17)

// func stubBase() unsafe.Pointer
TEXT ·stubBase(SB), NOSPLIT, $0-8
	MOVD $·methodStubs(SB), R0
	MOVD R0, ret+0(FP)
	RET

// func thunkPC() uintptr
TEXT ·thunkPC(SB), NOSPLIT, $0-8
	MOVD $·thunkStub(SB), R0
	MOVD R0, ret+0(FP)
	RET

// func stackUsed() uintptr
// The first two words of g are the stack's bounds.
TEXT ·stackUsed(SB), NOSPLIT, $0-8
	MOVD 8(g), R0
	MOVD RSP, R1
	SUB R1, R0, R0
	MOVD R0, ret+0(FP)
	RET

// func goroutine() uintptr
TEXT ·goroutine(SB), NOSPLIT, $0-8
	MOVD g, R0
	MOVD R0, ret+0(FP)
	RET

// func lend(w *Words) *Words
TEXT ·lend(SB), NOSPLIT, $0-16
	MOVD w+0(FP), R0
	MOVD R0, ret+8(FP)
	RET
