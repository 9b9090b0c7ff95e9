package sample

type signed interface {
	~int | ~int8 | ~int16 | ~int32 | ~int64
}

type unsigned interface {
	~uint | ~uint8 | ~uint16 | ~uint32 | ~uint64 | ~uintptr
}

type integer interface{ signed | unsigned }

// edges returns the values of T at which sums overflow, signs change and
// shifts have moved everything out.
func edges[T integer]() []T {
	ones := ^T(0)
	bits := 0
	for x := ones; x != 0 && bits < 64; bits++ {
		x <<= 1
	}
	top := T(1) << (bits - 1)
	return []T{0, 1, 2, 3, 7, 31, 63, 64, 100, 127, T(bits), ones, ones - 1, top, top - 1, top + 1, top ^ 5, ones / 3}
}

func put[T integer](r *Result, xs ...T) {
	for _, x := range xs {
		r.int(uint64(x))
	}
}

func integers[T integer](r *Result, edge []T) {
	for _, x := range edge {
		put(r, -x, ^x, +x)
		byOperand(r, x)
		convert(r, x)
		for _, y := range edge {
			put(r, x+y, x-y, x*y, x&y, x|y, x^y, x&^y)
			compare(r, x, y)
			branch(r, x, y)
			r.try(func() { put(r, x/y) })
			r.try(func() { put(r, x%y) })
			r.try(func() { put(r, x<<y, x>>y) })
		}
	}
}

func signedInts[T signed](r *Result, edge []T) {
	integers(r, edge)
	for _, x := range edge {
		put(r, x+-1, x-(-128), x*-3, x&-2, -5-x, x/-7, x%-7)
		r.bool(x == -1)
		r.bool(x < -1)
		steps := uint64(0)
		if x < -1 {
			steps |= 1
		}
		if x <= -127 {
			steps |= 2
		}
		if x > -2 {
			steps |= 4
		}
		if x >= -128 {
			steps |= 8
		}
		if x == -128 {
			steps |= 16
		}
		if x != -1 {
			steps |= 32
		}
		r.int(steps)
		put(r, T(r.Ints[0])>>uint8(x), x<<uint16(x), x>>uint64(x)) // shifts by unsigned numbers need no check
	}
}

func unsignedInts[T unsigned](r *Result, edge []T) {
	integers(r, edge)
	for _, x := range edge {
		put(r, T(200)-x, x+200, x*201, x&255, x/254, x%253)
		r.bool(x == 255)
	}
}

// byOperand calculates with numbers of the text, which are operands.
func byOperand[T integer](r *Result, x T) {
	put(r, x+1, x+127, 100+x, x-1, x-127, x*3, 5*x, x*127, x&1, x&0x55, 3&x, x|1, x^64, x&^6)
	put(r, 0-x, 1-x, 127-x)
	put(r, x/1, x/2, x/3, x/127, x%1, x%2, x%3, x%127)
	put(r, x<<0, x<<1, x<<7, x>>0, x>>1, x>>7)
	r.bool(x == 0)
	r.bool(x == 127)
	r.bool(64 == x)
	r.bool(x != 1)
	r.bool(x < 3)
	r.bool(x >= 3)
	steps := uint64(0)
	if x == 1 {
		steps |= 1
	}
	if x != 2 {
		steps |= 2
	}
	if x < 3 {
		steps |= 4
	}
	if x <= 63 {
		steps |= 8
	}
	if x > 64 {
		steps |= 16
	}
	if x >= 100 {
		steps |= 32
	}
	if 7 < x {
		steps |= 64
	}
	if !(x == 31) {
		steps |= 128
	}
	r.int(steps)
}

func compare[T integer](r *Result, x, y T) {
	r.bool(x == y)
	r.bool(x != y)
	r.bool(x < y)
	r.bool(x <= y)
	r.bool(x > y)
	r.bool(x >= y)
}

func branch[T integer](r *Result, x, y T) {
	steps := uint64(0)
	if x == y {
		steps |= 1
	}
	if x != y {
		steps |= 2
	}
	if x < y {
		steps |= 4
	}
	if x <= y {
		steps |= 8
	}
	if x > y {
		steps |= 16
	}
	if x >= y {
		steps |= 32
	}
	n := 0
	for i := x; i < y && n < 4; i++ { // a test at the bottom of a loop
		n++
	}
	for i := x; i <= y && n < 8; i++ {
		n++
	}
	for i := x; i != y && n < 12; i-- {
		n++
	}
	for i := x; i == y && n < 16; i++ {
		n++
	}
	r.int(steps | uint64(n)<<8)
}

func convert[T integer](r *Result, x T) {
	put(r, int8(x))
	put(r, int16(x))
	put(r, int32(x))
	put(r, int64(x))
	put(r, int(x))
	put(r, uint8(x))
	put(r, uint16(x))
	put(r, uint32(x))
	put(r, uint64(x))
	put(r, uint(x))
	put(r, uintptr(x))
	r.float(float64(x))
	r.float32(float32(x))
	r.text(string(rune(x)))
}

// largeConstants are those that just fit an operand, and those that don't.
func largeConstants(r *Result) {
	for _, x := range edges[int64]() {
		put(r, x+2147483647, x+-2147483648, x+2147483648, x-2147483647, x-2147483648, x-(-2147483648), x*2147483647, x*-2147483648, x*2147483649)
		put(r, x<<31, x<<63, x>>31, x>>63)
		put(r, x&2147483647, x&-2147483648, x&4294967295, x|9223372036854775807, 2147483647-x, -2147483648-x, 9223372036854775807-x)
		put(r, x/2147483647, x%2147483647, x/-2147483648, x%-2147483648, x/9223372036854775807, x/-9223372036854775808)
		r.bool(x == 2147483647)
		r.bool(x == -2147483648)
		r.bool(x == 9223372036854775807)
		steps := uint64(0)
		if x < 2147483647 {
			steps |= 1
		}
		if x >= -2147483648 {
			steps |= 2
		}
		if x > 2147483648 {
			steps |= 4
		}
		if x <= -9223372036854775808 {
			steps |= 8
		}
		r.int(steps)
	}
	for _, x := range edges[uint64]() {
		put(r, x+18446744073709551615, x-18446744073709551615, x*18446744073709551615, x&18446744073709551614, 18446744073709551615-x)
		put(r, x<<31, x<<63, x>>31, x>>63)
		put(r, x/18446744073709551615, x%18446744073709551613, x/9223372036854775808)
		r.bool(x == 18446744073709551615)
		steps := uint64(0)
		if x == 18446744073709551615 {
			steps |= 1
		}
		if x < 18446744073709551615 {
			steps |= 2
		}
		if x > 9223372036854775808 {
			steps |= 4
		}
		r.int(steps)
	}
	for _, x := range edges[uint32]() {
		put(r, x<<31, x>>31)
		put(r, x+4294967295, x*4294967295, x&4294967295, x/4294967295, x%4294967291, 4294967295-x)
		r.bool(x == 4294967295)
	}
	for _, x := range edges[int32]() {
		put(r, x<<31, x>>31)
		put(r, x+-2147483648, x*-2147483648, x&-2147483648, x/-2147483648, -2147483648-x)
		r.bool(x == -2147483648)
	}
}
