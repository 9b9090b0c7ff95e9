package sample

func stringsCase(r *Result) {
	edge := []string{"", "a", "b", "ab", "abc", "abd", "\x00", "été", "a longer text that is no constant of the other"}
	copied := append([]string(nil), edge...)
	for i, x := range edge {
		r.text(x)
		for _, y := range copied {
			r.bool(x == y)
			r.bool(x != y)
			r.bool(x < y)
			r.bool(x <= y)
			r.bool(x > y)
			r.bool(x >= y)
			if x == y {
				r.int(2)
			}
			r.text(x + y)
			copied[i], edge[i] = x, y // stores of strings
			r.text(edge[i])
			edge[i] = x
		}
		for j := range len(x) {
			put(r, x[j])
			r.text(x[j:])
		}
		r.text(string([]byte(x)))
		r.text(string([]rune(x)))
	}
}

type node struct {
	next  *node
	value int
}

func pointers(r *Result) {
	a, b := &node{value: 1}, &node{value: 2}
	a.next = b
	var none *node
	list := []*node{a, b, none, a.next, b.next}
	for _, x := range list {
		for _, y := range list {
			r.bool(x == y)
			r.bool(x != y)
			if x == y {
				r.int(2)
			}
		}
		r.bool(x == nil)
		r.bool(x != nil)
		if x != nil {
			put(r, x.value)
		}
	}
	list[2] = b
	put(r, list[2].value)
	for n := a; n != nil; n = n.next {
		put(r, n.value)
	}
	var e error
	r.bool(e == nil)
	r.bool(e != nil)
	var f func()
	r.bool(f == nil)
	p := &list[1]
	*p = a
	put(r, (*p).value, next(a).value)
	q := new(*node)
	*q = *p
	put(r, (*q).value)
}

func next(n *node) *node { return n.next }

// cell holds a T among others, so that a store of the wrong width shows.
type cell[T integer] struct {
	before T
	at     T
	after  T
	list   [3]T
}

func memory[T integer](r *Result, edge []T) {
	ones := ^T(0)
	c := &cell[T]{ones, 0, ones, [3]T{ones, 0, ones}}
	list := []T{ones, 0, ones}
	array := [3]T{ones, 0, ones}
	at := &array[1]
	for i, x := range edge {
		c.at, c.list[1], list[1], *at = x, x, x, x
		put(r, c.before, c.at, c.after)
		put(r, c.list[0], c.list[i%3], c.list[2])
		put(r, list[0], list[i%3], list[2])
		put(r, array[0], array[i%3], array[2], *at)
		list[i%3], c.list[i%3] = x, x
		put(r, list...)
		put(r, c.list[:]...)
		copied := *c
		copied.at++
		put(r, copied.at, c.at, copied.list[1])
		held := any(x)
		put(r, held.(T))
	}
}

type two struct{ x, y int }

type mixed struct {
	flag  bool
	name  string
	list  []int
	err   any
	ratio float32
	pair  two
}

type small struct {
	a int8
	b uint16
	c int32
	d bool
}

func structs(r *Result) {
	m := &mixed{true, "first", []int{1, 2, 3}, "held", 0.5, two{4, 5}}
	put(r, m.pair.x, m.pair.y, len(m.list), cap(m.list), m.list[2])
	m.name, m.list, m.err, m.ratio, m.pair, m.flag = m.name+"!", m.list[:2], error(nil), m.ratio*3, two{m.pair.y, m.pair.x}, !m.flag
	r.text(m.name)
	r.bool(m.err == nil)
	r.bool(m.flag)
	r.float32(m.ratio)
	put(r, m.pair.x, m.pair.y, len(m.list), cap(m.list))
	pairs := []two{{1, 2}, {3, 4}}
	p := &pairs[1]
	*p = pairs[0]
	pairs[0] = two{9, 8}
	put(r, p.x, p.y, pairs[0].x, pairs[0].y)
	r.bool(pairs[0] == pairs[1])
	s := []small{{-1, 65535, -2, true}, {127, 1, 2147483647, false}}
	for i := range s {
		x := s[i]
		x.a++
		x.b++
		x.c++
		s[1-i] = x
		put(r, x.a)
		put(r, x.b)
		put(r, x.c)
		r.bool(s[i].d)
	}
	names := []string{"a", "bc"}
	lists := [][]int{{1}, {2, 3}, nil}
	any0 := []any{1, "x", nil, two{6, 7}}
	for i := range lists {
		put(r, len(lists[i]), cap(lists[i]))
		lists[i] = append(lists[i], i)
		put(r, lists[i]...)
		names = append(names, names[i])
		r.text(names[len(names)-1])
	}
	held := any0[3].(two)
	any0[0], any0[1] = any0[1], any0[0]
	put(r, held.x, any0[1].(int))
	r.text(any0[0].(string))
	swap, other := names[0], names[1]
	for range 3 { // a loop that exchanges strings
		swap, other = other, swap
	}
	r.text(swap + other)
	i, e := any(1), any("two")
	for range 3 {
		i, e = e, i
	}
	r.text(i.(string))
	put(r, e.(int))
	x, y := complex(1, 2), complex(3, 4)
	for range 3 {
		x, y = y, x
	}
	r.float(real(x) + 10*imag(y))
	a, b := lists[0], lists[1]
	for range 3 {
		a, b = b, a
	}
	put(r, len(a), len(b))
	var nothing struct{}
	none := &nothing
	*none = struct{}{}
}

type large struct {
	numbers [20]int
	name    string
}

func boxes(r *Result) {
	p := &large{name: "one"}
	for i := range p.numbers {
		p.numbers[i] = i * i
	}
	copied := *p
	p.numbers[3], p.name = -1, "two"
	put(r, copied.numbers[3], p.numbers[3], copied.numbers[19])
	r.text(copied.name + p.name)
	*p = copied
	put(r, p.numbers[3])
	list := []large{copied, {}, *p}
	list[1] = list[0]
	list[1].numbers[2] = 77
	put(r, list[0].numbers[2], list[1].numbers[2])
	r.bool(list[0] == list[2])
	r.bool(list[0] == list[1])
	array := copied.numbers
	array[5]++
	put(r, array[5], copied.numbers[5], arraySum(array))
	held := any(array)
	array[0] = 5
	put(r, held.([20]int)[0])
}

func arraySum(a [20]int) (sum int) {
	for i := range a {
		a[i]++
		sum += a[i]
	}
	return sum
}

var (
	globalInt    int
	globalUint   uint64
	globalFloat  float64
	globalByte   uint8
	globalText   string
	globalNode   *node
	globalList   []int
	globalStruct two
)

func globals(r *Result) {
	globalInt, globalUint, globalFloat, globalByte, globalText = 1, 2, 0.5, 254, "g"
	for _, x := range edges[int]() {
		globalInt += x
		globalInt++
		globalUint = globalUint*3 + uint64(x)
		globalFloat += float64(globalInt)
		globalByte += uint8(x)
		globalText += "!"
		globalNode = &node{globalNode, globalInt}
		globalList = append(globalList, x)
		globalStruct.x, globalStruct.y = globalStruct.y, x
		put(r, globalInt, globalStruct.x, len(globalList))
		put(r, globalUint)
		put(r, globalByte)
		r.float(globalFloat)
		r.text(globalText)
	}
	for n := globalNode; n != nil; n = n.next {
		put(r, n.value)
	}
	globalNode, globalList, globalStruct = nil, nil, two{}
}

type everything struct {
	i8   int8
	u8   uint8
	i16  int16
	u16  uint16
	i32  int32
	u32  uint32
	i64  int64
	p    *int
	text string
	list []int
	err  any
	c    complex128
	box  [4]int
	in   struct{ deep struct{ x int } }
}

// nilPointers reads and writes every kind of field through nil.
func nilPointers(r *Result) {
	var e *everything
	for _, f := range []func(){
		func() { put(r, e.i8) }, func() { e.i8 = 1 },
		func() { put(r, e.u8) }, func() { e.u8 = 1 },
		func() { put(r, e.i16) }, func() { e.i16 = 1 },
		func() { put(r, e.u16) }, func() { e.u16 = 1 },
		func() { put(r, e.i32) }, func() { e.i32 = 1 },
		func() { put(r, e.u32) }, func() { e.u32 = 1 },
		func() { put(r, e.i64) }, func() { e.i64 = 1 },
		func() { r.bool(e.p == nil) }, func() { e.p = nil },
		func() { r.text(e.text) }, func() { e.text = "" },
		func() { put(r, e.list...) }, func() { e.list = nil },
		func() { r.bool(e.err == nil) }, func() { e.err = nil },
		func() { r.float(real(e.c)) }, func() { e.c = 1i },
		func() { put(r, len(e.box)); x := e.box; put(r, x[:]...) }, func() { e.box = [4]int{} },
		func() { p := &e.in.deep.x; *p = 1 }, func() { put(r, *e.p) },
		func() { x := *e; put(r, x.i64) }, func() { *e = everything{} },
		func() { p := &e.box; put(r, p[1:]...) },
		func() { var none *struct{}; *none = struct{}{} },
		func() { var f func(); f() },
		func() { var i interface{ Error() string }; r.text(i.Error()) },
	} {
		r.try(f)
	}
}
