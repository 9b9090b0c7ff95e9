// Package declared has types that the tests of rtype both compile and forge,
// so that the compiler says what is right.
package declared

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"sort"
	"strings"
	"sync"
	"sync/atomic"
)

type Celsius float64

func (c Celsius) String() string { return fmt.Sprintf("%.1f°C", float64(c)) }

type Point struct {
	X    int `json:"x,omitempty"`
	Y    int
	Note string
	tail []byte
}

func (p Point) String() string { return fmt.Sprintf("(%d,%d)", p.X, p.Y) }

func (p *Point) Move(dx, dy int) *Point { p.X += dx; p.Y += dy; return p }

func (p Point) Add(q Point, k float32, names ...string) (Point, error) {
	if len(names) == 0 {
		return p, errors.New("no names")
	}
	return Point{p.X + int(k)*q.X, p.Y + q.Y, strings.Join(names, "+"), nil}, nil
}

func (p Point) Mix(a int8, b uint16, c int32, d bool) (bool, int8, float32) {
	return !d, a + int8(b) + int8(c), float32(p.X)
}

func (p *Point) hidden() int { return p.Y }

type Hider interface{ hidden() int }

// Hidden calls an unexported method through an interface.
func Hidden(x any) int { return x.(Hider).hidden() }

type Node struct {
	Value  int
	Next   *Node
	Kids   []Node
	ByName map[string]Node
	Visit  func(Node, ...*Node) []*Node `json:"-"`
	C      chan<- Node                  `json:"-"`
	walker interface{ Walk(*Node) Node }
	Sub    *struct{ Node } `json:",omitempty"`
	Index  *map[Key]*Node  `json:"-"`
}

func (n *Node) Walk(m *Node) Node { return *m }

type A struct {
	B *B
	x float64
}

type B struct {
	A A
	m map[Key]A
	n [2]A
}

type Key struct {
	Name string
	_    int32
	F    float32
	Any  any
	P    *Key
}

type Blank struct {
	A int32
	_ int32
	B int64
}

type Padded struct {
	A int8
	B int64
}

type Err struct{ Code int }

func (e *Err) Error() string        { return fmt.Sprint("code ", e.Code) }
func (e *Err) Is(target error) bool { return target == io.EOF }

type ByX []Point

func (b ByX) Len() int           { return len(b) }
func (b ByX) Less(i, j int) bool { return b[i].X < b[j].X }
func (b ByX) Swap(i, j int)      { b[i], b[j] = b[j], b[i] }

type Table map[string]int

func (t Table) MarshalJSON() ([]byte, error) {
	return json.Marshal(fmt.Sprint("table of ", len(t)))
}

func (t *Table) UnmarshalJSON(b []byte) error {
	*t = Table{string(b): len(b)}
	return nil
}

type Func func(int) int

func (f Func) String() string { return fmt.Sprint("func ", f(1)) }

type Handle struct{ p *int }

func (h Handle) String() string { return fmt.Sprint("handle ", *h.p) }

type List[T any] struct {
	Items []T
	next  *List[T]
}

func (l List[T]) String() string { return fmt.Sprint("list", l.Items) }
func (l *List[T]) Push(x T)      { l.Items = append(l.Items, x) }
func (l *List[T]) Pop() any {
	x := l.Items[len(l.Items)-1]
	l.Items = l.Items[:len(l.Items)-1]
	return x
}

type Pair[K comparable, V any] struct {
	Key K
	Val V
}

type Outer struct {
	Point
	*Err
	sort.Interface
	n int
}

type Locked struct {
	sync.Mutex
	N int
}

type (
	Empty    struct{}
	Arr      [3]Point
	Wide     struct{ S [40]string }
	Chan     chan Celsius
	RecMap   map[string]RecMap
	RecFunc  func(RecFunc, int) RecFunc
	RecSlice []RecSlice
	RecPtr   *RecPtr
	RecIface interface{ M(RecIface) RecIface }
	Closer   interface{ Close() error }
	Mixed    interface {
		fmt.Stringer
		hidden() int
		Close() error
	}
	Int   int
	Str   string
	Bytes []byte
	Cplx  complex128
	Flag  bool
	Count struct{ atomic.Int64 }
)

func (r RecSlice) Depth() int {
	if len(r) == 0 {
		return 1
	}
	return 1 + r[0].Depth()
}

func (f Flag) Format(s fmt.State, verb rune) { fmt.Fprintf(s, "flag<%c %t>", verb, bool(f)) }

func (b Bytes) Read(p []byte) (int, error) { return copy(p, b), io.EOF }

func (i Int) XY(j int) (x, y float64) { return float64(i), float64(j) }
func (i Int) Mean(x float64) float64  { return (float64(i) + x) / 2 }

type Plain struct {
	a int
	b *Plain
}

var seven = 7

// Values has a field for each type under test, with a value.
var Values = struct {
	Celsius    Celsius
	Celsiuses  []Celsius
	ByCity     map[string]Celsius
	CelsiusKey map[Celsius]Point
	Point      Point
	PointPtr   *Point
	Points     []*Point
	Node       Node
	A          A
	B          *B
	Key        Key
	Blank      Blank
	Blanks     [2]Blank
	Padded     Padded
	Err        *Err
	ByX        ByX
	Table      Table
	TablePtr   *Table
	Func       Func
	Handle     Handle
	Handles    []Handle
	IntList    List[int]
	PointList  *List[Point]
	Pair       Pair[string, Point]
	Pair2      Pair[Celsius, []map[string]List[Int]]
	Outer      Outer
	OuterPtr   *Outer
	Locked     *Locked
	Empty      Empty
	Arr        Arr
	Wide       Wide
	WideKey    map[Wide]Wide
	Chan       Chan
	RecMap     RecMap
	RecFunc    RecFunc
	RecSlice   RecSlice
	RecPtr     RecPtr
	RecIface   RecIface
	Closer     Closer
	Mixed      Mixed
	Int        Int
	Str        Str
	Bytes      Bytes
	Cplx       Cplx
	Flag       Flag
	Count      *Count
	Plain      Plain
	Atomic     *atomic.Pointer[Point]
	AtomicInt  *atomic.Pointer[int]
	Promoted   struct {
		Point
		N int
	}
	PromotedPtr *struct {
		*Point
		error
	}
	BlankLit struct {
		_ int
		S string
	}
	EmbedLit struct{ Celsius }
	Method   func(Point, *Node) (interface {
		Close() error
		hidden() int
	}, error)
	Std struct {
		E error
		W io.Writer
		B *strings.Builder
	}
}{
	Celsius: 21.5, Celsiuses: []Celsius{1, 2}, ByCity: map[string]Celsius{"a": 3, "b": 4},
	CelsiusKey: map[Celsius]Point{5: {X: 1}},
	Point:      Point{X: 1, Y: 2, Note: "n"}, PointPtr: &Point{X: 3}, Points: []*Point{{Y: 5}, {Y: 6}},
	Node: Node{Value: 1, Next: &Node{Value: 2}, Kids: []Node{{Value: 3}}, ByName: map[string]Node{"k": {Value: 4}}},
	A:    A{x: 2}, B: &B{A: A{x: 3}}, Key: Key{Name: "k", F: 1.5, Any: 3},
	Blank: Blank{A: 1, B: 2}, Padded: Padded{1, 2}, Err: &Err{404}, ByX: ByX{{X: 3}, {X: 1}, {X: 2}},
	Table: Table{"a": 1}, TablePtr: &Table{"b": 2}, Func: func(i int) int { return i + 41 },
	Handle: Handle{&seven}, Handles: []Handle{{&seven}},
	IntList: List[int]{Items: []int{1, 2}}, PointList: &List[Point]{Items: []Point{{X: 9}}},
	Pair:  Pair[string, Point]{"p", Point{X: 8}},
	Outer: Outer{Point: Point{X: 4}, n: 5}, OuterPtr: &Outer{Point: Point{X: 6}, Err: &Err{1}, Interface: ByX{{X: 3}, {X: 1}}},
	Locked: &Locked{N: 1}, RecSlice: RecSlice{RecSlice{}}, RecMap: RecMap{"x": nil},
	Int: 5, Str: "s", Bytes: Bytes("bytes"), Cplx: 1 + 2i, Flag: true, Count: &Count{}, Plain: Plain{a: 1},
	Atomic: &atomic.Pointer[Point]{}, AtomicInt: &atomic.Pointer[int]{},
}
