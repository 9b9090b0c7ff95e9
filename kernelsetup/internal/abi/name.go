package abi

import "unsafe"

// Name points to a byte of flags, the length as a varint and the name, then
// likewise the tag, then the package path as a NameOff (internal/abi/type.go).
type Name struct{ Bytes *byte }

// The flags of a Name; Go has no names for them.
const (
	nameExported = 1 << 0
	nameTag      = 1 << 1
	namePkgPath  = 1 << 2
	nameEmbedded = 1 << 3
)

// NewName encodes a name; pkgPath is added where it is not 0.
func NewName(name, tag string, exported, embedded bool, pkgPath NameOff) Name {
	var flags byte
	if exported {
		flags |= nameExported
	}
	if embedded {
		flags |= nameEmbedded
	}
	b := appendCounted([]byte{flags}, name)
	if tag != "" {
		b[0] |= nameTag
		b = appendCounted(b, tag)
	}
	if pkgPath != 0 {
		b[0] |= namePkgPath
		off := (*[4]byte)(unsafe.Pointer(&pkgPath))
		b = append(b, off[:]...)
	}
	return Name{&b[0]}
}

func appendCounted(b []byte, s string) []byte {
	n := len(s)
	for ; n >= 0x80; n >>= 7 {
		b = append(b, byte(n)|0x80)
	}
	return append(append(b, byte(n)), s...)
}

// counted reads a length and that many bytes at offset at, and says where the
// next part begins.
func (n Name) counted(at int) (string, int) {
	length, shift := 0, 0
	for {
		b := *(*byte)(unsafe.Add(unsafe.Pointer(n.Bytes), at))
		at++
		length |= int(b&0x7F) << shift
		if b < 0x80 {
			break
		}
		shift += 7
	}
	return unsafe.String((*byte)(unsafe.Add(unsafe.Pointer(n.Bytes), at)), length), at + length
}

// Decode is the inverse of NewName, without the package path.
func (n Name) Decode() (name, tag string, exported, embedded bool) {
	flags := *n.Bytes
	name, at := n.counted(1)
	if flags&nameTag != 0 {
		tag, _ = n.counted(at)
	}
	return name, tag, flags&nameExported != 0, flags&nameEmbedded != 0
}

// IsBlank reports whether n is "_".
func (n Name) IsBlank() bool {
	b := unsafe.Slice(n.Bytes, 3)
	return b[1] == 1 && b[2] == '_'
}

// NewNameOff registers a name and returns its offset.
func NewNameOff(name string, exported bool, pkgPath NameOff) NameOff {
	return NameOff(addReflectOff(unsafe.Pointer(NewName(name, "", exported, false, pkgPath).Bytes)))
}

// NewTypeOff registers a type and returns its offset, which keeps it alive
// for good.
func NewTypeOff(t *Type) TypeOff { return TypeOff(addReflectOff(unsafe.Pointer(t))) }

// NewTextOff registers code and returns its offset.
func NewTextOff(code unsafe.Pointer) TextOff { return TextOff(addReflectOff(code)) }
