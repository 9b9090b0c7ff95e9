package snapshot

import (
	"container/list"
	"fmt"
	"math"
	"math/big"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"
	"unsafe"

	"gonum.org/v1/gonum/mat"
)

type inner struct {
	a  int8
	s  string
	xs []float64
	in *inner
}

type shape interface{ Area() float64 }

type Square struct{ side float64 }

func (s Square) Area() float64 { return s.side * s.side }

// types stands in for what finds types by name.
func types(names ...any) func(string) (reflect.Type, error) {
	known := map[string]reflect.Type{}
	for _, v := range names {
		text, _ := Describe(reflect.TypeOf(v))
		known[text] = reflect.TypeOf(v)
	}
	return func(text string) (reflect.Type, error) {
		if t, ok := known[text]; ok {
			return t, nil
		}
		return nil, fmt.Errorf("no type %q", text)
	}
}

// through writes variables, to which pointers are given, and reads them into
// new ones.
func through(t *testing.T, typeOf func(string) (reflect.Type, error), pointers ...any) []any {
	t.Helper()
	var vars []Variable
	for i, p := range pointers {
		vars = append(vars, Variable{fmt.Sprint("v", i), reflect.ValueOf(p).Elem()})
	}
	groups, left, ok := Write(vars, Options{Limit: 64 << 20})
	if !ok || len(left) > 0 {
		t.Fatalf("left: %v", left)
	}
	out := make([]any, len(pointers))
	for _, g := range groups {
		var to []reflect.Value
		for _, name := range g.Names {
			var i int
			fmt.Sscanf(name, "v%d", &i)
			p := reflect.New(reflect.TypeOf(pointers[i]).Elem())
			out[i] = p.Interface()
			to = append(to, p.Elem())
		}
		if err := Read(g.Data, to, typeOf); err != nil {
			t.Fatal(err)
		}
		if len(g.Data) > 2 { // damaged data fail and do no harm
			for cut := 0; cut < len(g.Data); cut += 1 + len(g.Data)/50 {
				var bad []reflect.Value
				for _, v := range to {
					bad = append(bad, reflect.New(v.Type()).Elem())
				}
				if Read(g.Data[:cut], bad, typeOf) == nil {
					t.Errorf("%d of %d bytes were taken for all", cut, len(g.Data))
				}
			}
		}
	}
	return out
}

func TestValuesComeBackEqual(t *testing.T) {
	n, text, yes, c := -7, "grüße\x00", true, complex(1, math.Inf(1))
	floats := []float64{1, math.Pi, -0.0}
	empty, none := []int{}, []int(nil)
	arr := [3]string{"a", "", "c"}
	m := map[string][]int{"a": {1, 2}, "b": nil, "": {}}
	nested := map[int]map[string]inner{3: {"x": {a: 1, s: "s", xs: []float64{2}}}}
	st := inner{a: 3, s: "q", xs: []float64{1, 2, 3}, in: &inner{s: "deep"}}
	any1 := []any{1, "two", 3.5, nil, []any{map[string]any{"k": []any{true}}}}
	var sh shape = Square{3}
	at := time.Date(2026, 11, 27, 3, 4, 5, 6, time.UTC)
	local := at.In(time.Local)
	far := at.In(time.FixedZone("far", 12345))
	b := new(big.Int).Exp(big.NewInt(7), big.NewInt(300), nil)
	d := mat.NewDense(2, 3, []float64{1, 2, 3, 4, 5, 6})
	zero := struct{}{}
	zeros := []struct{}{{}, {}}
	typeOf := types(0, "", 0.0, true, []any(nil), map[string]any(nil), Square{})
	got := through(t, typeOf, &n, &text, &yes, &c, &floats, &empty, &none, &arr, &m, &nested, &st, &any1, &sh, &at, &local, &far, &b, &d, &zero, &zeros)
	for i, want := range []any{&n, &text, &yes, &c, &floats, &empty, &none, &arr, &m, &nested, &st, &any1, &sh, &at, &local, &far, &b, &d, &zero, &zeros} {
		if !reflect.DeepEqual(got[i], want) {
			t.Errorf("%d: %#v became %#v", i, reflect.ValueOf(want).Elem(), reflect.ValueOf(got[i]).Elem())
		}
	}
	if back := *got[14].(*time.Time); back.Location() != time.Local {
		t.Errorf("the local time zone became %p", back.Location())
	}
}

// What is shared stays shared, and cycles close.
func TestSharing(t *testing.T) {
	back := []int{0, 1, 2, 3, 4, 5}
	left, right := back[:2], back[1:5:5]
	m := map[string]int{"a": 1}
	same := m
	x := inner{s: "x"}
	px, field := &x, &x.xs
	ring := &inner{s: "ring"}
	ring.in = ring
	arr := [4]int{1, 2, 3, 4}
	window := arr[1:3]
	elem := &back[3]
	ptrs := map[string]*inner{"x": px, "ring": ring}
	got := through(t, nil, &left, &right, &m, &same, &x, &px, &field, &ring, &arr, &window, &elem, &ptrs)
	left2, right2 := *got[0].(*[]int), *got[1].(*[]int)
	left2[1] = 77
	if right2[0] != 77 || len(left2) != 2 || cap(left2) != 6 || cap(right2) != 4 {
		t.Errorf("slices: %v %v, capacities %d, %d", left2, right2, cap(left2), cap(right2))
	}
	*(*got[10].(**int)) = 88
	if right2[2] != 88 {
		t.Errorf("pointer to an element: %v", right2)
	}
	(*got[2].(*map[string]int))["b"] = 2
	if len(*got[3].(*map[string]int)) != 2 {
		t.Error("maps are two now")
	}
	if *got[5].(**inner) != got[4].(*inner) || *got[6].(**[]float64) != &got[4].(*inner).xs {
		t.Error("pointers to a variable and its field lead elsewhere")
	}
	if r := *got[7].(**inner); r.in != r || r.s != "ring" {
		t.Error("the ring is open")
	}
	(*got[9].(*[]int))[0] = 99
	if got[8].(*[4]int)[1] != 99 {
		t.Error("a slice of an array is a copy")
	}
	if p := *got[11].(*map[string]*inner); p["x"] != got[4].(*inner) || p["ring"] != *got[7].(**inner) {
		t.Error("pointers in a map lead elsewhere")
	}
}

func TestWhatIsNotPlainIsLeft(t *testing.T) {
	ch, f, big1 := make(chan int), func() {}, make([]byte, 2<<20)
	var mu sync.Mutex
	mu.Lock()
	var free sync.Mutex
	timer := time.NewTimer(time.Hour)
	l := list.New()
	l.PushBack(1)
	plain := 5
	holder := struct {
		n int
		c chan int
	}{1, ch}
	closed := struct {
		n int
		c chan int
	}{1, nil}
	vars := []Variable{}
	for name, p := range map[string]any{"ch": &ch, "f": &f, "big": &big1, "mu": &mu, "free": &free, "timer": &timer,
		"list": &l, "plain": &plain, "holder": &holder, "closed": &closed} {
		vars = append(vars, Variable{name, reflect.ValueOf(p).Elem()})
	}
	groups, left, ok := Write(vars, Options{Limit: 1 << 20})
	if !ok {
		t.Fatal("stopped")
	}
	why := map[string]string{}
	for _, l := range left {
		why[l.Name] = l.Why
	}
	for name, want := range map[string]string{"ch": "channel", "f": "function", "big": "1 MB", "mu": "in use", "timer": "one process", "holder": "channel"} {
		if !strings.Contains(why[name], want) {
			t.Errorf("%s: %q, want %q", name, why[name], want)
		}
	}
	if len(left) != 6 || len(groups) != 4 {
		t.Errorf("%d left, %d groups: %v", len(left), len(groups), left)
	}
}

func TestItStopsWhenTold(t *testing.T) {
	many := make([]string, 1<<20)
	asked := 0
	_, _, ok := Write([]Variable{{"many", reflect.ValueOf(&many).Elem()}},
		Options{Limit: 64 << 20, Stop: func() bool { asked++; return asked > 3 }})
	if ok || asked != 4 {
		t.Errorf("asked %d times, done %v", asked, ok)
	}
}

// A goroutine that goes on writing harms nobody.
func TestWhileOthersWrite(t *testing.T) {
	m := map[int][]string{}
	s := []string{"a"}
	var mu sync.Mutex
	stop := make(chan bool)
	go func() {
		for i := 0; ; i++ {
			select {
			case <-stop:
				return
			default:
			}
			mu.Lock()
			m[i%100] = []string{strings.Repeat("x", i%50)}
			mu.Unlock()
		}
	}()
	for range 200 {
		Write([]Variable{{"m", reflect.ValueOf(&m).Elem()}, {"s", reflect.ValueOf(&s).Elem()}},
			Options{Limit: 1 << 20, Shared: true, Lock: func(_ unsafe.Pointer) (func(), bool) { mu.Lock(); return mu.Unlock, true }})
	}
	stop <- true
}

func BenchmarkFloats(b *testing.B) {
	x := make([]float64, 1<<20)
	v := []Variable{{"x", reflect.ValueOf(&x).Elem()}}
	b.SetBytes(8 << 20)
	for b.Loop() {
		Write(v, Options{Limit: 64 << 20})
	}
}

func BenchmarkTexts(b *testing.B) {
	x := make([]string, 1<<18)
	for i := range x {
		x[i] = "some text"
	}
	v := []Variable{{"x", reflect.ValueOf(&x).Elem()}}
	for b.Loop() {
		Write(v, Options{Limit: 64 << 20})
	}
}
