package rtype

//go:generate go run generate.go

import (
	"reflect"
	"sort"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// fastEntry is the literal for parameters of some words. Its key has a letter
// for each word that travels in an integer register, I for a number and P for
// a pointer, and then an F for each number of floating point.
//
// One literal serves all functions whose parameters lie in the same registers.
// What they return does not matter: a literal fills all the registers that
// results could be in, and its caller takes those that it knows of. It has
// pointers among them as numbers, which the collector does not see; but nothing
// can come between reading them and returning.
type fastEntry struct {
	key  string
	make func(h *Maker, impl unsafe.Pointer) unsafe.Pointer
}

// fastLiteral returns the literal of a key and makes its code known to
// FuncImpl; nil where there is none.
func fastLiteral(key string) func(*Maker, unsafe.Pointer) unsafe.Pointer {
	i, found := sort.Find(len(fastLiterals), func(i int) int {
		switch k := fastLiterals[i].key; {
		case key < k:
			return -1
		case key > k:
			return 1
		}
		return 0
	})
	if !found {
		return nil
	}
	mk := fastLiterals[i].make
	ourCode.add((*abi.Closure)(mk(nil, nil)).Code)
	return mk
}

// funcKey returns the key of a func type, with a receiver before the parameters
// unless it is nil; false where there is no fast path.
func funcKey(recv, t reflect.Type) (string, bool) {
	var p, r registers
	if recv != nil {
		p.add(recv)
	}
	for i := range t.NumIn() {
		p.add(t.In(i))
	}
	for i := range t.NumOut() {
		r.add(t.Out(i))
	}
	switch {
	case p.other || r.other || r.words > maxResults || r.floats > maxResultFloats:
		return "", false
	case p.words > maxParams || p.floats > maxParamFloats:
		return "", false
	case (p.spill+7)&^7 < uintptr(p.words+p.floats)*8:
		// The caller has kept so much room on the stack for the callee to put
		// its parameters, and the literal would need more: two bools next to
		// each other have two bytes and not two words.
		return "", false
	}
	return string(p.key[:p.words]) + "FFFF"[:p.floats], true
}

// registers counts what values take.
type registers struct {
	key           [maxParams]byte // P or I of the first words
	words, floats int
	spill         uintptr // bytes on the stack, as the calling convention has them
	other         bool    // there was a value that can't be had word by word
}

func (g *registers) add(t reflect.Type) {
	align := uintptr(t.Align())
	g.spill = (g.spill+align-1)&^(align-1) + t.Size()
	switch k := t.Kind(); k {
	case reflect.Float32, reflect.Float64:
		g.floats++
	case reflect.String:
		g.word("PI")
	case reflect.Slice:
		g.word("PII")
	case reflect.Interface:
		g.word("PP")
	case reflect.Pointer, reflect.Map, reflect.Chan, reflect.Func, reflect.UnsafePointer:
		g.word("P")
	default:
		if k < reflect.Bool || k > reflect.Uintptr {
			g.other = true
			return
		}
		g.word("I")
	}
}

func (g *registers) word(letters string) {
	if g.words < len(g.key) {
		copy(g.key[g.words:], letters)
	}
	g.words += len(letters)
}

func run(impl unsafe.Pointer, h *Maker, w *Words) { h.call.CallWords(impl, w) }
