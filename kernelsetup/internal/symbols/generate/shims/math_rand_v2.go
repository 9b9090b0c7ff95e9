//go:build ignore

package rand

func N[Int intType](n Int) Int {
	if n <= 0 {
		panic("invalid argument to N")
	}
	return Int(Uint64N(uint64(n)))
}
