package rtype

import "unsafe"

// stubStride is the distance of the stubs in stubs_amd64.s.
const stubStride = 16

// stubNumber reads the number from a stub's MOVL $n, R12.
func stubNumber(code unsafe.Pointer) int {
	b := (*[6]byte)(code)
	if b[0] != 0x41 || b[1] != 0xBC {
		return -1
	}
	return int(b[2]) | int(b[3])<<8 | int(b[4])<<16 | int(b[5])<<24
}
