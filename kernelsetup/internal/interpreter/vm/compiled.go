package vm

import (
	"fmt"
	"math"
	"reflect"
	"runtime"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
)

// compiled returns code that calls a compiled function with the arguments in
// the window.
func (m *Machine) compiled(f reflect.Value, sig *sigLayout) ext {
	if call := fastCall(f); call != nil {
		return call
	}
	if call := m.byRegisters(f, sig); call != nil {
		return call
	}
	return m.byReflection(f, sig)
}

// regMove tells how one slot travels in registers.
type regMove struct {
	off   int32
	ptr   bool
	float bool
	kind  memKind
	reg   int
}

var hasRegisters = runtime.GOARCH == "amd64" || runtime.GOARCH == "arm64"

// registerPlan assigns registers as Go's calling convention does, for
// parameters that all fit.
func (m *Machine) registerPlan(fields []fieldSlots, maxInt, maxFloat int, maxSize uintptr) (plan []regMove, seq string, ok bool) {
	nI, nF := 0, 0
	size := uintptr(0)
	floats := ""
	for _, f := range fields {
		s, p := int32(f.s)*8, int32(f.p)*8
		size += (m.rtype(f.layout).Size() + 7) &^ 7
		if f.layout.rt.Kind() == reflect.Struct && hasBlank(f.layout.rt) {
			return nil, "", false
		}
		for _, c := range f.layout.comps {
			mv := regMove{kind: c.kind}
			switch {
			case c.kind == memBox:
				return nil, "", false
			case c.float:
				mv.off, mv.float, mv.reg = s, true, nF
				nF++
				s += 8
				floats += "F"
			case c.kind == memPtr:
				mv.off, mv.ptr, mv.reg = p, true, nI
				nI++
				p += 8
				seq += "P"
			default:
				mv.off, mv.reg = s, nI
				nI++
				s += 8
				seq += "I"
			}
			plan = append(plan, mv)
		}
	}
	return plan, seq + floats, nI <= maxInt && nF <= maxFloat && size <= maxSize
}

// hasBlank reports whether a struct has fields that take no register but
// might in the convention, or padding that an interpreter need not know.
func hasBlank(t reflect.Type) bool {
	for i := range t.NumField() {
		f := t.Field(i)
		if f.Name == "_" || f.Type.Size() == 0 {
			return true
		}
		if f.Type.Kind() == reflect.Struct && hasBlank(f.Type) {
			return true
		}
	}
	return false
}

// byRegisters calls through Go's register convention, nil where the
// signature is out of the ordinary.
func (m *Machine) byRegisters(f reflect.Value, sig *sigLayout) ext {
	if !hasRegisters {
		return nil
	}
	in, _, ok := m.registerPlan(sig.params, abi.IntArgRegs, floatArgs, 120)
	if !ok {
		return nil
	}
	return m.registerCall(abi.FuncPointer(f), in, sig)
}

func (m *Machine) registerCall(fp unsafe.Pointer, in []regMove, sig *sigLayout) ext {
	out, seq, ok := m.registerPlan(sig.results, abi.IntArgRegs, abi.FloatArgRegs, 1<<20)
	call := registerCalls[seq]
	if !ok || call == nil {
		return nil
	}
	return func(t *Thread, s, p unsafe.Pointer) {
		var r registers
		for i := range in {
			switch mv := &in[i]; {
			case mv.ptr:
				r.i[mv.reg] = uintptr(*pp(p, mv.off))
			case mv.float:
				r.f[mv.reg] = *sf(s, mv.off)
			default:
				r.i[mv.reg] = uintptr(*su(s, mv.off))
			}
		}
		call(fp, &r)
		for i := range out {
			out[i].result(&r, s, p)
		}
	}
}

// result puts a result register into its slot; of a narrow one only the low
// bits are valid.
func (mv *regMove) result(r *registers, s, p unsafe.Pointer) {
	switch {
	case mv.ptr:
		*pp(p, mv.off) = r.rp[mv.reg]
	case mv.float && mv.kind == memU32:
		*su(s, mv.off) = math.Float64bits(r.rf[mv.reg]) & math.MaxUint32
	case mv.float:
		*sf(s, mv.off) = r.rf[mv.reg]
	default:
		*su(s, mv.off) = narrow(mv.kind, uint64(r.ri[mv.reg]))
	}
}

func narrow(k memKind, u uint64) uint64 {
	switch k {
	case memU8:
		return uint64(uint8(u))
	case memI8:
		return uint64(int64(int8(u)))
	case memU16:
		return uint64(uint16(u))
	case memI16:
		return uint64(int64(int16(u)))
	case memU32:
		return uint64(uint32(u))
	case memI32:
		return uint64(int64(int32(u)))
	}
	return u
}

// byReflection calls any function, slowly.
func (m *Machine) byReflection(f reflect.Value, sig *sigLayout) ext {
	ft := f.Type()
	for _, p := range sig.params {
		m.rtype(p.layout)
	}
	return func(t *Thread, s, p unsafe.Pointer) {
		args := make([]reflect.Value, len(sig.params))
		for i, a := range sig.params {
			v := m.value(a.layout, unsafe.Add(s, a.s*8), unsafe.Add(p, a.p*8))
			if want := ft.In(i); v.Type() != want {
				v = convertValue(v, want)
			}
			args[i] = v
		}
		var res []reflect.Value
		if ft.IsVariadic() {
			res = f.CallSlice(args)
		} else {
			res = f.Call(args)
		}
		for i, r := range sig.results {
			v := res[i]
			if want := m.rtype(r.layout); v.Type() != want {
				v = convertValue(v, want)
			}
			m.setValue(r.layout, v, unsafe.Add(s, r.s*8), unsafe.Add(p, r.p*8))
		}
	}
}

// convertValue adapts between two run-time types of one Go type.
func convertValue(v reflect.Value, want reflect.Type) reflect.Value {
	if v.Type().ConvertibleTo(want) {
		return v.Convert(want)
	}
	if v.Type().Size() == want.Size() && v.Type().Kind() == want.Kind() && v.CanAddr() {
		return reflect.NewAt(want, v.Addr().UnsafePointer()).Elem()
	}
	panic(fmt.Sprintf("vm: %s cannot be passed as %s", v.Type(), want))
}

// callCompiled calls a func value that compiled code made.
func (m *Machine) callCompiled(t *Thread, st *site, fv unsafe.Pointer, s, p unsafe.Pointer) {
	m.mu.Lock()
	word := m.typeWord(st.typ)
	m.mu.Unlock()
	wrapWriters(st.sig.takes, s, p)
	m.callAsIs(t, st, word, fv, s, p)
	unwrapWriters(st.sig.gives, p)
}

func (m *Machine) callAsIs(t *Thread, st *site, word, fv, s, p unsafe.Pointer) {
	if hasRegisters {
		m.mu.Lock()
		in, _, ok := m.registerPlan(st.sig.params, abi.IntArgRegs, floatArgs, 120)
		var call ext
		if ok {
			call = m.registerCall(fv, in, st.sig)
		}
		m.mu.Unlock()
		if call != nil {
			call(t, s, p)
			return
		}
	}
	f := reflect.ValueOf(abi.Any(word, fv))
	m.byReflection(f, st.sig)(t, s, p)
}

// findMethod finds what a call through an interface runs for a dynamic type.
func (m *Machine) findMethod(st *site, typ unsafe.Pointer) *siteCache {
	impl, ok := m.lockedMethod(st, typ)
	defer m.mu.Unlock()
	c := m.resolve(st, typ, impl, ok)
	if st.cache.Swap(c) == nil {
		m.resolved.note(st)
	}
	return c
}

// resolve is findMethod for the interpreter's function, if there is one.
func (m *Machine) resolve(st *site, typ, impl unsafe.Pointer, ok bool) *siteCache {
	c := &siteCache{typ: typ}
	if ok {
		cl := (*Closure)(impl)
		c.fn = cl.fn
		recv := cl.fn.sig.params[0]
		c.recv, c.recvS, c.recvP = recv.layout, uintptr(recv.s)*8, uintptr(recv.p)*8
		c.direct = rtype.IsDirect(m.rtype(recv.layout)) && !recv.layout.isBox()
		if cl.fn.final().native == nil {
			return c
		}
	}
	rt := rtype.FromPtr(typ)
	name := "(" + typeName(rt) + ")." + st.name
	c.call = inItsPlace(name, m.compiledMethod(st, typ), st.sig, true)
	return c
}

// lockedMethod returns the interpreter's function for a method and holds the
// machine's lock, under which it is the one that there is.
func (m *Machine) lockedMethod(st *site, typ unsafe.Pointer) (impl unsafe.Pointer, ok bool) {
	m.mu.Lock()
	for {
		turn := m.resolved.turn
		m.mu.Unlock()
		impl, ok = m.types.MethodImplPtr(typ, st.method)
		m.mu.Lock()
		if turn == m.resolved.turn {
			return impl, ok
		}
	}
}

// compiledMethod calls a compiled method through the interface's own method
// table: there every method takes the data word as its receiver.
func (m *Machine) compiledMethod(st *site, typ unsafe.Pointer) ext {
	rt := rtype.FromPtr(typ)
	inter := m.rtype(st.iface)
	index := -1
	for i := range inter.NumMethod() {
		if inter.Method(i).Name == st.name {
			index = i
		}
	}
	tab := rtype.Itab(inter, rt)
	if index < 0 || tab == nil {
		return func(t *Thread, s, p unsafe.Pointer) {
			panic(&buildError{msg: fmt.Sprintf("%s has no method %s", rt, st.name)})
		}
	}
	if n, ok := m.natives["("+typeName(rt)+")."+st.name]; ok {
		return nativeMethod(n, st)
	}
	if in, _, ok := m.registerPlan(st.sig.params, abi.IntArgRegs-1, floatArgs, 112); ok && hasRegisters {
		for i := range in {
			if !in[i].float {
				in[i].reg++
			}
		}
		code := abi.ItabCode(tab, index)
		fp := unsafe.Pointer(&code)
		if call := m.methodCall(fp, in, st.sig); call != nil {
			return call
		}
	}
	method, ok := rt.MethodByName(st.name)
	if !ok {
		return func(t *Thread, s, p unsafe.Pointer) {
			panic(&buildError{msg: fmt.Sprintf("method %s of %s cannot be called", st.name, rt)})
		}
	}
	return func(t *Thread, s, p unsafe.Pointer) {
		recv := reflect.ValueOf(abi.Any(typ, t.recv))
		m.byReflection(recv.Method(method.Index), st.sig)(t, s, p)
	}
}

func (m *Machine) methodCall(fp unsafe.Pointer, in []regMove, sig *sigLayout) ext {
	out, seq, ok := m.registerPlan(sig.results, abi.IntArgRegs, abi.FloatArgRegs, 1<<20)
	call := registerCalls[seq]
	if !ok || call == nil {
		return nil
	}
	return func(t *Thread, s, p unsafe.Pointer) {
		var r registers
		recv := t.recv
		r.i[0] = uintptr(recv)
		for i := range in {
			switch mv := &in[i]; {
			case mv.ptr:
				r.i[mv.reg] = uintptr(*pp(p, mv.off))
			case mv.float:
				r.f[mv.reg] = *sf(s, mv.off)
			default:
				r.i[mv.reg] = uintptr(*su(s, mv.off))
			}
		}
		call(fp, &r)
		runtime.KeepAlive(recv)
		for i := range out {
			out[i].result(&r, s, p)
		}
	}
}

// nativeMethod calls one of the machine's own functions for a method reached
// through an interface.
func nativeMethod(n Native, st *site) ext {
	return func(t *Thread, s, p unsafe.Pointer) {
		n(t, windowOf(t, st.sig, s, p, true))
	}
}

func typeName(rt reflect.Type) string {
	if rt.Kind() == reflect.Pointer {
		return "*" + typeName(rt.Elem())
	}
	return rt.PkgPath() + "." + rt.Name()
}
