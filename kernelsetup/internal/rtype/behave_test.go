package rtype

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"regexp"
	"sort"
	"strings"
	"sync"
	"testing"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype/declared"
)

var addresses = regexp.MustCompile(`0x[0-9a-f]+`)

// printed is what fmt and encoding/json make of a value, without addresses.
func printed(x any) []string {
	var out []string
	for _, verb := range []string{"%v", "%+v", "%#v", "%T", "%d", "%s"} {
		out = append(out, addresses.ReplaceAllString(fmt.Sprintf(verb, x), "ADDR"))
	}
	b, err := json.Marshal(x)
	return append(out, fmt.Sprint(string(b), err), fmt.Sprint([]any{x}))
}

func TestFmtAndJSONAsCompiled(t *testing.T) {
	_, _, forged := newOracle(t)
	real := reflect.ValueOf(declared.Values)
	for name, v := range forgedValues(forged) {
		f, r := printed(v.Interface()), printed(real.FieldByName(name).Interface())
		for i := range r {
			if f[i] != r[i] {
				t.Errorf("%s prints\n%s\ncompiled\n%s", name, f[i], r[i])
			}
		}
		// The same inside a slice, a map and a struct.
		s := reflect.MakeSlice(reflect.SliceOf(v.Type()), 0, 1)
		s = reflect.Append(s, v)
		rs := reflect.Append(reflect.MakeSlice(reflect.SliceOf(real.FieldByName(name).Type()), 0, 1), real.FieldByName(name))
		f, r = printed(s.Interface()), printed(rs.Interface())
		for i := range r {
			if f[i] != r[i] {
				t.Errorf("[]%s prints\n%s\ncompiled\n%s", name, f[i], r[i])
			}
		}
	}
}

func TestImplementsAsCompiled(t *testing.T) {
	_, _, forged := newOracle(t)
	interfaces := []reflect.Type{
		reflect.TypeFor[fmt.Stringer](), reflect.TypeFor[error](), reflect.TypeFor[sort.Interface](),
		reflect.TypeFor[json.Marshaler](), reflect.TypeFor[json.Unmarshaler](), reflect.TypeFor[io.Reader](),
		reflect.TypeFor[fmt.Formatter](), reflect.TypeFor[sync.Locker](), reflect.TypeFor[interface{ Pop() any }](),
		reflect.TypeFor[interface{ XY(int) (float64, float64) }](),
	}
	real, n := reflect.TypeOf(declared.Values), 0
	for name, f := range forged {
		rf, _ := real.FieldByName(name)
		for _, i := range interfaces {
			for _, p := range []struct{ f, r reflect.Type }{{f, rf.Type}, {reflect.PointerTo(f), reflect.PointerTo(rf.Type)}} {
				have, want := p.f.Implements(i), p.r.Implements(i)
				if have != want {
					t.Errorf("%s implements %s: %t, compiled %t", p.f, i, have, want)
				}
				if p.f.Kind() != reflect.Interface && (Itab(i, p.f) != nil) != want {
					t.Errorf("method table of %s for %s: not %t", p.f, i, want)
				}
				n += btoi(want)
			}
		}
	}
	if n < 40 {
		t.Errorf("only %d implementations", n)
	}
}

func TestMethodsThroughInterfaces(t *testing.T) {
	o, _, forged := newOracle(t)
	vs := forgedValues(forged)
	byX := vs["ByX"].Interface().(sort.Interface)
	sort.Sort(byX)
	if got := fmt.Sprint(byX); got != "[(1,0) (2,0) (3,0)]" {
		t.Error("sorted:", got)
	}
	err := fmt.Errorf("wrapped: %w", vs["Err"].Interface().(error))
	target := reflect.New(forged["Err"])
	if !errors.As(err, target.Interface()) || target.Elem().Pointer() != vs["Err"].Pointer() || !errors.Is(err, io.EOF) {
		t.Error("errors.As or errors.Is:", err)
	}
	table := reflect.New(forged["Table"])
	if err := json.Unmarshal([]byte(`"x"`), table.Interface()); err != nil || table.Elem().Len() != 1 {
		t.Error("UnmarshalJSON:", table.Elem(), err)
	}
	b, err := io.ReadAll(vs["Bytes"].Interface().(io.Reader))
	if string(b) != "bytes" || err != nil {
		t.Error("Read:", b, err)
	}
	x, y := vs["Int"].Interface().(interface{ XY(int) (float64, float64) }).XY(7)
	if x != 5 || y != 7 {
		t.Error("XY:", x, y)
	}
	locker := vs["Locked"].Interface().(sync.Locker)
	locker.Lock()
	locker.Unlock()
	if got := vs["Handle"].Interface().(fmt.Stringer).String(); got != "handle 7" {
		t.Error(got)
	}
	items := declared.Values.PointList.Items
	defer func() { declared.Values.PointList.Items = items }()
	pop := vs["PointList"].Interface().(interface{ Pop() any }).Pop()
	if got := fmt.Sprint(pop); got != "(9,0)" {
		t.Error("Pop:", got)
	}
	if got := vs["OuterPtr"].Interface().(error).Error(); got != "code 1" {
		t.Error("promoted:", got)
	}
	if got := vs["Promoted"].Interface().(fmt.Stringer).String(); got != "(0,0)" {
		t.Error("promoted in an unnamed struct:", got)
	}
	if impl, ok := o.reg.MethodImpl(forged["Point"], "String"); !ok || (*function)(impl).in[0] != forged["Point"] {
		t.Error("MethodImpl")
	}
	if _, ok := o.reg.MethodImpl(forged["PointPtr"], declaredPath+".hidden"); !ok {
		t.Error("MethodImpl of an unexported method")
	}
	if o.reg.TypeOf(forged["Point"]) == nil || o.reg.TypeOf(reflect.TypeFor[declared.Point]()) != nil {
		t.Error("TypeOf")
	}
}

func TestMethodsThroughReflection(t *testing.T) {
	_, _, forged := newOracle(t)
	p := reflect.New(forged["Point"])
	p.Elem().Field(0).SetInt(1)
	p.MethodByName("Move").Call([]reflect.Value{reflect.ValueOf(2), reflect.ValueOf(3)})
	if got := fmt.Sprint(p.Elem()); got != "(3,3)" {
		t.Error(got)
	}
	add := p.Elem().MethodByName("Add")
	out := add.Call([]reflect.Value{p.Elem(), reflect.ValueOf(float32(2)), reflect.ValueOf("a"), reflect.ValueOf("b")})
	if got := fmt.Sprintf("%+v", out[0]); got != "(9,6)" || !out[1].IsNil() {
		t.Error(out)
	}
	m, _ := forged["Point"].MethodByName("Add")
	out = m.Func.Call([]reflect.Value{p.Elem(), p.Elem(), reflect.ValueOf(float32(1))})
	if fmt.Sprint(out[1]) != "no names" {
		t.Error(out)
	}
	type mixer interface {
		Mix(int8, uint16, int32, bool) (bool, int8, float32)
	}
	for _, v := range []reflect.Value{p, p.Elem()} {
		b, n, f := v.Interface().(mixer).Mix(-1, 3, 5, true)
		if b || n != 7 || f != 3 {
			t.Error("Mix:", b, n, f)
		}
	}
	hider := forged["Mixed"]
	if reflect.TypeFor[fmt.Stringer]().NumMethod() != 1 || !hider.Implements(reflect.TypeFor[fmt.Stringer]()) {
		t.Error("a forged interface does not implement Stringer")
	}
	if forged["PointPtr"].Implements(hider) {
		t.Error("Close is missing, yet *Point implements Mixed")
	}
}

func TestComparisonAndHash(t *testing.T) {
	_, _, forged := newOracle(t)
	key := reflect.New(forged["Key"]).Elem()
	m := reflect.MakeMap(reflect.MapOf(forged["Key"], reflect.TypeFor[int]()))
	set := func(name string, f float32, any any, blank int32) {
		k := reflect.New(forged["Key"])
		*(*declared.Key)(k.UnsafePointer()) = declared.Key{Name: name, F: f, Any: any}
		*(*int32)(unsafe.Add(k.UnsafePointer(), forged["Key"].Field(1).Offset)) = blank
		m.SetMapIndex(k.Elem(), reflect.ValueOf(int(blank)))
		key = k.Elem()
	}
	set("a", 1, "x"+strings.Repeat("y", 3), 1)
	set("a", 1, "xyyy", 2) // equal but for the blank field
	set("a", -1, "xyyy", 3)
	if m.Len() != 2 || m.MapIndex(key).Int() != 3 {
		t.Error("map of", m.Len(), m)
	}
	var x, y any = reflect.New(forged["Blanks"]).Elem().Interface(), nil
	v := reflect.New(forged["Blanks"])
	*(*int32)(unsafe.Add(v.UnsafePointer(), 4)) = 9
	if y = v.Elem().Interface(); x != y {
		t.Error("blank fields are compared")
	}
	*(*int32)(v.UnsafePointer()) = 9
	if x == v.Elem().Interface() {
		t.Error("fields are not compared")
	}
	defer func() {
		if p := recover(); p == nil || !strings.Contains(fmt.Sprint(p), "declared.Point") {
			t.Error("comparing what cannot be compared:", p)
		}
	}()
	var a any = reflect.New(forged["Point"]).Elem().Interface()
	t.Error(a == a)
}

func TestConvertAssert(t *testing.T) {
	_, _, forged := newOracle(t)
	c := reflect.ValueOf(3.5).Convert(forged["Celsius"])
	if fmt.Sprint(c) != "3.5°C" || c.Convert(reflect.TypeFor[float64]()).Float() != 3.5 {
		t.Error(c)
	}
	if _, ok := c.Interface().(float64); ok {
		t.Error("a Celsius is a float64")
	}
	if c.Interface() != reflect.ValueOf(3.5).Convert(forged["Celsius"]).Interface() {
		t.Error("equal values of one type differ")
	}
}
