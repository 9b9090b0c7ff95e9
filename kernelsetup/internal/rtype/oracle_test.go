package rtype

import (
	"fmt"
	"go/types"
	"math"
	"reflect"
	"sync"
	"testing"
	"unsafe"

	"golang.org/x/tools/go/packages"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype/declared"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

const declaredPath = "github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype/declared"

// oracle runs the methods of forged types by the compiled methods of the
// types they were forged after.
type oracle struct {
	reg  *Registry
	real map[string]reflect.Type // compiled types by their string form
}

// function is what impl points to in these tests.
type function struct {
	in, out []reflect.Type
	body    func(args []reflect.Value) []reflect.Value
}

func newFunction(t reflect.Type, body func([]reflect.Value) []reflect.Value) *function {
	f := &function{body: body}
	for i := range t.NumIn() {
		f.in = append(f.in, t.In(i))
	}
	for i := range t.NumOut() {
		f.out = append(f.out, t.Out(i))
	}
	return f
}

// functions is a Caller of *function.
type functions struct{}

func (functions) Call(impl unsafe.Pointer, args []reflect.Value) []reflect.Value {
	return (*function)(impl).body(args)
}

func (functions) CallWords(impl unsafe.Pointer, w *Words) {
	f := (*function)(impl)
	args := make([]reflect.Value, len(f.in))
	at := counter{}
	for i, t := range f.in {
		args[i] = at.load(&w.A, t)
	}
	at = counter{}
	for _, v := range f.body(args) {
		at.store(&w.R, v)
	}
}

// counter is how many words a call's values have taken so far.
type counter struct{ words, floats int }

// load puts a value together from its words as they are said to lie.
func (c *counter) load(p *Params, t reflect.Type) reflect.Value {
	v := reflect.New(t)
	at := v.UnsafePointer()
	i := c.words
	switch t.Kind() {
	case reflect.Float64:
		*(*float64)(at) = p.F[c.floats]
		c.floats++
	case reflect.Float32:
		*(*uint32)(at) = uint32(math.Float64bits(p.F[c.floats]))
		c.floats++
	case reflect.String:
		*(*string)(at) = unsafe.String((*byte)(p.P[i]), int(p.N[i+1]))
		c.words += 2
	case reflect.Slice:
		*(*sliceWords)(at) = sliceWords{p.P[i], int(p.N[i+1]), int(p.N[i+2])}
		c.words += 3
	case reflect.Interface:
		*(*ifaceWords)(at) = ifaceWords{p.P[i], p.P[i+1]}
		c.words += 2
	case reflect.Pointer, reflect.Map, reflect.Chan, reflect.Func, reflect.UnsafePointer:
		*(*unsafe.Pointer)(at) = p.P[i]
		c.words++
	default:
		switch t.Size() {
		case 1:
			*(*uint8)(at) = uint8(p.N[i])
		case 2:
			*(*uint16)(at) = uint16(p.N[i])
		case 4:
			*(*uint32)(at) = uint32(p.N[i])
		case 8:
			*(*uint64)(at) = p.N[i]
		}
		c.words++
	}
	return v.Elem()
}

func (c *counter) store(r *Results, v reflect.Value) {
	x := reflect.New(v.Type())
	x.Elem().Set(v)
	at := x.UnsafePointer()
	i := c.words
	switch v.Kind() {
	case reflect.Float64:
		r.F[c.floats] = *(*float64)(at)
		c.floats++
	case reflect.Float32:
		r.F[c.floats] = math.Float64frombits(0xABCD<<32 | uint64(*(*uint32)(at)))
		c.floats++
	case reflect.String:
		s := *(*string)(at)
		r.P[i], r.N[i+1] = unsafe.Pointer(unsafe.StringData(s)), uint64(len(s))
		c.words += 2
	case reflect.Slice:
		s := *(*sliceWords)(at)
		r.P[i], r.N[i+1], r.N[i+2] = s.p, uint64(s.len), uint64(s.cap)
		c.words += 3
	case reflect.Interface:
		s := *(*ifaceWords)(at)
		r.P[i], r.P[i+1] = s.t, s.d
		c.words += 2
	case reflect.Pointer, reflect.Map, reflect.Chan, reflect.Func, reflect.UnsafePointer:
		r.P[i] = *(*unsafe.Pointer)(at)
		c.words++
	default:
		rubbish := uint64(0xFEDCBA98_76543210)
		switch v.Type().Size() {
		case 1:
			r.N[i] = rubbish<<8 | uint64(*(*uint8)(at))
		case 2:
			r.N[i] = rubbish<<16 | uint64(*(*uint16)(at))
		case 4:
			r.N[i] = rubbish<<32 | uint64(*(*uint32)(at))
		case 8:
			r.N[i] = *(*uint64)(at)
		}
		c.words++
	}
}

type sliceWords struct {
	p        unsafe.Pointer
	len, cap int
}

type ifaceWords struct{ t, d unsafe.Pointer }

// as returns v's memory as the type t.
func as(v reflect.Value, t reflect.Type) reflect.Value {
	if v.Type() == t {
		return v
	}
	p := reflect.New(v.Type())
	p.Elem().Set(v)
	return reflect.NewAt(t, p.UnsafePointer()).Elem()
}

func (o *oracle) Method(sel *types.Selection) (unsafe.Pointer, error) {
	recv, err := o.reg.Type(sel.Recv())
	if err != nil {
		return nil, err
	}
	sig, err := o.reg.Type(sel.Type())
	if err != nil {
		return nil, err
	}
	real := o.real[recv.String()]
	if real == nil {
		return nil, fmt.Errorf("no compiled %s", recv)
	}
	name := sel.Obj().Name()
	m, ok := real.MethodByName(name)
	if !ok {
		if name != "hidden" {
			return nil, fmt.Errorf("no compiled %s.%s", recv, name)
		}
		m.Func = reflect.ValueOf(func(p *declared.Point) int { return declared.Hidden(p) })
		m.Type = m.Func.Type()
	}
	f := &function{in: []reflect.Type{recv}}
	for i := range sig.NumIn() {
		f.in = append(f.in, sig.In(i))
	}
	for i := range sig.NumOut() {
		f.out = append(f.out, sig.Out(i))
	}
	f.body = func(args []reflect.Value) []reflect.Value {
		for i := range args {
			if args[i].Type() != f.in[i] {
				panic(fmt.Sprintf("argument %d of %s is a %s, not a %s", i, name, args[i].Type(), f.in[i]))
			}
			args[i] = as(args[i], m.Type.In(i))
		}
		var results []reflect.Value
		if m.Type.IsVariadic() {
			results = m.Func.CallSlice(args)
		} else {
			results = m.Func.Call(args)
		}
		for i := range results {
			results[i] = as(results[i], f.out[i])
		}
		return results
	}
	return unsafe.Pointer(f), nil
}

// collect lists the compiled types that t is made of.
func (o *oracle) collect(t reflect.Type) {
	if o.real[t.String()] != nil {
		return
	}
	o.real[t.String()] = t
	if t.PkgPath() == declaredPath || t.Name() == "" {
		if t.Kind() != reflect.Pointer || t.Elem().Kind() != reflect.Pointer {
			o.collect(reflect.PointerTo(t))
		}
		switch t.Kind() {
		case reflect.Struct:
			for i := range t.NumField() {
				o.collect(t.Field(i).Type)
			}
		case reflect.Map:
			o.collect(t.Key())
			o.collect(t.Elem())
		case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Chan:
			o.collect(t.Elem())
		case reflect.Func:
			for i := range t.NumIn() {
				o.collect(t.In(i))
			}
			for i := range t.NumOut() {
				o.collect(t.Out(i))
			}
		}
	}
}

var loadDeclared = sync.OnceValues(func() (*types.Package, error) {
	pkgs, err := packages.Load(&packages.Config{
		Mode: packages.NeedName | packages.NeedTypes | packages.NeedSyntax | packages.NeedTypesInfo | packages.NeedImports,
	}, "./declared")
	if err != nil {
		return nil, err
	}
	if len(pkgs[0].Errors) > 0 {
		return nil, pkgs[0].Errors[0]
	}
	return pkgs[0].Types, nil
})

// std resolves the few compiled types that the tests name.
func std(path, name string) (reflect.Type, bool) {
	switch path + "." + name {
	case "fmt.Stringer":
		return reflect.TypeFor[fmt.Stringer](), true
	case "sync.Mutex":
		return reflect.TypeFor[sync.Mutex](), true
	}
	return nil, path != declaredPath && path != "main"
}

// newOracle forges the types of declared.Values and returns them by field.
func newOracle(t testing.TB) (*oracle, *types.Struct, map[string]reflect.Type) {
	t.Helper()
	if err := Check(); err != nil {
		t.Fatal(err)
	}
	pkg, err := loadDeclared()
	if err != nil {
		t.Fatal(err)
	}
	o := &oracle{real: map[string]reflect.Type{}}
	o.reg = New(std, o, functions{})
	o.collect(reflect.TypeOf(declared.Values))
	values := pkg.Scope().Lookup("Values").Type().(*types.Struct)
	forged := map[string]reflect.Type{}
	for i := range values.NumFields() {
		f := values.Field(i)
		rt, err := o.reg.Type(f.Type())
		if err != nil {
			t.Fatal(err)
		}
		forged[f.Name()] = rt
	}
	return o, values, forged
}

// compare follows a forged and a compiled type and reports differences.
func compare(t *testing.T, forged, real reflect.Type, path string, seen map[reflect.Type]bool) {
	if seen[forged] || forged == real {
		return
	}
	seen[forged] = true
	same := func(what string, f, r any) {
		t.Helper()
		if f != r {
			t.Errorf("%s (%s): %s is %v, compiled it is %v", path, real, what, f, r)
		}
	}
	same("String", forged.String(), real.String())
	same("Name", forged.Name(), real.Name())
	same("PkgPath", forged.PkgPath(), real.PkgPath())
	same("Kind", forged.Kind(), real.Kind())
	same("Size", forged.Size(), real.Size())
	same("Align", forged.Align(), real.Align())
	same("FieldAlign", forged.FieldAlign(), real.FieldAlign())
	same("Comparable", forged.Comparable(), real.Comparable())
	fa, ra := abi.Of(forged), abi.Of(real)
	same("pointer bytes", fa.PtrBytes, ra.PtrBytes)
	const flags = abi.TFlagUncommon | abi.TFlagNamed | abi.TFlagGCMaskOnDemand | abi.TFlagDirectIface
	same("flags", fa.TFlag&flags, ra.TFlag&flags)
	if fa.PtrBytes > 0 && fa.TFlag&abi.TFlagGCMaskOnDemand == 0 && forged.Kind() != reflect.Interface {
		n := (fa.PtrBytes/8 + 7) / 8
		// reflect marks both words of an interface, the compiler the second.
		f, r := unsafe.Slice(fa.GCData, n), unsafe.Slice(ra.GCData, n)
		for i := range f {
			same("pointer mask", f[i]&r[i], r[i])
		}
	}
	same("NumMethod", forged.NumMethod(), real.NumMethod())
	for i := range min(forged.NumMethod(), real.NumMethod()) {
		f, r := forged.Method(i), real.Method(i)
		same("method", fmt.Sprint(f.Name, f.PkgPath, f.Index), fmt.Sprint(r.Name, r.PkgPath, r.Index))
		compare(t, f.Type, r.Type, path+"."+f.Name, seen)
	}
	switch real.Kind() {
	case reflect.Struct:
		same("NumField", forged.NumField(), real.NumField())
		for i := range real.NumField() {
			f, r := forged.Field(i), real.Field(i)
			same("field", fmt.Sprint(f.Name, f.PkgPath, f.Tag, f.Offset, f.Anonymous), fmt.Sprint(r.Name, r.PkgPath, r.Tag, r.Offset, r.Anonymous))
			compare(t, f.Type, r.Type, path+"."+f.Name, seen)
		}
	case reflect.Map:
		compare(t, forged.Key(), real.Key(), path+".key", seen)
		compare(t, forged.Elem(), real.Elem(), path+".elem", seen)
		fm, rm := reflect.ValueOf((*abi.MapType)(unsafe.Pointer(fa))).Elem(), reflect.ValueOf((*abi.MapType)(unsafe.Pointer(ra))).Elem()
		for i := range fm.NumField() {
			if f := fm.Field(i); f.CanUint() {
				same(fm.Type().Field(i).Name, f.Uint(), rm.Field(i).Uint())
			}
		}
	case reflect.Array:
		same("Len", forged.Len(), real.Len())
		compare(t, forged.Elem(), real.Elem(), path+".elem", seen)
	case reflect.Pointer, reflect.Slice, reflect.Chan:
		compare(t, forged.Elem(), real.Elem(), path+".elem", seen)
		if real.Kind() == reflect.Chan {
			same("ChanDir", forged.ChanDir(), real.ChanDir())
		}
	case reflect.Func:
		same("signature", fmt.Sprint(forged.NumIn(), forged.NumOut(), forged.IsVariadic()), fmt.Sprint(real.NumIn(), real.NumOut(), real.IsVariadic()))
		for i := range real.NumIn() {
			compare(t, forged.In(i), real.In(i), path+".in", seen)
		}
		for i := range real.NumOut() {
			compare(t, forged.Out(i), real.Out(i), path+".out", seen)
		}
	}
}

func TestForgedTypesEqualCompiledOnes(t *testing.T) {
	_, _, forged := newOracle(t)
	seen := map[reflect.Type]bool{}
	real := reflect.TypeOf(declared.Values)
	for i := range real.NumField() {
		f := real.Field(i)
		compare(t, forged[f.Name], f.Type, f.Name, seen)
	}
	if len(seen) < 60 {
		t.Errorf("only %d types were compared", len(seen))
	}
	for _, same := range []struct{ have, want reflect.Type }{
		{forged["AtomicInt"], reflect.TypeOf(declared.Values.AtomicInt)},
		{forged["Std"], reflect.TypeOf(declared.Values.Std)},
	} {
		if same.have != same.want {
			t.Errorf("%s is not the binary's own type", same.want)
		}
	}
}

// forgedValues returns the values of declared.Values, each as its forged type.
func forgedValues(forged map[string]reflect.Type) map[string]reflect.Value {
	real := reflect.ValueOf(&declared.Values).Elem()
	vs := map[string]reflect.Value{}
	for i := range real.NumField() {
		name := real.Type().Field(i).Name
		vs[name] = reflect.NewAt(forged[name], real.Field(i).Addr().UnsafePointer()).Elem()
	}
	return vs
}
