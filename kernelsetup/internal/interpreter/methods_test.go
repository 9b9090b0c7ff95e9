package interpreter

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
)

// TestMethodsAreEdited gives types methods, other signatures and other bodies
// again and again. Stubs for methods are not without end: what stays as it was
// must not take another one, or a session of 10,000 edits runs out of them.
func TestMethodsAreEdited(t *testing.T) {
	nb := newNotebook(t)
	nb.ok(`import "fmt"
type rod struct { mm int; next *rod }
func (r rod) String() string { return fmt.Sprint("rod ", r.mm) }
func (r *rod) Set(mm int) { r.mm = mm }
func (r rod) Next() *rod { return r.next }
type bore float64
func (b bore) String() string { return "bore" }
var kept []any
kept = append(kept, rod{1, nil}, &rod{2, &rod{3, nil}}, bore(4))`)
	const edits = 300
	count := func(name string, most int, cell func(i int) string) {
		t.Helper()
		before := rtype.StubsFree()
		for i := range edits {
			nb.ok(cell(i))
		}
		if used := before - rtype.StubsFree(); used > most*edits {
			t.Errorf("%s: %d stubs for %d edits", name, used, edits)
		}
	}
	count("another body", 0, func(i int) string {
		return fmt.Sprintf("func (r rod) String() string { return fmt.Sprint(\"rod %d \", r.mm) }\nkept = append(kept[:3], rod{%d, nil})", i, i)
	})
	count("another signature", 2, func(i int) string {
		return fmt.Sprintf("func (r rod) At(x [%d]int, r2 rod) (int, *rod) { return len(x) + r.mm + r2.mm, r.next }\nkept = append(kept[:3], rod{%d, nil})\nfmt.Sprint(kept...)", i%7, i)
	})
	count("one method more", 3, func(i int) string {
		return fmt.Sprintf("func (r rod) M%d() int { return %d + r.mm }\nfunc (b *bore) M%d(x float64) float64 { return x }\nkept = append(kept[:3], rod{%d, nil})", i, i, i, i)
	})
	// Values from before the first edit and after the last, by compiled code,
	// by interfaces of cells and by reflection.
	// What an interface holds keeps the type that it had.
	last := fmt.Sprintf("rod %d ", edits-1)
	for src, want := range map[string]string{
		`fmt.Sprint(kept...)`:                                                   last + "1 " + last + "2 bore " + last + "299",
		`kept[3].(interface{ M299() int }).M299()`:                              "598",
		`kept[0].(fmt.Stringer).String()`:                                       last + "1",
		`reflect.ValueOf(kept[3]).MethodByName("String").Call(nil)[0].String()`: last + "299",
		`reflect.TypeOf(kept[0]).Method(reflect.TypeOf(kept[0]).NumMethod()-1).Func.Call([]reflect.Value{reflect.ValueOf(kept[0])})[0].String()`:                     last + "1",
		`reflect.TypeOf(rod{}).Method(0).Func.Call([]reflect.Value{reflect.ValueOf(rod{5, nil}), reflect.ValueOf([5]int{}), reflect.ValueOf(rod{6, nil})})[0].Int()`: "16",
	} {
		nb.ok("import \"reflect\"")
		if got := nb.value(src); got != want {
			t.Errorf("%s is %q, want %q", src, got, want)
		}
	}
}

// A notebook that has used up all methods goes on with what it has. It runs in
// a process of its own: the stubs are the process's.
func TestMethodsRunOut(t *testing.T) {
	const alone = "INTERPRETER_TEST_METHODS"
	if os.Getenv(alone) == "" {
		c := exec.Command(os.Args[0], "-test.run=^TestMethodsRunOut$", "-test.v")
		c.Env = append(os.Environ(), alone+"=1")
		if out, err := c.CombinedOutput(); err != nil || !bytes.Contains(out, []byte("refused after")) {
			t.Errorf("%v\n%s", err, out)
		}
		return
	}
	nb := newNotebook(t)
	nb.ok("import \"fmt\"\ntype before struct{ x int }\nfunc (b *before) Add() int { b.x++; return b.x }\nvar old fmt.Stringer\nb := before{41}")
	var text strings.Builder
	for i := range 200 {
		fmt.Fprintf(&text, "func (t T) M%d() int { return t.x }\n", i)
	}
	for i := range 1000 {
		r := nb.run(fmt.Sprintf("type T struct { x int; y [%d]byte }\n%sany(T{x: %d}).(interface{ M7() int }).M7()", i, text.String(), i), 0)
		if r.Err == nil {
			continue
		}
		if !strings.Contains(r.Err.Message, "cannot be declared") || !strings.Contains(r.Err.Hint, "Restart the kernel") {
			t.Fatal(r.Err)
		}
		t.Log("refused after", i)
		if got := nb.value("b.Add()"); got != "42" {
			t.Fatal(got)
		}
		if got := nb.value("T{x: 5}.M3()"); got != "5" {
			t.Fatal(got)
		}
		if r := nb.run("func() int { type U struct{ T }; return U{}.M4() }()", 0); r.Err == nil || !strings.Contains(r.Err.Message, "restart the kernel") {
			t.Fatal(r.Err)
		}
		if got := nb.value("b.Add() + T{x: 5}.M3()"); got != "48" {
			t.Fatal(got)
		}
		return
	}
	t.Error("never refused")
}
