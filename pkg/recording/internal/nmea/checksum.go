package nmea

import "bytes"

// sentence returns the part of a line from its "$" on, if it begins like
// "$GPRMC,".
func sentence(line []byte) []byte {
	i := bytes.IndexByte(line, '$')
	if i < 0 || len(line)-i < 8 || i > 64 {
		return nil
	}
	s := line[i:]
	for _, c := range s[1:6] {
		if c &^= 0x20; c < 'A' || c > 'Z' { // some programs write small letters
			return nil
		}
	}
	if s[6] != ',' {
		return nil
	}
	return s
}

// checkSum cuts the checksum off a sentence and compares it: the exclusive or
// of all characters between "$" and "*", two hexadecimal digits. A sentence
// without one passes.
func checkSum(s []byte) ([]byte, bool) {
	i := bytes.LastIndexByte(s, '*')
	if i < 0 {
		return bytes.TrimRight(s, " "), true
	}
	tail := bytes.TrimRight(s[i+1:], " \x00")
	if len(tail) != 2 {
		return nil, false
	}
	var want byte
	for _, c := range tail {
		if c >= 'a' {
			c -= 'a' - 'A'
		}
		d := bytes.IndexByte([]byte("0123456789ABCDEF"), c)
		if d < 0 {
			return nil, false
		}
		want = want<<4 | byte(d)
	}
	var sum byte
	for _, c := range s[1:i] {
		sum ^= c
	}
	return s[:i], sum == want
}
