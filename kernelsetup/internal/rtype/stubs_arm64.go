package rtype

import "unsafe"

// stubStride is the distance of the stubs in stubs_arm64.s.
const stubStride = 8

// stubNumber reads the number from a stub's MOVD $n, R16, which is a MOVZ or,
// for zero, a MOVD ZR.
func stubNumber(code unsafe.Pointer) int {
	w := *(*uint32)(code)
	switch {
	case w == 0xAA1F03F0: // MOV X16, XZR
		return 0
	case w&0xFFE0001F == 0xD2800010: // MOVZ X16, #imm16
		return int(w >> 5 & 0xFFFF)
	case w&0xFF8003FF == 0xB20003F0: // ORR X16, XZR, #bitmask
		return bitmaskImmediate(w)
	}
	return -1
}

// bitmaskImmediate decodes the 64-bit-element form of a logical immediate.
func bitmaskImmediate(w uint32) int {
	n, immr, imms := w>>22&1, w>>16&0x3F, w>>10&0x3F
	if n != 1 {
		return -1
	}
	ones := uint64(1)<<(imms+1) - 1
	return int(ones>>immr | ones<<(64-immr))
}
