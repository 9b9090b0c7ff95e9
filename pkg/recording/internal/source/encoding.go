package source

import (
	"io"
	"unicode/utf16"
	"unicode/utf8"
)

// utf16Reader turns UTF-16 into UTF-8.
type utf16Reader struct {
	r    io.Reader
	big  bool
	raw  [8192]byte
	n    int    // raw bytes left over from the last read
	high rune   // first half of a surrogate pair
	out  []byte // decoded, not yet handed over
	err  error
}

// Read hands over decoded bytes.
func (u *utf16Reader) Read(p []byte) (int, error) {
	for len(u.out) == 0 {
		if u.err != nil {
			return 0, u.err
		}
		u.fill()
	}
	n := copy(p, u.out)
	u.out = u.out[n:]
	return n, nil
}

func (u *utf16Reader) fill() {
	k, err := u.r.Read(u.raw[u.n:])
	u.err = err
	k += u.n
	out := make([]byte, 0, 2*k)
	i := 0
	for ; i+1 < k; i += 2 {
		c := rune(u.raw[i]) | rune(u.raw[i+1])<<8
		if u.big {
			c = rune(u.raw[i])<<8 | rune(u.raw[i+1])
		}
		switch {
		case u.high != 0:
			c = utf16.DecodeRune(u.high, c)
			u.high = 0
		case c >= 0xd800 && c < 0xdc00:
			u.high = c
			continue
		}
		out = utf8.AppendRune(out, c)
	}
	u.n = copy(u.raw[:], u.raw[i:k])
	u.out = out
}
