package sample

// edgeFloats returns zeros, infinities, NaN, the smallest and largest numbers
// and those where integers and float32 end.
func edgeFloats() []float64 {
	zero := 0.0
	inf := 1 / zero
	return []float64{zero, -zero, 1 / -inf, 1, -1, 0.5, 1.5, -2.5, 3, 0.1, 1e-320, 5e-324, -5e-324, 1e308, -1.7976931348623157e308,
		inf, -inf, zero / zero, 1e-46, 1.401298464324817e-45, 3.4028234663852886e38, 3.5e38, 16777217, 9007199254740993,
		127, 128, -129, 255, 256, 32768, 65536, 2147483647, 2147483648, -2147483649, 4294967295, 4294967296, 9223372036854774784, -9223372036854775808}
}

func floats(r *Result, edge []float64) {
	for _, x := range edge {
		r.float(-x)
		r.float(x + 1)
		r.float32(float32(x))
		floatToInts(r, x)
		for _, y := range edge {
			r.float(x + y)
			r.float(x - y)
			r.float(x * y)
			r.float(x / y)
			r.bool(x == y)
			r.bool(x != y)
			r.bool(x < y)
			r.bool(x <= y)
			r.bool(x > y)
			r.bool(x >= y)
			floatBranch(r, x, y)
		}
	}
}

// floatBranch has each comparison both ways round: with NaN, not less is not
// greater or equal.
func floatBranch(r *Result, x, y float64) {
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
	n := uint64(0)
	for x == y && n < 1 {
		n++
	}
	for x != y && n < 2 {
		n++
	}
	for x < y && n < 3 {
		n++
	}
	for x <= y && n < 4 {
		n++
	}
	for !(x < y) && n < 5 {
		n++
	}
	for !(x <= y) && n < 6 {
		n++
	}
	r.int(steps | n<<8)
}

// floatToInts leaves out what has no integer: there, Go promises nothing.
func floatToInts(r *Result, x float64) {
	if x > -1e18 && x < 1e18 {
		put(r, int(x))
		put(r, int64(x))
		put(r, int64(float32(x)))
	}
	if x > -129 && x < 128 {
		put(r, int8(x))
		put(r, int8(float32(x)))
	}
	if x > -32769 && x < 32768 {
		put(r, int16(x))
	}
	if x > -2147483649 && x < 2147483648 {
		put(r, int32(x))
	}
	if x > -1 && x < 1e18 {
		put(r, uint(x))
		put(r, uint64(x))
		put(r, uintptr(x))
	}
	if x > -1 && x < 256 {
		put(r, uint8(x))
		put(r, uint8(float32(x)))
	}
	if x > -1 && x < 65536 {
		put(r, uint16(x))
	}
	if x > -1 && x < 4294967296 {
		put(r, uint32(x))
	}
}

func floats32(r *Result, edge []float64) {
	for _, wide := range edge {
		x := float32(wide)
		r.float32(-x)
		r.float32(x + 1)
		r.float(float64(x))
		for _, wide := range edge {
			y := float32(wide)
			r.float32(x + y)
			r.float32(x - y)
			r.float32(x * y)
			r.float32(x / y)
			r.bool(x == y)
			r.bool(x != y)
			r.bool(x < y)
			r.bool(x <= y)
			r.bool(x > y)
			r.bool(x >= y)
			if x < y {
				r.int(2)
			}
			if x >= y {
				r.int(3)
			}
		}
	}
}

func complexNumbers(r *Result) {
	put128 := func(c complex128) { r.float(real(c)); r.float(imag(c)) }
	put64 := func(c complex64) { r.float32(real(c)); r.float32(imag(c)) }
	edge := []complex128{0, 1, 1i, -2 + 3i, 1e300 - 1e300i, 0.1 - 0.2i}
	at := &edge[0]
	for _, x := range edge {
		put128(-x)
		put64(complex64(x))
		put64(-complex64(x))
		*at = x
		put128(*at)
		for _, y := range edge[1:] {
			put128(x + y)
			put128(x - y)
			put128(x * y)
			put128(x / y)
			r.bool(x == y)
			r.bool(x != y)
			put64(complex64(x) * complex64(y))
			put64(complex64(x) / complex64(y))
		}
	}
}

func bools(r *Result) {
	for _, x := range []bool{true, false} {
		r.bool(!x)
		if !x {
			r.int(2)
		}
		for _, y := range []bool{true, false} {
			r.bool(x == y)
			r.bool(x != y)
			r.bool(x && y)
			r.bool(x || y)
			if x == y {
				r.int(4)
			}
			if x != y {
				r.int(5)
			}
		}
	}
}
