package abi

import "unsafe"

// Type is how every type begins (internal/abi/type.go).
type Type struct {
	Size_       uintptr
	PtrBytes    uintptr // number of bytes up to the last pointer
	Hash        uint32
	TFlag       TFlag
	Align_      uint8
	FieldAlign_ uint8
	Kind_       Kind
	Equal       func(unsafe.Pointer, unsafe.Pointer) bool
	GCData      *byte // one bit a word: is it a pointer?
	Str         NameOff
	PtrToThis   TypeOff
}

// TFlag is a set of facts about a type.
type TFlag uint8

const (
	TFlagUncommon       TFlag = 1 << 0 // an UncommonType follows the kind's struct
	TFlagExtraStar      TFlag = 1 << 1 // Str begins with a * that does not belong to it
	TFlagNamed          TFlag = 1 << 2
	TFlagRegularMemory  TFlag = 1 << 3 // equal where the bytes are
	TFlagGCMaskOnDemand TFlag = 1 << 4 // GCData points to where the mask will be
	TFlagDirectIface    TFlag = 1 << 5 // an interface holds the value itself
)

// Kind numbers kinds as package reflect does.
type Kind uint8

// Offsets of names, types and code, to be resolved by the run time.
type (
	NameOff int32
	TypeOff int32
	TextOff int32
)

// UncommonType follows the kind's struct directly where TFlagUncommon is set.
// The methods start Moff bytes after it: the exported ones first, each part
// by name.
type UncommonType struct {
	PkgPath NameOff
	Mcount  uint16
	Xcount  uint16
	Moff    uint32
	_       uint32
}

// Method is one method of a type that is no interface.
type Method struct {
	Name NameOff
	Mtyp TypeOff // without the receiver
	Ifn  TextOff // takes the receiver as an interface holds it
	Tfn  TextOff // takes the receiver as it is
}

// Imethod is one method of an interface type.
type Imethod struct {
	Name NameOff
	Typ  TypeOff
}

// StructField is one field of a struct type.
type StructField struct {
	Name   Name
	Typ    *Type
	Offset uintptr
}

// The struct of each kind; the kinds not named have no more than a Type. A
// FuncType is followed by its UncommonType, where it has one, and then by the
// types of its parameters and results.
type (
	ArrayType struct {
		Type
		Elem  *Type
		Slice *Type
		Len   uintptr
	}
	ChanType struct {
		Type
		Elem *Type
		Dir  ChanDir
	}
	FuncType struct {
		Type
		InCount  uint16
		OutCount uint16 // top bit: variadic
	}
	InterfaceType struct {
		Type
		PkgPath Name
		Methods []Imethod
	}
	PtrType struct {
		Type
		Elem *Type
	}
	SliceType struct {
		Type
		Elem *Type
	}
	StructType struct {
		Type
		PkgPath Name
		Fields  []StructField
	}
)

// ChanDir is as in package reflect.
type ChanDir int
