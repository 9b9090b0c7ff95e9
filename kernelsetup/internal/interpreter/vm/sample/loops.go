package sample

var (
	one, two2           = 1, 2
	uOne, uTwo          = uint(1), uint(2)
	fOne, fTwo          = 1.0, 2.0
	yes, no             = true, false
	narrowOne           = int8(1)
	Turns               int // counted by the loops below
	someNode, otherNode = &node{}, (*node)(nil)
)

// Loops never end. Each goes round by another branch, at which an interrupt
// has to be seen.
func LoopJmp() {
	for {
		Turns++
	}
}

func LoopJT() {
	for b := yes; b; {
		Turns++
	}
}

func LoopJEq() {
	for x, y := one, one; x == y; {
		Turns++
	}
}

func LoopJNe() {
	for x, y := one, two2; x != y; {
		Turns++
	}
}

func LoopJLtS() {
	for x, y := one, two2; x < y; {
		Turns++
	}
}

func LoopJLeS() {
	for x, y := one, two2; x <= y; {
		Turns++
	}
}

func LoopJLtU() {
	for x, y := uOne, uTwo; x < y; {
		Turns++
	}
}

func LoopJLeU() {
	for x, y := uOne, uTwo; x <= y; {
		Turns++
	}
}

func LoopJEqI() {
	for x := narrowOne; x == 1; {
		Turns++
	}
}

func LoopJNeI() {
	for x := one; x != 2; {
		Turns++
	}
}

func LoopJLtI() {
	for x := one; x < 2; {
		Turns++
	}
}

func LoopJLeI() {
	for x := one; x <= 1; {
		Turns++
	}
}

func LoopJGtI() {
	for x := one; x > 0; {
		Turns++
	}
}

func LoopJGeI() {
	for x := one; x >= 1; {
		Turns++
	}
}

func LoopJFEq() {
	for x, y := fOne, fOne; x == y; {
		Turns++
	}
}

func LoopJFNe() {
	for x, y := fOne, fTwo; x != y; {
		Turns++
	}
}

func LoopJFLt() {
	for x, y := fOne, fTwo; x < y; {
		Turns++
	}
}

func LoopJFLe() {
	for x, y := fOne, fTwo; x <= y; {
		Turns++
	}
}

// In these three the branch leads out of the test's way, not back: the false
// side of a comparison that is already there.
func LoopJF() {
	b := no
again:
	Turns++
	if b {
		return
	}
	goto again
}

func LoopJNFLt() {
	x, y := fTwo, fOne
again:
	Turns++
	if x < y {
		return
	}
	goto again
}

func LoopJNFLe() {
	x, y := fTwo, fOne
again:
	Turns++
	if x <= y {
		return
	}
	goto again
}

// Recursion sees an interrupt at its calls.
func LoopCall() { Turns++; LoopCall2(); LoopCall() }

func LoopCall2() { Turns++ }

// LoopPointer goes round by a comparison of pointers.
func LoopPointer() {
	for a, b := someNode, otherNode; a != b; {
		Turns++
	}
}
