package equality_test

import (
	"fmt"
	"go/types"
	"math/rand/v2"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
)

// inventor writes cells at random that go with a notebook as it is: they use
// its live names, and declare few names again and again, as the same and as
// something else. Not every cell compiles.
type inventor struct {
	*rand.Rand
	strings.Builder
	interpreter *interpreter.Interpreter
	live        []interpreter.Symbol
	past        []string // what cells were made of
}

var (
	plainNames = []string{"a", "b", "n", "x", "total", "err", "list"}
	funcNames  = []string{"f", "g", "twice", "apply"}
	typeNames  = []string{"acc", "node", "level"}
	constNames = []string{"low", "mid", "top"}
	plainTypes = []string{"int", "int", "int", "float64", "string", "bool", "[]int", "map[string]int", "any", "error",
		"func(int) int", "func() int", "*int", "[3]string", "struct{ p, q int }", "rune", "[]string"}
)

func one[T any](w *inventor, list ...T) T { return list[w.IntN(len(list))] }

// cell returns the next cell.
func (w *inventor) cell(first bool) string {
	w.Reset()
	w.live = w.interpreter.Symbols()
	if first {
		return "import (\n\t\"errors\"\n\t\"fmt\"\n\t\"os\"\n\t\"sort\"\n\t\"strconv\"\n\t\"strings\"\n\t\"sync\"\n)\n"
	}
	switch w.IntN(40) {
	case 0:
		return w.pasted()
	case 1:
		return w.ordered()
	}
	for range 1 + w.IntN(4) {
		if len(w.past) > 0 && w.IntN(6) == 0 { // once more, as it was
			w.WriteString(one(w, w.past...))
			continue
		}
		from := w.Len()
		w.item()
		w.past = append(w.past, w.String()[from:])
	}
	w.last()
	return w.String()
}

func (w *inventor) line(form string, args ...any) { fmt.Fprintf(w, form+"\n", args...) }

func (w *inventor) item() {
	switch w.IntN(34) {
	case 0, 1, 2:
		w.line("%s := %s", one(w, plainNames...), w.expr(w.anyType(), 2))
	case 3:
		v, u := one(w, plainNames...), one(w, plainNames...)
		w.line("%s, %s := %s, %s", v, u, w.expr(w.anyType(), 1), w.expr(w.anyType(), 1))
	case 4:
		w.line("%s, err := strconv.Atoi(%q)", one(w, "n", "x", "a"), one(w, "12", "-3", "zz"))
	case 5:
		t := w.anyType()
		w.line("var %s %s%s", one(w, plainNames...), t, one(w, "", " = "+w.expr(t, 2)))
	case 6:
		t := w.anyType()
		w.line("var (\n\t%s = %s\n\t%s, %s %s\n)", one(w, "a", "x"), w.expr(w.anyType(), 1), one(w, "b", "n"), one(w, "total", "list"), t)
	case 7, 8:
		if v, t := w.variable(""); v != "" {
			w.line("%s = %s", v, w.expr(t, 2))
		}
	case 9:
		if v, _ := w.variable("int"); v != "" {
			w.line(one(w, "%s++", "%s += 3", "%[1]s *= %[1]s %% 7", "%s--; _ = 0"), v)
		}
	case 10:
		w.constants()
	case 11, 12, 13:
		w.function()
	case 14, 15:
		w.method()
	case 16, 17:
		w.typeDecl()
	case 18:
		w.generic()
	case 19:
		w.closure()
	case 20:
		w.loop()
	case 21:
		w.goroutines()
	case 22:
		w.line("defer fmt.Println(\"deferred\", %s)", w.printable())
	case 23:
		w.line("defer func() { if r := recover(); r != nil { fmt.Println(\"recovered\", r) } }()")
	case 24:
		w.line(one(w, "import \"strings\"", "import str \"strings\"", "import \"fmt\"", "import . \"strings\"", "import \"math\"", "import (\n\t\"os\"\n\tm \"math\"\n)", "import _ \"embed\""))
	case 25:
		w.shadows()
	case 26:
		w.switches()
	case 27:
		w.unused()
	case 28:
		w.line("fmt.Println(%s, %s)", w.printable(), w.printable())
	case 29:
		w.line("// a note\nfmt.Printf(\"%%v %%v\\n\", %s, %s) // behind", w.printable(), w.printable())
	case 30:
		w.selfReference()
	case 31:
		w.line("func init() { fmt.Println(\"init\", %s) }", w.printable())
	case 32:
		w.line("if %s { fmt.Println(\"left\"); return }", w.expr("bool", 1))
	case 33:
		w.rare()
	}
}

// last may end the cell in a value.
func (w *inventor) last() {
	end := one(w, "", "", "", ";")
	switch w.IntN(12) {
	case 0, 1:
		w.line("%s%s", w.printable(), end)
	case 2:
		w.line("%s, %s%s", w.printable(), w.printable(), end)
	case 3:
		w.line("strconv.Atoi(%q)%s", one(w, "7", "q"), end)
	case 4:
		if v, _ := w.variable("error"); v != "" {
			w.line("%s, %s%s", w.printable(), v, end)
		}
	case 5:
		w.line("float64(%s)%s", w.expr("int", 1), end)
	case 6:
		w.line("len(%s)%s", w.expr("string", 1), end)
	case 7:
		w.line("fmt.Println(%s)%s", w.printable(), end)
	case 8:
		w.line("strings.ToUpper(%s) + \"!\"%s", w.expr("string", 1), end)
	}
}

// variable returns a live variable of a type, or of any, and its type.
func (w *inventor) variable(of string) (name, typ string) {
	var names, typs []string
	for _, s := range w.live {
		v, ok := s.Object.(*types.Var)
		if !ok {
			continue
		}
		if t := typeString(v.Type()); of == "" || t == of {
			names, typs = append(names, s.Name), append(typs, t)
		}
	}
	if len(names) == 0 {
		return "", ""
	}
	i := w.IntN(len(names))
	return names[i], typs[i]
}

func typeString(t types.Type) string {
	return types.TypeString(t, func(p *types.Package) string {
		if p.Path() == "main" {
			return ""
		}
		return p.Name()
	})
}

// anyType is a type that the cell can name.
func (w *inventor) anyType() string {
	list := slices.Clone(plainTypes)
	for _, s := range w.live {
		t, ok := s.Object.(*types.TypeName)
		if !ok {
			continue
		}
		name := s.Name
		if n, ok := types.Unalias(t.Type()).(*types.Named); ok && n.TypeParams().Len() > 0 {
			name += one(w, "[int]", "[string]")
		}
		list = append(list, name, name, "*"+name, "[]"+name)
	}
	return one(w, list...)
}

// printable is an expression whose value prints the same everywhere.
func (w *inventor) printable() string {
	for range 6 {
		if v, t := w.variable(""); v != "" && !strings.ContainsAny(t, "*") && !strings.Contains(t, "func") && !strings.Contains(t, "any") && !w.hasPointer(t) {
			return v
		}
	}
	return w.expr(one(w, "int", "string", "bool"), 1)
}

// hasPointer reports whether values of a live type print addresses, or may.
func (w *inventor) hasPointer(t string) bool {
	for _, name := range append(typeNames, "box") {
		if strings.Contains(t, name) {
			return name != "level"
		}
	}
	return false
}

func (w *inventor) expr(t string, depth int) string {
	if v, _ := w.variable(t); v != "" && w.IntN(2) == 0 {
		return v
	}
	if depth > 0 && w.IntN(3) == 0 {
		if call := w.call(t, depth-1); call != "" {
			return call
		}
	}
	if depth > 0 {
		switch {
		case t == "int" && w.IntN(2) == 0:
			return fmt.Sprintf("(%s %s %s)", w.expr(t, depth-1), one(w, "+", "-", "*"), w.expr(t, depth-1))
		case t == "string" && w.IntN(3) == 0:
			return one(w, "fmt.Sprint("+w.expr("int", depth-1)+")", "strings.Repeat("+w.expr("string", depth-1)+", 2)")
		case t == "bool":
			return fmt.Sprintf("%s %s %s", w.expr("int", depth-1), one(w, "<", "==", ">="), w.expr("int", depth-1))
		}
	}
	switch t {
	case "int":
		return one(w, "1", "2", "7", "len(\"four\")", "'a' - 90", "1 << 3")
	case "float64":
		return one(w, "0.5", "2", "1e3", "float64(3)")
	case "string":
		return one(w, `"s"`, `"täxt"`, "`raw`", `strconv.Itoa(5)`)
	case "bool":
		return one(w, "true", "false")
	case "rune":
		return "'ä'"
	case "[]int":
		return one(w, "[]int{3, 1, 2}", "make([]int, 2)", "append([]int(nil), "+w.expr("int", 0)+")", "nil")
	case "[]string":
		return one(w, `[]string{"b", "a"}`, `strings.Fields("x y")`)
	case "map[string]int":
		return one(w, `map[string]int{"k": 1, "j": 2}`, "make(map[string]int)")
	case "any":
		return one(w, "any(3)", "any(\"three\")", "any([]int{3})")
	case "error":
		return one(w, `errors.New("bad")`, "error(nil)", `fmt.Errorf("n %d", 3)`)
	case "func(int) int":
		return "func(i int) int { return i + " + w.expr("int", 1) + " }"
	case "func() int":
		return "func() int { return " + w.expr("int", 1) + " }"
	case "*int":
		return "new(int)"
	case "[3]string":
		return `[3]string{"p", 2: "q"}`
	case "struct{ p, q int }", "struct{p int; q int}":
		return "struct{ p, q int }{1, 2}"
	case "level":
		return "level(" + w.expr("int", 0) + ")"
	}
	return "*new(" + t + ")"
}

// call is a call of a live function or method with one result of a type.
func (w *inventor) call(t string, depth int) string {
	var calls []string
	for _, s := range w.live {
		switch o := s.Object.(type) {
		case *types.Func:
			sig := o.Signature()
			if sig.TypeParams().Len() == 0 && sig.Results().Len() == 1 && typeString(sig.Results().At(0).Type()) == t {
				calls = append(calls, s.Name+"("+w.args(sig, depth)+")")
			}
		case *types.Var:
			set := types.NewMethodSet(types.NewPointer(o.Type()))
			for m := range set.Methods() {
				sig, ok := m.Obj().Type().(*types.Signature)
				if ok && m.Obj().Pkg() != nil && m.Obj().Pkg().Path() == "main" && sig.Results().Len() == 1 && typeString(sig.Results().At(0).Type()) == t {
					calls = append(calls, s.Name+"."+m.Obj().Name()+"("+w.args(sig, depth)+")")
				}
			}
		}
	}
	if len(calls) == 0 {
		return ""
	}
	return one(w, calls...)
}

func (w *inventor) args(sig *types.Signature, depth int) string {
	var list []string
	for p := range sig.Params().Variables() {
		t := typeString(p.Type())
		if sig.Variadic() && len(list) == sig.Params().Len()-1 {
			t = strings.TrimPrefix(t, "[]")
		}
		list = append(list, w.expr(t, depth))
	}
	return strings.Join(list, ", ")
}

func (w *inventor) constants() {
	c := one(w, constNames...)
	switch w.IntN(4) {
	case 0:
		w.line("const %s = %s", c, one(w, "3", `"c"`, "2.5", "1 << 4"))
	case 1:
		w.line("const (\n\tlow = iota * 2\n\tmid\n\ttop // the last\n)")
	case 2:
		w.line("const (\n\t%s level = iota + 1\n\t_\n\t%s2\n)", c, c)
	case 3:
		w.line("const %s int = %d", c, w.IntN(9))
	}
}

func (w *inventor) function() {
	name := one(w, funcNames...)
	switch w.IntN(10) {
	case 9:
		w.line("func %s(i int) int { fmt.Println(recover()); return i }\ndefer %s(1)", name, name)
	case 0, 1:
		w.line("func %s(i int) int { if i <= 0 { return 1 }; return i + %s }", name, w.expr("int", 2))
	case 2:
		w.line("func %s(i int) int {\n\tif i <= 0 || i > 50 {\n\t\treturn %s\n\t}\n\treturn 1 + %s(i-1)\n}", name, w.expr("int", 1), name)
	case 3:
		w.line("func %s(s string, more ...int) string { return fmt.Sprint(s, len(more), %s) }", name, w.printable())
	case 4:
		w.line("func %s() (int, error) { return %s, %s }", name, w.expr("int", 1), w.expr("error", 0))
	case 5:
		w.line("func %s(i int) (r int) {\n\tdefer func() { if e := recover(); e != nil { r = -1 } }()\n\treturn 10 / (i %% 3)\n}", name)
	case 6:
		t := w.anyType()
		w.line("// %s does little.\nfunc %s(v %s) %s { return v }", name, name, t, t)
	case 7:
		w.line("func %s(fn func(int) int) int { return fn(%s) }", name, w.expr("int", 1))
	case 8:
		w.line("func %s() { fmt.Println(\"%s\", %s) }\n%s()", name, name, w.printable(), name)
	}
}

func (w *inventor) typeDecl() {
	t := one(w, typeNames...)
	if t == "level" {
		w.line(one(w, "type level int", "type level int", "type level = int", "type level float64"))
		return
	}
	switch w.IntN(7) {
	case 0, 1:
		w.line("type %s struct{ v int }", t)
	case 2:
		w.line("type %s struct {\n\tv    int // of it\n\tname string `json:\"name\"`\n}", t)
	case 3:
		w.line("type %s struct {\n\t%s\n\tmore []int\n}", t, one(w, slices.DeleteFunc(slices.Clone(typeNames), func(n string) bool { return n == t })...))
	case 4:
		w.line("type %s struct{ v int; next *%s }", t, t)
	case 5:
		w.line("type (\n\t%s struct{ v, w int }\n\tshower interface{ show() string }\n)", t)
	case 6:
		w.line("type %s map[string]int", t)
	}
}

func (w *inventor) method() {
	t := one(w, typeNames...)
	switch w.IntN(9) {
	case 7:
		w.line("func (r %s) get() (int, string) { return %s, \"two\" }", t, w.expr("int", 1))
	case 8:
		w.line("func (r *%s) show() string { return fmt.Sprint(r == nil, %s) }", t, w.expr("int", 1))
	case 0:
		w.line("func (r %s) get() int { return %s }", t, w.expr("int", 1))
	case 1:
		w.line("func (r %s) add(i int) int { return %s + i }", t, w.expr("int", 1))
	case 2:
		w.line("func (r *%s) add(i int) int { return i * 2 }", t)
	case 3:
		w.line("func (r %s) show() string { return \"%s \" + %s }", t, t, w.expr("string", 1))
	case 4:
		w.line("func (r %s) String() string { return \"%s!\" }", t, t)
	case 5:
		w.line("func (b box[T]) put(v T) box[T] { b.v = v; return b }")
	case 6:
		w.line("func (b box[T]) size() int { return %s }", w.expr("int", 1))
	}
}

func (w *inventor) generic() {
	switch w.IntN(6) {
	case 0:
		w.line("type box[T any] struct{ v T }")
	case 1:
		w.line("func mapped[T, U any](list []T, fn func(T) U) []U {\n\tvar out []U\n\tfor _, v := range list { out = append(out, fn(v)) }\n\treturn out\n}")
	case 2:
		w.line("func larger[T int | float64 | string](p, q T) T { if p > q { return p }; return q }\nfmt.Println(larger(%s, %s))", w.expr("int", 1), w.expr("int", 1))
	case 3:
		w.line("func larger[N ~int | ~string](p, q N) N { return p + q }")
	case 4:
		w.line("fmt.Println(mapped([]int{1, 2}, func(i int) string { return fmt.Sprint(i, %s) }))", w.expr("int", 1))
	case 5:
		w.line("%s := box[%s]{}", one(w, plainNames...), one(w, "int", "string"))
	}
}

func (w *inventor) closure() {
	switch w.IntN(4) {
	case 0:
		if v, _ := w.variable("int"); v != "" {
			w.line("next := func() int { %s++; return %s }\nnext()", v, v)
		}
	case 1:
		w.line("next := func() int { return %s }", w.expr("int", 2))
	case 2:
		w.line("%s := func() func() int { i := %s; return func() int { i += 2; return i } }()", one(w, plainNames...), w.expr("int", 1))
	case 3:
		w.line("saved := %s", one(w, "f", "g", "twice", "acc{}.get", "next", "larger[int]"))
	}
}

func (w *inventor) loop() {
	switch w.IntN(6) {
	case 0:
		w.line("for i := 0; i < 3; i++ { fmt.Print(i, %s, \" \") }\nfmt.Println()", w.printable())
	case 1:
		w.line("outer:\nfor i := range 4 {\n\tfor j := range 4 {\n\t\tif j == 2 { continue outer }\n\t\tif i == 2 { break outer }\n\t\tfmt.Print(i, j, \" \")\n\t}\n}")
	case 2:
		w.line("for i, s := range %s { fmt.Println(i, s) }", w.expr("[]string", 1))
	case 3:
		w.line("for i := range func(yield func(int) bool) { _ = yield(1) && yield(%s) } { fmt.Println(\"got\", i) }", w.expr("int", 1))
	case 4:
		if v, _ := w.variable("int"); v != "" {
			w.line("for %s = range 3 { defer fmt.Println(\"late\", %s) }", v, v)
		}
	case 5:
		w.line("{\n\ti := 0\nagain:\n\ti++\n\tif i < 3 { goto again }\n\tfmt.Println(\"i\", i)\n}")
	}
}

func (w *inventor) goroutines() {
	switch w.IntN(3) {
	case 0:
		w.line("{\n\tvar wg sync.WaitGroup\n\tvar mu sync.Mutex\n\tsum := 0\n\tfor i := range 5 { wg.Go(func() { mu.Lock(); defer mu.Unlock(); sum += i * %s }) }\n\twg.Wait()\n\tfmt.Println(\"sum\", sum)\n}", w.expr("int", 0))
	case 1:
		w.line("ch := make(chan int, 3)\ngo func() { for i := range 3 { ch <- i + %s }; close(ch) }()\nfor v := range ch { fmt.Print(v, \" \") }", w.expr("int", 0))
	case 2:
		w.line("done := make(chan string)\ngo func() { done <- %s }()\nselect {\ncase s := <-done: fmt.Println(\"done\", s)\n}", w.expr("string", 1))
	}
}

func (w *inventor) shadows() {
	v := one(w, plainNames...)
	switch w.IntN(7) {
	case 0:
		w.line("{\n\t%s := \"inner\"\n\tfmt.Println(%s)\n}", v, v)
	case 1:
		w.line("func() { fmt := \"hidden\"; _ = fmt }()")
	case 2:
		w.line("func g(strings []string) int { return len(strings) }")
	case 3:
		w.line("func twice(%s int) int { x_2 := %s * 2; return x_2 }", v, v)
	case 4:
		w.line("if %s := 3; %s > 2 { fmt.Println(%s) }", v, v, v)
	case 5:
		w.line("%s := %s", one(w, "max", "strings", "cell1", "os", "f", "low", "acc"), w.expr("int", 1))
	case 6:
		w.line("apply := func(notebook, errors int) int { return notebook - errors }\nfmt.Println(apply(5, 3))")
	}
}

func (w *inventor) switches() {
	switch w.IntN(4) {
	case 0:
		w.line("switch v := any(%s).(type) {\ncase int:\n\tfmt.Println(\"int\", v)\ncase string:\n\tfmt.Println(\"text\", v)\ndefault:\n\tfmt.Println(\"other\")\n}", w.printable())
	case 1:
		w.line("switch %s {\ncase 1, 2: fmt.Println(\"few\"); fallthrough\ncase 3: fmt.Println(\"three\")\ndefault: fmt.Println(\"many\")\n}", w.expr("int", 1))
	case 2:
		w.line("switch v := any(%s).(type) { case int: }", w.expr("int", 1))
	case 3:
		w.line("if s, ok := any(%s).(interface{ show() string }); ok { fmt.Println(s.show()) } else { fmt.Println(\"none\") }", w.printable())
	}
}

func (w *inventor) unused() {
	w.line(one(w,
		"for i := range 2 { k := i }", "func g() { var never int; u, v := 1, 2; _ = u }",
		"unused:\nfor range 1 { }", "if z := 3; true { y := 4 }",
		"var _ = fmt.Sprint(1)", "var _ fmt.Stringer = (*strings.Builder)(nil)", "_, _ = 1, \"two\"", "func _() { nowhere := 1 }", "const _ = 5",
		"func() { for i := 0; i < 2; i++ { sort.Ints(nil); w := i } }()"))
}

func (w *inventor) selfReference() {
	switch w.IntN(3) {
	case 0:
		w.line("total := acc{total.add(3)}")
	case 1:
		w.line("list := append(list, %s)", w.expr("int", 1))
	case 2:
		w.line("x := x + %s", one(w, "1", "\"s\"", "0.5"))
	}
}

func (w *inventor) rare() {
	w.line(one(w,
		"order := struct{ p, q int }{3, 4}\norder.p++", "fmt.Fprintln(os.Stdout, \"to\", \"standard output\")",
		"func() { defer func() { fmt.Println(recover()) }(); var s []int; _ = s[3] }()",
		"keys := []string{}\nfor k := range map[string]int{\"q\": 1, \"p\": 2} { keys = append(keys, k) }\nsort.Strings(keys)\nfmt.Println(keys)",
		"fmt.Println(next())", "fmt.Println(saved)", "if saved2, ok := any(saved).(func(int) int); ok { fmt.Println(saved2(2)) }",
		"import \"encoding/binary\"\norder := binary.LittleEndian", "panic(\"enough\")", "type local = struct{ left, right int }\npair := local{1, 2}",
		"var shown shower = acc{}\nfmt.Println(shown.show())", "func main() { fmt.Println(\"main\") }",
		"f, g := twice(2), len(\"x\")", "fmt.Println(low, mid, top)", "var grid [2][3]int\ngrid[1][2] = 5\nfmt.Println(grid)"))
}

// ordered is a cell of declarations only, initialised as a package is.
func (w *inventor) ordered() string {
	w.line("var a = b + 1\nvar b = f0()\nvar _ = fmt.Sprint(a)\nfunc f0() int { return n0 * 2 }\nvar n0 int = %d\nvar total, x = two0()\nfunc two0() (int, string) { return b, \"two\" }", w.IntN(9))
	return w.String()
}

// pasted is a complete program.
func (w *inventor) pasted() string {
	w.line("package main\n\nimport \"fmt\"\n\ntype acc struct{ v int }\n\nvar n = start()\n\nfunc start() int { return %d }\n\nfunc init() { n++ }\n\nfunc main() {\n\tfmt.Println(\"pasted\", n, acc{n}.v)\n}", w.IntN(9))
	return w.String()
}
