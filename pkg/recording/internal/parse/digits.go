package parse

// Digits reads up to max decimal digits at the start of b.
func Digits(b []byte, max int) (v int64, n int) {
	for n < len(b) && n < max && b[n]-'0' <= 9 {
		v = v*10 + int64(b[n]-'0')
		n++
	}
	return v, n
}
