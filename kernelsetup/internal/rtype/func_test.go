package rtype

import (
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"sort"
	"strings"
	"sync"
	"testing"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

type sample struct{ a, b int }

// samples has values of each kind of words; n are integers narrower than one,
// g float32.
var samples = map[byte][]any{
	'i': {int(-5), uint64(1 << 63), uintptr(7), int64(-1 << 62)},
	'n': {true, false, uint8(200), int8(-7), int16(-3000), uint16(50000), int32(-9), 'ä', uint32(1 << 31)},
	'f': {2.5, -1e300},
	'g': {float32(0.1), float32(-3e38)},
	'p': {&sample{1, 2}, map[string]int{"a": 1}, make(chan int), unsafe.Pointer(&sample{3, 4})},
	's': {"", "text", strings.Repeat("long", 10)},
	'l': {[]float64{1, 2}, []string(nil), make([]sample, 1, 5)},
	'e': {reflect.ValueOf(io.EOF), reflect.ValueOf(&sample{5, 6})},
}

// pick returns a random value of the letter and its type.
func pick(c byte) (reflect.Value, reflect.Type) {
	x := samples[c][rand.IntN(len(samples[c]))]
	if c != 'e' {
		v := reflect.ValueOf(x)
		return v, v.Type()
	}
	v := x.(reflect.Value)
	t := anyType
	if v.Type().Implements(errorType) && rand.IntN(2) == 0 {
		t = errorType
	}
	i := reflect.New(t).Elem()
	i.Set(v)
	return i, t
}

func same(a, b reflect.Value) bool {
	if a.Type() != b.Type() {
		return false
	}
	switch a.Kind() {
	case reflect.Slice:
		return a.Pointer() == b.Pointer() && a.Len() == b.Len() && a.Cap() == b.Cap()
	case reflect.Map:
		return a.Pointer() == b.Pointer()
	}
	return a.Interface() == b.Interface()
}

// call makes a function of the letters, calls it through reflection and
// checks that arguments and results arrive. It returns the function's key and
// whether it is fast.
func call(t *testing.T, in, out string) (string, bool) {
	t.Helper()
	var args, results []reflect.Value
	var ins, outs []reflect.Type
	for i := range len(in) {
		v, vt := pick(in[i])
		args, ins = append(args, v), append(ins, vt)
	}
	for i := range len(out) {
		v, vt := pick(out[i])
		results, outs = append(results, v), append(outs, vt)
	}
	ft := reflect.FuncOf(ins, outs, false)
	f := newFunction(ft, func(got []reflect.Value) []reflect.Value {
		for i := range args {
			if !same(got[i], args[i]) {
				t.Errorf("%s: argument %d is %v, not %v", ft, i, got[i], args[i])
			}
		}
		return results
	})
	h := NewMaker(ft, functions{})
	fv := h.Func(unsafe.Pointer(f))
	if impl, ok := FuncImpl(fv); !ok || impl != unsafe.Pointer(f) {
		t.Errorf("%s: the function is not known again", ft)
	}
	got := reflect.NewAt(ft, unsafe.Pointer(&fv)).Elem().Call(args)
	for i := range results {
		if !same(got[i], results[i]) {
			t.Errorf("%s: result %d is %v, not %v", ft, i, got[i], results[i])
		}
	}
	key, _ := funcKey(nil, ft)
	return key, h.Fast()
}

// wordsOf are the words of each letter, one is one word.
var wordsOf = map[byte]string{'p': "P", 'i': "I", 's': "PI", 'e': "PP", 'l': "PII"}

// valuesFor returns letters of values with the words of a key, at random: a
// pointer and a number may also be a string.
func valuesFor(key string) (letters string) {
	words := strings.TrimRight(key, "F")
	floats := len(key) - len(words)
	for len(words) > 0 || floats > 0 {
		if floats > 0 && (len(words) == 0 || rand.IntN(2) == 0) {
			letters += "f"
			floats--
			continue
		}
		letter := "pisel"[rand.IntN(5)]
		if rest, ok := strings.CutPrefix(words, wordsOf[letter]); ok {
			words, letters = rest, letters+string(letter)
		}
	}
	return letters
}

// TestEveryLiteral reaches each literal by functions that a cell can write,
// and calls them with all kinds of results.
func TestEveryLiteral(t *testing.T) {
	h, impl := &Maker{}, unsafe.Pointer(new(int))
	outs := []string{"", "i", "n", "f", "g", "p", "s", "e", "l", "ff", "gf", "nn", "nnnnn", "ie", "le", "ee", "pe", "sn", "lp", "fle", "ffpppp"}
	for _, e := range fastLiterals {
		for _, out := range outs {
			in := valuesFor(e.key)
			if key, fast := call(t, in, out); key != e.key || !fast {
				t.Errorf("func(%s) (%s) has the key %q, not %q; fast: %t", in, out, key, e.key, fast)
			}
		}
		if l := (*literal)(e.make(h, impl)); l.impl != impl || l.h != h {
			t.Errorf("%s captures in another order", e.key)
		}
	}
}

// TestNarrow has integers and floats that are narrower than a word: where they
// lie next to each other, the caller has no room for whole words.
func TestNarrow(t *testing.T) {
	for in, want := range map[string]bool{"n": true, "g": true, "pn": true, "ns": true, "npn": true, "ing": false, "gin": true, "ni": true} {
		for range 20 {
			if _, fast := call(t, in, "ng"); fast != want {
				t.Errorf("%s: fast is %t", in, fast)
			}
		}
	}
	for f, want := range map[any]bool{
		reflect.TypeFor[func(bool, bool)]():            false,
		reflect.TypeFor[func(int32, int32)]():          false,
		reflect.TypeFor[func(int8, int32, int)]():      false,
		reflect.TypeFor[func(bool, int, bool)]():       true,
		reflect.TypeFor[func(float32, float32)]():      false,
		reflect.TypeFor[func(bool) (bool, int8)]():     true,
		reflect.TypeFor[func() (a, b, c, d float64)](): false,
		reflect.TypeFor[func([2]int)]():                false,
		reflect.TypeFor[func() struct{}]():             false,
		reflect.TypeFor[func(complex128)]():            false,
	} {
		if got := NewMaker(f.(reflect.Type), functions{}).Fast(); got != want {
			t.Errorf("%s: fast is %t", f, got)
		}
	}
}

func TestAnySignature(t *testing.T) {
	fasts := 0
	for range 400 {
		in, out := "", ""
		for range rand.IntN(10) {
			in += string("ifpslegn"[rand.IntN(8)])
		}
		for range rand.IntN(5) {
			out += string("ifpslegn"[rand.IntN(8)])
		}
		if _, fast := call(t, in, out); fast {
			fasts++
		}
	}
	if fasts == 0 || fasts == 400 {
		t.Errorf("%d of 400 are fast", fasts)
	}
}

func funcOf[F any](body func([]reflect.Value) []reflect.Value) F {
	t := reflect.TypeFor[F]()
	fv := NewFunc(t, unsafe.Pointer(newFunction(t, body)), functions{})
	return *(*F)(unsafe.Pointer(&fv))
}

func TestCompiledCodeCallsFunctions(t *testing.T) {
	var xs []int
	less := funcOf[func(i, j int) bool](func(a []reflect.Value) []reflect.Value {
		return []reflect.Value{reflect.ValueOf(xs[a[0].Int()] < xs[a[1].Int()])}
	})
	for range 1000 {
		xs = append(xs, rand.IntN(100))
	}
	sort.Slice(xs, less)
	if !slices.IsSorted(xs) {
		t.Error("not sorted")
	}
	upper := funcOf[func(rune) rune](func(a []reflect.Value) []reflect.Value {
		return []reflect.Value{reflect.ValueOf(rune(a[0].Int()) - 32)}
	})
	if got := strings.Map(upper, "abc"); got != "ABC" {
		t.Error(got)
	}
	type three struct{ a, b, c int16 }
	swap := funcOf[func(three, float32, complex128) (complex128, three)](func(a []reflect.Value) []reflect.Value {
		return []reflect.Value{a[2], a[0]}
	})
	if c, s := swap(three{1, 2, 3}, 4, 5i); c != 5i || s != (three{1, 2, 3}) {
		t.Error(c, s)
	}
	variadic := funcOf[func(string, ...any) string](func(a []reflect.Value) []reflect.Value {
		return []reflect.Value{reflect.ValueOf(fmt.Sprintf(a[0].String(), a[1].Interface().([]any)...))}
	})
	if got := variadic("%d-%s", 1, "x"); got != "1-x" {
		t.Error(got)
	}
}

func TestFuncImplOfOthers(t *testing.T) {
	x := 0
	for _, f := range []any{func() {}, func() { x++ }, fmt.Sprint, t.Error, reflect.MakeFunc(plainFuncType, nil).Interface()} {
		if _, ok := FuncImpl(abi.FuncPointer(reflect.ValueOf(f))); ok {
			t.Errorf("%T was taken for one of ours", f)
		}
	}
	if _, ok := FuncImpl(nil); ok {
		t.Error("nil")
	}
}

func TestPanicPassesThrough(t *testing.T) {
	for _, f := range []any{
		funcOf[func() int](func([]reflect.Value) []reflect.Value { panic(io.EOF) }),
		funcOf[func([2]int) int](func([]reflect.Value) []reflect.Value { panic(io.EOF) }),
	} {
		func() {
			defer func() {
				if err, _ := recover().(error); !errors.Is(err, io.EOF) {
					t.Error(err)
				}
			}()
			v := reflect.ValueOf(f)
			args := []reflect.Value{}
			if v.Type().NumIn() > 0 {
				args = append(args, reflect.Zero(v.Type().In(0)))
			}
			v.Call(args)
		}()
	}
}

// grow uses n kilobytes of stack.
func grow(n int) byte {
	var b [1024]byte
	b[n%1024] = byte(n)
	if n > 0 {
		b[0] += grow(n - 1)
	}
	return b[n%1024]
}

// TestCollectorAndStacks runs all kinds of calls while stacks move and the
// collector runs; GOGC=1 and GODEBUG=clobberfree=1 make mistakes fatal.
func TestCollectorAndStacks(t *testing.T) {
	o, _, forged := newOracle(t)
	vs := forgedValues(forged)
	stop := make(chan bool)
	go func() {
		for {
			select {
			case <-stop:
				return
			default:
				runtime.GC()
			}
		}
	}()
	rounds := 150
	if testing.Short() {
		rounds = 20
	}
	var wg sync.WaitGroup
	for g := range 4 {
		wg.Go(func() {
			for i := range rounds {
				p := reflect.New(forged["Node"])
				node := reflect.New(forged["Node"])
				p.Elem().FieldByName("Next").Set(node)
				p.Elem().FieldByName("ByName").Set(reflect.MakeMap(p.Elem().FieldByName("ByName").Type()))
				p.Elem().FieldByName("ByName").SetMapIndex(reflect.ValueOf(strings.Repeat("k", i%50)), node.Elem())
				p.Elem().FieldByName("Kids").Set(reflect.MakeSlice(p.Elem().FieldByName("Kids").Type(), 30, 40))
				deep := funcOf[func(p *sample, s string, n int) []string](func(a []reflect.Value) []reflect.Value {
					grow(20 + i%50)
					runtime.Gosched()
					return []reflect.Value{reflect.ValueOf([]string{a[1].String(), fmt.Sprint(a[0].Interface(), a[2])})}
				})
				slow := funcOf[func(struct{ P *sample }, [2]string) (string, *sample)](func(a []reflect.Value) []reflect.Value {
					grow(30)
					return []reflect.Value{a[1].Index(1), a[0].Field(0)}
				})
				done := make(chan bool)
				go func() {
					got := deep(&sample{i, g}, strings.Repeat("s", i), 9)
					if want := fmt.Sprintf("[%s &{%d %d} 9]", strings.Repeat("s", i), i, g); fmt.Sprint(got) != want {
						t.Errorf("%v is not %s", got, want)
					}
					s, p := slow(struct{ P *sample }{&sample{i, 3}}, [2]string{"", fmt.Sprint(i)})
					if s != fmt.Sprint(i) || *p != (sample{i, 3}) {
						t.Error(s, p)
					}
					close(done)
				}()
				<-done
				if got := fmt.Sprint(vs["Points"].Interface()); got != "[(0,5) (0,6)]" {
					t.Error(got)
				}
				if got := fmt.Sprint(vs["IntList"].Interface(), vs["OuterPtr"].Interface().(error)); got != "list[1 2] code 1" {
					t.Error(got)
				}
				walked := p.MethodByName("Walk").Call([]reflect.Value{p})[0]
				if walked.FieldByName("ByName").Len() != 1 || walked.FieldByName("Kids").Len() != 30 {
					t.Error("a node lost its parts")
				}
				if i%20 == 0 {
					if _, err := New(std, o, functions{}).Type(o.reg.TypeOf(forged["Node"])); err != nil {
						t.Error(err)
					}
				}
			}
		})
	}
	wg.Wait()
	close(stop)
}

func TestStackUsed(t *testing.T) {
	var depth func(n int) uintptr
	depth = func(n int) uintptr {
		var b [256]byte
		if n == 0 {
			return StackUsed() + uintptr(b[n])
		}
		return depth(n-1) + uintptr(b[n%256])
	}
	shallow, deep := depth(0), depth(10000)
	if used := deep - shallow; used < 10000*256 || used > 10000*1024 {
		t.Errorf("10000 frames of 256 bytes and more use %d bytes", used)
	}
}

// answer is a Caller that does the least possible.
type answer struct{ xs []float64 }

func (c *answer) Call(_ unsafe.Pointer, args []reflect.Value) []reflect.Value {
	return []reflect.Value{reflect.ValueOf(c.xs[args[0].Int()] < c.xs[args[1].Int()])}
}

func (c *answer) CallWords(_ unsafe.Pointer, w *Words) {
	w.R.N[0] = uint64(btoi(c.xs[w.A.N[0]] < c.xs[w.A.N[1]]))
}

func BenchmarkCallFast(b *testing.B) {
	fv := NewFunc(reflect.TypeFor[func(int, int) bool](), nil, &answer{make([]float64, 2)})
	f := *(*func(int, int) bool)(unsafe.Pointer(&fv))
	for b.Loop() {
		f(0, 1)
	}
}

func BenchmarkCallByReflection(b *testing.B) {
	h := NewMaker(reflect.TypeFor[func(int, int) bool](), &answer{make([]float64, 2)})
	h.make = nil
	fv := h.Func(nil)
	f := *(*func(int, int) bool)(unsafe.Pointer(&fv))
	for b.Loop() {
		f(0, 1)
	}
}

func BenchmarkSortSlice(b *testing.B) {
	xs := make([]float64, 100000)
	fv := NewFunc(reflect.TypeFor[func(int, int) bool](), nil, &answer{xs})
	ours := *(*func(int, int) bool)(unsafe.Pointer(&fv))
	for _, bench := range []struct {
		name string
		less func(i, j int) bool
	}{{"forged", ours}, {"compiled", func(i, j int) bool { return xs[i] < xs[j] }}} {
		b.Run(bench.name, func(b *testing.B) {
			for b.Loop() {
				b.StopTimer()
				r := rand.New(rand.NewPCG(1, 2))
				for i := range xs {
					xs[i] = r.Float64()
				}
				b.StartTimer()
				sort.Slice(xs, bench.less)
			}
		})
	}
}

func BenchmarkFuncImpl(b *testing.B) {
	fv := NewFunc(reflect.TypeFor[func(int, int) bool](), nil, &answer{})
	for b.Loop() {
		FuncImpl(fv)
	}
}

func BenchmarkMakerFunc(b *testing.B) {
	for _, f := range []any{(func(int, int) bool)(nil), (func([2]int) bool)(nil)} {
		h := NewMaker(reflect.TypeOf(f), &answer{})
		b.Run(fmt.Sprintf("fast=%t", h.Fast()), func(b *testing.B) {
			for b.Loop() {
				h.Func(nil)
			}
		})
	}
}

func BenchmarkNewFunc(b *testing.B) {
	t, c := reflect.TypeFor[func(int, int) bool](), &answer{}
	for b.Loop() {
		NewFunc(t, nil, c)
	}
}

func BenchmarkStackUsed(b *testing.B) {
	for b.Loop() {
		StackUsed()
	}
}

// BenchmarkStringMethod calls a forged type's String through an interface.
func BenchmarkStringMethod(b *testing.B) {
	if err := Check(); err != nil {
		b.Fatal(err)
	}
	v := reflect.New(probeType)
	s := v.Interface().(fmt.Stringer)
	for b.Loop() {
		_ = s.String()
	}
}

// BenchmarkForge makes a new recursive struct type with one method.
func BenchmarkForge(b *testing.B) {
	for i := 0; b.Loop(); i++ {
		if i%1000 == 0 {
			stubsMu.Lock()
			stubsUsed = 2000 // earlier types of this benchmark are not used
			stubsMu.Unlock()
		}
		if _, err := New(nil, checkCaller{}, checkCaller{}).Type(probe()); err != nil {
			b.Fatal(err)
		}
	}
}

var probeType = func() reflect.Type {
	rt, err := New(nil, checkCaller{}, checkCaller{}).Type(probe())
	if err != nil {
		panic(err)
	}
	return rt
}()
