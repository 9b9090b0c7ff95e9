package interpreter

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// A step of a notebook: what its value is, and what the notices say. With
// want "!" before it, the cell fails with these words.
type noticed struct{ cell, want, notices string }

func follow(t *testing.T, name string, steps []noticed) {
	t.Helper()
	t.Run(name, func(t *testing.T) {
		nb := newNotebook(t)
		for _, s := range steps {
			r := nb.run(s.cell, 0)
			if words, fails := strings.CutPrefix(s.want, "!"); fails {
				if r.Err == nil || !strings.Contains(r.Err.Message+" "+r.Err.Hint, words) {
					t.Errorf("%q: %+v, want an error with %q", s.cell, r.Err, words)
				}
				continue
			}
			if r.Err != nil {
				t.Fatalf("%q: %s", s.cell, r.Err.Traceback())
			}
			var out []string
			for _, v := range r.Values {
				out = append(out, v.Value.String())
			}
			if got := strings.Join(out, " "); s.want != "" && got != s.want {
				t.Errorf("%q is %q, want %q", s.cell, got, s.want)
			}
			slices.Sort(r.Notices)
			said := strings.Join(r.Notices, "\n")
			if s.notices == "" && said != "" || !strings.Contains(said, s.notices) {
				t.Errorf("%q: notices %q, want %q", s.cell, said, s.notices)
			}
		}
	})
}

func TestWhatIsRedefinedIsUsedOrNamed(t *testing.T) {
	follow(t, "generic functions", []noticed{
		{"import \"fmt\"\nfunc G[T any](x T) string { return \"old\" }\nfunc call() string { return G(1) }\nfunc Outer[T any](x T) string { return G(x) }\nh := G[int]\nlit := func() string { return G(\"x\") + Outer(2.5) }", "", ""},
		{"call() + h(2) + lit()", "oldoldoldold", ""},
		{"func G[T any](x T) string { return \"new\" }", "", ""},
		{"call() + h(2) + lit() + Outer(byte(1))", "newnewnewnewnew", ""},
		{"func call() string { return G(1) }", "", ""},
		{"call()", "new", ""},
	})
	follow(t, "methods of generic types", []noticed{
		{"import \"fmt\"\ntype S[T any] struct{ x T }\nfunc (s S[T]) M() string { return fmt.Sprint(\"old\", s.x) }\ns := S[int]{1}\nmv := s.M\nvar i interface{ M() string } = s\nvar a any = s", "", ""},
		{"func (s S[T]) M() string { return fmt.Sprint(\"new\", s.x) }", "", ""},
		{"s.M() + mv() + i.M() + S[string]{}.M()", "new1new1new1new", ""},
		{"func (s S[T]) String() string { return \"S\" }", "", ""},
		{"fmt.Sprint(s, a)", "S S", ""},
		{"func (s S[T]) M() int { return 1 }", "", "variable i still holds a value of type S[int] with the methods it had"},
	})
	follow(t, "method looked up after its type has changed", []noticed{ // read a variable that was gone
		{"import \"fmt\"\nv := map[string]int{}\ntype S[T any] struct{ x T }\nfunc (s S[T]) M() string { return fmt.Sprint(s.x, v) }\nvar i interface{ M() string } = S[int]{1}", "", ""},
		{"v := \"text\"", "", ""},
		{"i.M()", "1text", ""},
	})
	follow(t, "dropped variables", []noticed{
		{"import \"fmt\"\nk := 5\ng := func() string { return fmt.Sprint(k) }", "", ""},
		{"k := 2.5", "", "variable g still uses variable k as it was: run cell 1 again"},
		{"g()", "5", ""},
		{"k := 7", "", ""},
		{"g()", "5", ""},
	})
	follow(t, "variables declared again before", []noticed{
		{"import \"fmt\"\nk := 5\ng := func() string { return fmt.Sprint(k) }", "", ""},
		{"k := 6", "", ""},
		{"k := \"x\"", "", "variable g still uses variable k as it was"},
		{"g()", "6", ""},
	})
	follow(t, "types", []noticed{
		{"import \"fmt\"\ntype T struct{ n int }\nfunc (t T) M() string { return fmt.Sprint(\"old\", t.n) }\nt := T{3}\nmv := t.M\nvar a any = []T{t}\ng := func() string { return fmt.Sprint(t.n) }", "", ""},
		{"type T struct{ n, m int }\nfunc (t T) M() string { return \"new\" }", "", "variable a still holds a value of type T as it was: run cell 1 again to renew it\nvariable g still uses variable t as it was: run cell 1 again to renew it\nvariable mv still uses method T.M as it was: run cell 1 again to renew it\nvariable t is gone"},
		{"g() + mv()", "3old3", ""},
	})
	follow(t, "constants and signatures", []noticed{
		{"import \"fmt\"\nconst K = 3\nfunc f() int { return 1 }\ng := func() string { return fmt.Sprint(K) }\nh := f", "", ""},
		{"const K = 4", "", "variable g still uses constant K as it was"},
		{"func f() float64 { return 1 }", "", "variable h still uses function f as it was"},
	})
	follow(t, "literals of a function that is written anew", []noticed{
		{"func mk() func() string { return func() string { return \"old\" } }\nm := mk()", "", ""},
		{"func mk() func() string { return func() string { return \"new\" } }", "", "variable m still uses function mk as it was"},
	})
	follow(t, "what compiles again", []noticed{
		{"import \"fmt\"\nfunc f(n int) int { return n }\nfunc g() string { return fmt.Sprint(f(2)) }\nh := g", "", ""},
		{"func f(s string) string { return s }", "", "function g no longer compiles"},
		{"h()", "!g no longer compiles", ""},
		{"func f(n int) int { return 3 * n }", "", ""},
		{"h()", "6", ""},
	})
	follow(t, "receivers", []noticed{
		{"import \"fmt\"\ntype T struct{ n int }\nfunc (t T) String() string { return \"T\" }", "", ""},
		{"func (t *T) String() string { return \"T\" }", "", ""},
		{"fmt.Sprint(T{1}) + fmt.Sprint(&T{1})", "{1}T", ""},
	})
	follow(t, "methods left out", []noticed{
		{"type T struct{}\nfunc (T) A() {}\nfunc (T) B() {}", "", ""},
		{"type T struct{}\nfunc (T) A() {}", "", "type T keeps method T.B, which cell 1 declared with it"},
		{"forget T.B", "", ""},
		{"T{}.B()", "!T{}.B undefined", ""},
	})
	follow(t, "methods left out, brought back and left out again", []noticed{
		{"type T struct{}\nfunc (T) A() {}\nfunc (T) B() {}", "", ""},
		{"type T struct{}\nfunc (T) A() {}", "", "type T keeps method T.B, which cell 1 declared with it"},
		{"type T struct{}\nfunc (T) A() {}\nfunc (T) B() {}", "", ""},
		{"type T struct{}\nfunc (T) A() {}", "", "type T keeps method T.B, which cell 3 declared with it"},
		{"func (T) B() {}", "", ""},
		{"type T struct{}\nfunc (T) A() {}", "", ""},
	})
	follow(t, "literals that a method calls", []noticed{
		{"import \"fmt\"\nv := map[string]int{\"x\": 1}\ntype T struct{ A int }", "", ""},
		{"t := map[string]func() string{\"a\": func() string { return fmt.Sprint(v) }}", "", ""},
		{"func (T) String() string { return t[\"a\"]() }", "", ""},
		{"v := \"text\"", "", "variable t still uses variable v as it was: run cell 2 again"},
		{"type T struct{ A float64 }", "", ""},
		{"fmt.Sprint(T{})", "map[x:1]", ""},
		{"t := map[string]func() string{\"a\": func() string { return fmt.Sprint(v) }}", "", ""},
		{"fmt.Sprint(T{})", "text", ""},
	})
	follow(t, "constants in a closure that a method calls", []noticed{
		{"import \"fmt\"\nconst K = \"old\"\ntype T struct{ A int }", "", ""},
		{"var c func() string\n{\n\tn := 1\n\tc = func() string { return fmt.Sprint(n, K) }\n}", "", ""},
		{"func (T) String() string { return c() }", "", ""},
		{"const K = \"new\"", "", "variable c still uses constant K as it was: run cell 2 again"},
		{"fmt.Sprint(T{})", "1old", ""},
		{"var c func() string\n{\n\tn := 1\n\tc = func() string { return fmt.Sprint(n, K) }\n}", "", ""},
		{"fmt.Sprint(T{})", "1new", ""},
	})
	follow(t, "goroutines", []noticed{
		{"import \"time\"\nk := 1\nfunc work() { for { time.Sleep(time.Millisecond) } }\ngo work()\ngo func() { for { _ = k; time.Sleep(time.Millisecond) } }()\ntime.Sleep(20 * time.Millisecond)", "", ""},
		{"func work() { for { time.Sleep(2 * time.Millisecond) } }", "", "a goroutine is still in function work as it was"},
		{"k := \"x\"", "", "a goroutine is still in a function literal (cell 1, line 5) that uses variable k as it was"},
	})
	follow(t, "goroutine in a generic function whose import stands for another package", []noticed{
		{"import \"fmt\"\nimport u \"unicode/utf16\"\nask, ans := make(chan int), make(chan string)\nfunc work[T any](r T) { for range ask { ans <- fmt.Sprint(r, u.RuneLen('é')) } }\ngo work(7)\nask <- 1\n<-ans", "7 1", ""},
		{"import u \"unicode/utf16\"", "", ""},
		{"import u \"unicode/utf8\"", "", "a goroutine is still in function work as it was"},
		{"ask <- 1\n<-ans", "7 1", ""},
		{"close(ask)", "", ""},
	})
	follow(t, "goroutine in a generic function of whose variable nothing follows", []noticed{
		{"import \"fmt\"\nk := 1\nask, ans := make(chan int), make(chan string)\nfunc work[T any](r T) { for range ask { ans <- fmt.Sprint(r, k) } }\ngo work(7)\nask <- 1\n<-ans", "7 1", ""},
		{"k := \"x\"", "", "a goroutine is still in function work as it was"},
		{"ask <- 1\n<-ans", "7 1", ""},
		{"close(ask)", "", ""},
	})
	follow(t, "goroutine in a generic function declared with other parameters", []noticed{
		{"ask, ans := make(chan int), make(chan string)\nfunc work[T any](r T) { for range ask { ans <- \"old\" } }\ngo work(7)\nask <- 1\n<-ans", "old", ""},
		{"func work[T any](r T, n int) {}", "", "a goroutine is still in function work as it was"},
		{"ask <- 1\n<-ans", "old", ""},
		{"close(ask)", "", ""},
	})
	follow(t, "goroutine in a function whose import stands for another package", []noticed{
		{"import \"fmt\"\nimport u \"unicode/utf16\"\nask, ans := make(chan int), make(chan string)\nfunc work() { for range ask { ans <- fmt.Sprint(u.RuneLen('é')) } }\ngo work()\nask <- 1\n<-ans", "1", ""},
		{"import u \"unicode/utf16\"", "", ""},
		{"import u \"unicode/utf8\"", "", "a goroutine is still in function work as it was"},
		{"ask <- 1\n<-ans", "1", ""},
		{"close(ask)", "", ""},
	})
	follow(t, "literals that packages hold", []noticed{
		{"import (\"sort\"; \"time\")\nk := 1\nsort.Slice([]int{3, 2}, func(i, j int) bool { return i < j+k })\ntimer := time.AfterFunc(time.Hour, func() { _ = k })", "", ""},
		{"k := \"x\"", "", "a function literal (cell 1, line 4) that something still holds uses variable k as it was"},
	})
}

// A value whose name stands for something else now is let go with the last
// literal that reads it.
func TestDroppedValuesAreLetGo(t *testing.T) {
	nb := newNotebook(t)
	nb.ok("import (\"runtime\"; \"time\")\nx := make([]byte, 256<<20)\nfunc f() int { return len(x) }\nlit := func() int { return len(x) }\nf() + lit()")
	without := live() - 200<<20 // other tests may have left something, too
	nb.ok("x := \"short\"")
	nb.ok("lit := 1")
	if got := nb.value(fmt.Sprintf("var ms runtime.MemStats\nfor range 100 {\n\truntime.GC()\n\truntime.ReadMemStats(&ms)\n\tif ms.HeapAlloc < %[1]d { break }\n\ttime.Sleep(10 * time.Millisecond)\n}\nms.HeapAlloc < %[1]d", int64(without))); got != "true" {
		t.Error("256 MiB are still there")
	}
}
