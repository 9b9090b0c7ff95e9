//go:build proof

package equality_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/equality"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/equality/compiled"
)

// Programs made at random print on the interpreter what they print when compiled.
// SEED and PROGRAMS choose which and how many.
func TestRandomProgramsEqualCompiler(t *testing.T) {
	seed, count := number("SEED", 1), number("PROGRAMS", 20)
	var programs []*compiled.Program
	for i := range count {
		w := &writer{Rand: rand.New(rand.NewPCG(uint64(seed), uint64(i)))}
		p := &equality.Program{Name: fmt.Sprintf("seed_%d_%d", seed, i), Cells: []string{w.program()}}
		programs = append(programs, &compiled.Program{Name: "random/" + p.Name, Program: p})
	}
	if err := compiled.Build("../../..", t.TempDir(), programs); err != nil {
		t.Fatal(err)
	}
	for _, p := range programs {
		if p.Err != nil {
			t.Errorf("%s: %v\n%s", p.Name, p.Err, p.Cells[0])
			continue
		}
		p.Output, p.Failure = p.Run()
		output, failure := run(t, p.Program)
		if output != p.Output || !sameFailure(failure, p.Failure) {
			t.Errorf("%s\n%s\n--- interpreter\n%s%s\n--- compiled\n%s%s", p.Name, p.Cells[0], output, failure, p.Output, p.Failure)
		}
	}
}

func number(variable string, other int) int {
	if n, err := strconv.Atoi(os.Getenv(variable)); err == nil {
		return n
	}
	return other
}

// writer writes functions of the form func f0(a T, b T) (r T) whose body
// changes typed variables, and prints their results.
type writer struct {
	*rand.Rand
	strings.Builder
	funcs []string // result types by number
	loops int
}

var basics = []string{"int8", "int16", "int32", "int64", "int", "uint8", "uint16", "uint32", "uint64", "uint", "float32", "float64", "string", "bool"}

var integers = basics[:10]

func pick[T any](w *writer, list ...T) T { return list[w.IntN(len(list))] }

func (w *writer) program() string {
	fmt.Fprintln(w, "import \"fmt\"\ntype pair struct { x int; y string; z [2]uint8 }\nvar calls int")
	n := 4 + w.IntN(4)
	for range n {
		w.function()
	}
	for i, typ := range w.funcs {
		for range 3 {
			fmt.Fprintf(w, "func() { defer func() { if r := recover(); r != nil { fmt.Println(%d, r) } }(); fmt.Println(f%d(%s, %s), calls) }()\n",
				i, i, w.constant(typ), w.constant("int"))
		}
	}
	return w.String()
}

func (w *writer) function() {
	typ := pick(w, basics...)
	fmt.Fprintf(w, "func f%d(v_%s %s, n int) (r %s) {\n\tcalls++\n\tif calls > 300 { return v_%s }\n", len(w.funcs), typ, typ, typ, typ)
	for _, t := range basics {
		if t != typ {
			fmt.Fprintf(w, "\tvar v_%s %s = %s\n", t, t, w.constant(t))
		}
	}
	fmt.Fprintln(w, "\ts, m, p := []int{1, 2, 3}, map[string]int{}, pair{1, \"p\", [2]uint8{3, 4}}")
	if w.IntN(2) == 0 {
		fmt.Fprintf(w, "\tdefer func() { if e := recover(); e != nil { fmt.Print(e, \"; \"); r = %s } }()\n", w.expr(typ, 1))
	}
	w.block(3)
	fmt.Fprintf(w, "\tfmt.Print(s, m, p, \" \")\n\treturn %s\n}\n", w.expr(typ, 3))
	w.funcs = append(w.funcs, typ)
}

func (w *writer) block(depth int) {
	for range 2 + w.IntN(3) {
		w.statement(depth)
	}
}

func (w *writer) statement(depth int) {
	t := pick(w, basics...)
	it := pick(w, integers...)
	kind := w.IntN(16)
	if depth == 0 {
		kind %= 8
	}
	switch kind {
	case 0, 1, 2:
		fmt.Fprintf(w, "v_%s = %s\n", t, w.expr(t, 3))
	case 3:
		fmt.Fprintf(w, "v_%s, p.x = %s, %s\n", t, w.expr(t, 2), w.expr("int", 2))
	case 4:
		fmt.Fprintf(w, "v_%s %s %s\n", it, pick(w, "+=", "-=", "*=", "/=", "%=", "&=", "|=", "^=", "&^="), w.expr(it, 2))
	case 5:
		fmt.Fprintf(w, "v_%s %s (%s)\n", it, pick(w, "<<=", ">>="), w.expr(pick(w, integers...), 1))
	case 6:
		fmt.Fprintf(w, "s[v_%s%%4] += %s\n", pick(w, "uint8", "uint", "int"), w.expr("int", 2))
	case 7:
		fmt.Fprintln(w, pick(w, "s = append(s[:1:2], s...)", "m[v_string]++", "{ q := p; q.z[v_uint8&1]++; p.z[0] = q.z[1] }", "p.x += len(s) + cap(s[:0:len(s)/2])", "copy(s, s[1:])"))
	case 8, 9:
		fmt.Fprintf(w, "if %s {\n", w.expr("bool", 2))
		w.block(depth - 1)
		fmt.Fprintln(w, "} else {")
		w.block(depth - 1)
		fmt.Fprintln(w, "}")
	case 10, 11:
		w.loops++
		l := w.loops
		fmt.Fprintf(w, "loop%d: for i%d := range %d {\nif i%d == v_int { continue loop%d }\nif %s { break loop%d }\n", l, l, 2+w.IntN(3), l, l, w.expr("bool", 1), l)
		w.block(depth - 1)
		fmt.Fprintln(w, "}")
	case 12:
		fmt.Fprintf(w, "switch x := %s; {\ncase x > %s: v_%s = x; fallthrough\ncase x == 0:\n", w.expr(it, 2), w.constant(it), it)
		w.block(depth - 1)
		fmt.Fprintln(w, "default:")
		w.block(depth - 1)
		fmt.Fprintln(w, "}")
	case 13:
		fmt.Fprintf(w, "func(v_%s %s) {\n", t, t)
		w.block(depth - 1)
		fmt.Fprintf(w, "}(%s)\n", w.expr(t, 2))
	case 14:
		fmt.Fprintf(w, "for i, c := range v_string { v_int32 += c; p.x = i; if i > 3 { break } }\n")
	case 15:
		it = pick(w, "int8", "uint16", "uint64")
		fmt.Fprintf(w, "switch x := any(%s).(type) { case int, string: fmt.Print(x, \" \"); case %s: v_%s = x; default: fmt.Printf(\"%%T \", x) }\n", w.expr(t, 2), it, it)
	}
}

func (w *writer) constant(t string) string {
	switch {
	case t == "string":
		return pick(w, `"a"`, `""`, `"héß"`, `"\xffz"`)
	case t == "bool":
		return pick(w, "true", "false")
	case strings.HasPrefix(t, "float"):
		return pick(w, "0.5", "-3.25", "1e10", "0", "7")
	case t == "int8":
		return pick(w, "-128", "127", "-1", "0", "3")
	case strings.HasPrefix(t, "u"):
		return pick(w, "255", "0", "1", "17", "128")
	}
	return pick(w, "-32768", "32767", "-1", "0", "1", "5")
}

// expr writes an expression of a type; it always has a variable in it, so that
// the compiler does not compute it.
func (w *writer) expr(t string, depth int) string {
	if depth == 0 {
		return "v_" + t
	}
	sub := func(t string) string { return w.expr(t, depth-1) }
	if w.IntN(8) == 0 {
		for i, typ := range w.funcs {
			if typ == t && w.IntN(2) == 0 {
				return fmt.Sprintf("f%d(%s, %s)", i, sub(t), sub("int"))
			}
		}
	}
	switch {
	case t == "string":
		return pick(w, sub(t)+" + "+w.constant(t), "fmt.Sprint("+sub(pick(w, basics...))+")", "string([]byte{"+sub("uint8")+"})", "v_string[:min(len(v_string), "+strconv.Itoa(w.IntN(3))+")]", "max(v_string, "+w.constant(t)+")")
	case t == "bool":
		u := pick(w, basics[:13]...)
		return pick(w, "("+sub(u)+pick(w, " < ", " <= ", " == ", " != ", " > ", " >= ")+sub(u)+")", "("+sub(t)+pick(w, " && ", " || ")+sub(t)+")", "!"+sub(t))
	case strings.HasPrefix(t, "float"):
		return pick(w, t+"("+sub(pick(w, integers...))+")", "("+sub(t)+pick(w, " + ", " - ", " * ", " / ")+w.constant2(t)+")", "-"+"("+sub(t)+")", "max("+sub(t)+", v_"+t+")")
	}
	return pick(w, "("+sub(t)+pick(w, " + ", " - ", " * ", " & ", " | ", " ^ ", " &^ ")+sub(t)+")",
		"("+sub(t)+pick(w, " / ", " % ")+"("+sub(t)+" | 1))", "("+sub(t)+pick(w, " << ", " >> ")+"("+sub(pick(w, "uint8", "uint16", "uint64", "uint"))+" % 80))",
		t+"("+sub(pick(w, integers...))+")", "-("+sub(t)+")", "^("+sub(t)+")", "min("+sub(t)+", "+sub(t)+")", "("+sub(t)+" + "+w.constant(t)+")",
		t+"(len("+sub("string")+"))")
}

// constant2 is a constant that may divide.
func (w *writer) constant2(t string) string { return t + "(" + pick(w, "2.5", "-0.1", "3") + ")" }
