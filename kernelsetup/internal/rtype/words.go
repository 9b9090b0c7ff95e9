package rtype

//go:generate go run generate.go

import (
	"reflect"
	"sort"
	"sync"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// fastEntry is one signature with a fast path. Its key has a letter for each
// parameter and, after a colon, each result:
//
//	i 64-bit integer   b bool, uint8   r int32    f float64
//	p pointer-shaped   s string        l slice    e interface
//
// Values of one letter have the same size and travel in the same registers,
// so that one literal serves all types of the letter. A letter never covers
// two sizes: callers reserve stack for the callee to spill its parameters to.
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

// funcKey returns the key of a func type.
func funcKey(t reflect.Type) (string, bool) {
	if t.NumIn() > MaxFastParams || t.NumOut() > MaxFastResults {
		return "", false
	}
	var b [MaxFastParams + 1 + MaxFastResults]byte
	key := b[:0]
	for i := range t.NumIn() {
		key = append(key, letter(t.In(i)))
	}
	key = append(key, ':')
	for i := range t.NumOut() {
		key = append(key, letter(t.Out(i)))
	}
	return checkedKey(key)
}

// methodKey returns the key of a method with a receiver of the letter recv.
func methodKey(recv byte, t reflect.Type) (string, bool) {
	key, ok := funcKey(t)
	if !ok || recv == 0 {
		return "", false
	}
	return string(recv) + key, true
}

func checkedKey(key []byte) (string, bool) {
	for _, c := range key {
		if c == 0 {
			return "", false
		}
	}
	return string(key), true
}

// letter returns a type's letter, or 0 where it has none.
func letter(t reflect.Type) byte {
	switch t.Kind() {
	case reflect.Int, reflect.Int64, reflect.Uint, reflect.Uint64, reflect.Uintptr:
		return 'i'
	case reflect.Bool, reflect.Uint8:
		return 'b'
	case reflect.Int32:
		return 'r'
	case reflect.Float64:
		return 'f'
	case reflect.Pointer, reflect.Map, reflect.Chan, reflect.Func, reflect.UnsafePointer:
		return 'p'
	case reflect.String:
		return 's'
	case reflect.Slice:
		return 'l'
	case reflect.Interface:
		return 'e'
	}
	return 0
}

// ifaceWords has the size and registers of an interface.
type ifaceWords struct{ t, d unsafe.Pointer }

func (s *Slot) iface() ifaceWords { return ifaceWords{s.T, s.P} }

func (s *Slot) str() string { return unsafe.String((*byte)(s.P), int(s.N)) }

func (s *Slot) slice() []byte {
	words := struct {
		data     unsafe.Pointer
		len, cap int
	}{s.P, int(s.N), int(s.M)}
	return *(*[]byte)(unsafe.Pointer(&words))
}

var wordsPool = sync.Pool{New: func() any { return new(Words) }}

func getWords() *Words { return wordsPool.Get().(*Words) }

// putWords takes back words whose pointers have been cleared. After a panic
// they are simply not put back.
func putWords(w *Words) { wordsPool.Put(w) }

func run(impl unsafe.Pointer, h *Maker, w *Words) { h.call.CallWords(impl, w) }
