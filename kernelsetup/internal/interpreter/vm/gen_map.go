package vm

import (
	"go/types"
	"reflect"
	"unicode/utf8"
	"unsafe"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

func (g *gen) makeMap(v *ssa.MakeMap) {
	word := g.m.typeWord(g.layout(v))
	d := g.dst(v).p * 8
	n := int32(-1)
	if v.Reserve != nil {
		n = g.sOf(v.Reserve)
	}
	m := g.m
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		hint := 0
		if n >= 0 {
			if hint = int(*si(s, n)); hint < 0 {
				hint = 0
			}
			if hint > 1<<16 {
				m.reserve(uint64(hint) * 16)
			}
		}
		*pp(p, d) = abi.Makemap(word, hint)
	})
}

// mapKey is how a key gets into memory for a map operation.
type mapKey struct {
	l    *layout
	s, p int32
	kind keyKind
	word unsafe.Pointer
}

type keyKind uint8

const (
	keyMemory keyKind = iota
	keyWord
	keyString
	keyBox
	keyPtr
)

func (g *gen) mapKeyOf(k ssa.Value, t types.Type) mapKey {
	at := g.at(k)
	l := g.m.layoutOf(t)
	key := mapKey{l: l, s: at.s * 8, p: at.p * 8, word: g.m.typeWord(l)}
	_, isStruct := t.Underlying().(*types.Struct)
	switch {
	case isStruct:
	case l.isBox():
		key.kind = keyBox
	case shape(l) == "PS":
		key.kind = keyString
	case len(l.comps) == 1 && l.comps[0].kind == memPtr || shape(l) == "PP":
		key.kind = keyPtr
	case len(l.comps) == 1:
		key.kind = keyWord // the low bytes come first
	}
	return key
}

// memory returns the key's address.
func (k *mapKey) memory(s, p unsafe.Pointer) unsafe.Pointer {
	switch k.kind {
	case keyWord:
		return unsafe.Add(s, k.s)
	case keyPtr:
		return unsafe.Add(p, k.p)
	case keyBox:
		return *pp(p, k.p)
	}
	mem := abi.UnsafeNew(k.word)
	k.l.store(mem, unsafe.Add(s, k.s), unsafe.Add(p, k.p))
	return mem
}

func (g *gen) lookup(v *ssa.Lookup) {
	mt, ok := v.X.Type().Underlying().(*types.Map)
	if !ok { // a string indexed by a variable
		str := g.at(v.X)
		g.emit(opIxU8, g.dst(v).s*8, str.p*8, g.sOf(v.Index), str.s*8)
		return
	}
	word := g.m.typeWord(g.layout(v.X))
	mp := g.pOf(v.X)
	key := g.mapKeyOf(v.Index, mt.Key())
	el := g.m.layoutOf(mt.Elem())
	dst := g.dst(v)
	ds, dp := dst.s*8, dst.p*8
	okAt := int32(-1)
	if v.CommaOk {
		okAt = ds + int32(g.layout(v).fields[1].s)*8
	}
	isString := key.kind == keyString && fastStringMap(g.m.rtype(g.layout(v.X)))
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		m := *pp(p, mp)
		t.lockMap(m)
		var at unsafe.Pointer
		if isString {
			if m != nil {
				at = abi.MapaccessFaststr(word, m, makeString(*pp(p, key.p), *su(s, key.s)))
			}
		} else {
			at = abi.Mapaccess(word, m, key.memory(s, p))
		}
		if at != nil {
			el.load(at, unsafe.Add(s, ds), unsafe.Add(p, dp))
		} else {
			el.clear(unsafe.Add(s, ds), unsafe.Add(p, dp))
		}
		if okAt >= 0 {
			*su(s, okAt) = b2u(at != nil)
		}
		t.unlockMap(m)
	})
}

// fastStringMap reports whether the run time's functions for maps with string
// keys apply: they do not know elements that are stored apart.
func fastStringMap(t reflect.Type) bool {
	const maxElem = 128
	return t.Key().Kind() == reflect.String && t.Elem().Size() <= maxElem
}

func (g *gen) mapUpdate(in *ssa.MapUpdate) {
	mt := in.Map.Type().Underlying().(*types.Map)
	word := g.m.typeWord(g.layout(in.Map))
	mp := g.pOf(in.Map)
	key := g.mapKeyOf(in.Key, mt.Key())
	val := g.mapKeyOf(in.Value, mt.Elem())
	isString := key.kind == keyString && fastStringMap(g.m.rtype(g.layout(in.Map)))
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		m := *pp(p, mp)
		if m == nil {
			failNilMap()
		}
		t.lockMap(m)
		if isString {
			abi.MapassignFaststr(word, m, makeString(*pp(p, key.p), *su(s, key.s)), val.memory(s, p))
		} else {
			abi.Mapassign(word, m, key.memory(s, p), val.memory(s, p))
		}
		t.unlockMap(m)
	})
}

func (g *gen) deleteCall(args []ssa.Value) {
	mt := args[0].Type().Underlying().(*types.Map)
	word := g.m.typeWord(g.layout(args[0]))
	mp := g.pOf(args[0])
	key := g.mapKeyOf(args[1], mt.Key())
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		m := *pp(p, mp)
		t.lockMap(m)
		abi.Mapdelete(word, m, key.memory(s, p))
		t.unlockMap(m)
	})
}

// mapRange and stringRange are the iterators of range loops.
type mapRange struct {
	it  reflect.MapIter
	m   unsafe.Pointer
	rk  reflect.Value
	rv  reflect.Value
	key unsafe.Pointer
	val unsafe.Pointer
}

type stringRange struct {
	text string
	pos  int
}

func (g *gen) rangeOver(v *ssa.Range) {
	at := g.at(v.X)
	xs, xp, d := at.s*8, at.p*8, g.dst(v).p*8
	if _, ok := v.X.Type().Underlying().(*types.Map); ok {
		rt := g.m.rtype(g.layout(v.X))
		word := g.m.typeWord(g.layout(v.X))
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			m := *pp(p, xp)
			r := &mapRange{m: m}
			r.it.Reset(reflect.ValueOf(abi.Any(word, m)))
			r.rk = reflect.New(rt.Key()).Elem()
			r.rv = reflect.New(rt.Elem()).Elem()
			r.key = r.rk.Addr().UnsafePointer()
			r.val = r.rv.Addr().UnsafePointer()
			*pp(p, d) = unsafe.Pointer(r)
		})
		return
	}
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		*pp(p, d) = unsafe.Pointer(&stringRange{text: makeString(*pp(p, xp), *su(s, xs))})
	})
}

func (g *gen) next(v *ssa.Next) {
	it := g.pOf(v.Iter)
	tup := g.layout(v)
	dst := g.dst(v)
	ds, dp := dst.s*8, dst.p*8
	k, e := tup.fields[1], tup.fields[2]
	if v.IsString {
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			r := (*stringRange)(*pp(p, it))
			if r.pos >= len(r.text) {
				*su(s, ds) = 0
				return
			}
			c, n := rune(r.text[r.pos]), 1
			if c >= utf8.RuneSelf {
				c, n = utf8.DecodeRuneInString(r.text[r.pos:])
			}
			*su(s, ds) = 1
			if k.layout.nS > 0 {
				*su(s, ds+int32(k.s)*8) = uint64(r.pos)
			}
			if e.layout.nS > 0 {
				*si(s, ds+int32(e.s)*8) = int64(c)
			}
			r.pos += n
		})
		return
	}
	wantKey, wantVal := len(k.layout.comps) > 0, len(e.layout.comps) > 0
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		r := (*mapRange)(*pp(p, it))
		t.lockMap(r.m)
		ok := r.it.Next()
		if ok {
			if wantKey {
				r.rk.SetIterKey(&r.it)
				k.layout.load(r.key, unsafe.Add(s, ds+int32(k.s)*8), unsafe.Add(p, dp+int32(k.p)*8))
			}
			if wantVal {
				r.rv.SetIterValue(&r.it)
				e.layout.load(r.val, unsafe.Add(s, ds+int32(e.s)*8), unsafe.Add(p, dp+int32(e.p)*8))
			}
		}
		*su(s, ds) = b2u(ok)
		t.unlockMap(r.m)
	})
}
