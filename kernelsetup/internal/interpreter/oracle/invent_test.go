package oracle

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
)

// A slot is one cell of an invented notebook. Its text has versions: each
// prints other numbers, so that whatever stays old shows.
type slot struct {
	kind kind
	n    int // its names end in it
	// on are earlier slots that its text mentions.
	on []*slot
	// version and shape of the text as it stands in the notebook.
	version, shape int
	// printer is, for a struct type, the slot of its method String.
	printer *slot
}

type kind int

const (
	constant kind = iota
	variable
	structType
	stringMethod
	function
	genericFunction
	genericType
	literal
	functionValue
	methodValue
	interfaceType
	inInterface
	inAny
	embedding
	generic
	maker
	made
	table
	server
	importName
	aliasType
	taking
	constraint
	structVariable
	captured
	holder
	wrapped
	pair
	kinds
)

// needs is the kind of slot that a kind cannot do without, with that slot
// first in on.
var needs = map[kind][]kind{
	stringMethod: {structType}, functionValue: {function, genericFunction, taking}, methodValue: {structType, genericType},
	inInterface: {interfaceType}, inAny: {structType, genericType}, embedding: {structType}, generic: {genericType},
	made: {maker}, aliasType: {structType}, taking: {structType}, constraint: {structType},
	structVariable: {structType}, captured: {structType, genericType}, wrapped: {interfaceType},
}

// invent makes up a notebook of some cells.
func invent(r *rand.Rand) []*slot {
	var list []*slot
	want := 4 + r.IntN(8)
	for tries := 0; len(list) < want && tries < 200; tries++ {
		k := kind(r.IntN(int(kinds)))
		if len(list) < 2 {
			k = []kind{constant, variable, structType, function, genericType, genericFunction}[r.IntN(6)]
		}
		s := &slot{kind: k, n: len(list) + 1, version: 1, shape: r.IntN(len(forms[k]))}
		if k == server && (r.IntN(4) > 0 || slices.ContainsFunc(list, func(o *slot) bool { return o.kind == server })) {
			continue
		}
		if of := needs[k]; of != nil {
			first := pick(r, list, func(o *slot) bool { return slices.Contains(of, o.kind) })
			if first == nil {
				continue
			}
			if k == stringMethod && slices.ContainsFunc(list, func(o *slot) bool { return o.kind == stringMethod && o.on[0] == first }) {
				continue
			}
			s.on = append(s.on, first)
			if k == stringMethod {
				first.printer = s
			}
		}
		if k == inInterface || k == wrapped { // of a type that has the method
			second := pick(r, list, func(o *slot) bool { return o.kind == structType || o.kind == genericType })
			if second == nil {
				continue
			}
			s.on = append(s.on, second)
		}
		for range r.IntN(4) {
			if o := pick(r, list, func(o *slot) bool {
				return o.call() != "" && !slices.Contains(s.on, o) && (k != stringMethod || !o.rests(s.on[0]))
			}); o != nil && s.mentions() {
				s.on = append(s.on, o)
			}
		}
		list = append(list, s)
	}
	return list
}

func pick(r *rand.Rand, list []*slot, ok func(*slot) bool) *slot {
	var fit []*slot
	for _, o := range list {
		if ok(o) {
			fit = append(fit, o)
		}
	}
	if len(fit) == 0 {
		return nil
	}
	return fit[r.IntN(len(fit))]
}

// mentions reports whether the text of the kind mentions any earlier slots.
func (s *slot) mentions() bool {
	switch s.kind {
	case constant, importName, functionValue, methodValue, made, aliasType, interfaceType, constraint, structVariable:
		return false
	}
	return true
}

// own is the name that the slot declares.
func (s *slot) own() string {
	return fmt.Sprintf("%s%d", [kinds]string{constant: "K", variable: "v", structType: "T", stringMethod: "T", function: "f", genericFunction: "G",
		genericType: "S", literal: "c", functionValue: "h", methodValue: "m", interfaceType: "I", inInterface: "i", inAny: "a", embedding: "E",
		generic: "s", maker: "mk", made: "k", table: "t", server: "ans", importName: "imp", aliasType: "A", taking: "use", constraint: "Con",
		structVariable: "x", captured: "cap", holder: "o", wrapped: "w", pair: "p"}[s.kind], s.n)
}

// call is an expression whose value tells about the slot, as code in other
// slots mentions it; "" for none.
func (s *slot) call() string {
	n := s.own()
	switch s.kind {
	case constant, variable:
		return n
	case structType:
		return n + "{}.M()"
	case function, literal, maker:
		if s.kind == maker {
			return n + "()()"
		}
		return n + "()"
	case genericFunction:
		return n + "(1)"
	case genericType:
		return n + "[int]{}.M()"
	case inInterface:
		return n + ".M()"
	case embedding:
		return n + "{}.Own()"
	case generic:
		return n + ".M()"
	case made:
		return n + "()"
	case table:
		return n + `["a"]()`
	case importName:
		return n + ".RuneLen('é')"
	case taking:
		return n + "(" + s.on[0].own() + "{})"
	case constraint:
		return n + "(" + s.on[0].own() + "{})"
	case structVariable:
		return n + [...]string{"", "", "[0]", `["a"]`}[s.shape] + ".M()"
	case captured, pair:
		return n + "()"
	case holder:
		return n + ".F()"
	case wrapped:
		return n + ".M()"
	}
	return ""
}

// probes are the expressions by which two notebooks are compared.
func (s *slot) probes() []string {
	n := s.own()
	switch s.kind {
	case stringMethod:
		t := s.on[0].own()
		return []string{"fmt.Sprint(" + t + "{})", "fmt.Sprint(&" + t + "{})", "fmt.Sprint([]" + t + "{{}})"}
	case variable:
		return []string{"fmt.Sprint(" + n + ")", "fmt.Sprintf(\"%T\", " + n + ")"}
	case structType:
		return []string{s.call(), "fmt.Sprint(" + n + "{A: 1})", fmt.Sprintf("func() bool { _, ok := any(&%s{}).(interface{ Other() string }); return ok }()", n)}
	case genericFunction:
		return []string{n + "(1)", n + `("text")`, n + "(2.5)"}
	case genericType:
		return []string{n + "[int]{}.M()", n + "[string]{}.M()", fmt.Sprintf("func() bool { _, ok := any(%s[int]{}).(interface{ Get() int }); return ok }()", n)}
	case functionValue:
		switch s.on[0].kind {
		case function:
			return []string{n + "()"}
		case genericFunction:
			return []string{n + "(3)"}
		}
		return []string{n + "(" + s.on[0].on[0].own() + "{})"}
	case methodValue:
		return []string{n + "()"}
	case inAny:
		if s.on[0].kind == genericType {
			return []string{fmt.Sprintf("func() bool { _, ok := %s.(%s[int]); return ok }()", n, s.on[0].own()), "fmt.Sprint(" + n + ")"}
		}
		return []string{fmt.Sprintf("func() bool { _, ok := %s.(%s); return ok }()", n, s.on[0].own()), "fmt.Sprint(" + n + ")",
			fmt.Sprintf("func() bool { _, ok := %s.(fmt.Stringer); return ok }()", n)}
	case inInterface:
		return []string{n + ".M()", "fmt.Sprint(" + n + ")"}
	case generic:
		return []string{n + ".M()", "fmt.Sprint(" + n + ")"}
	case server:
		return []string{fmt.Sprintf("func() string { ask%d <- 1; return <-ans%d }()", s.n, s.n)}
	case interfaceType:
		return []string{fmt.Sprintf("fmt.Sprintf(\"%%T\", *new(%s))", n)}
	case aliasType:
		return []string{n + "{}.M()"}
	case embedding:
		t := s.on[0].own()
		return []string{n + "{}.Own()", fmt.Sprintf("func() (out string) { defer func() { recover() }(); e := %s{}; return fmt.Sprint(e.A, e.M(), e) }()", n), fmt.Sprintf("fmt.Sprintf(\"%%T\", %s{}.%s)", n, t)}
	}
	return []string{"fmt.Sprint(" + s.call() + ")"}
}

// number is what the version prints.
func (s *slot) number() int { return s.n*1000 + s.version }

// uses mentions all slots but the first ones that the text needs.
func (s *slot) uses() string {
	var b strings.Builder
	for _, o := range s.on[len(s.given()):] {
		b.WriteString(", " + o.call())
	}
	return b.String()
}

// given are the slots that the kind needs.
func (s *slot) given() []*slot {
	switch {
	case s.kind == inInterface || s.kind == wrapped:
		return s.on[:2]
	case needs[s.kind] != nil:
		return s.on[:1]
	}
	return nil
}

// value is a value of a slot's type.
func (s *slot) value(number int) string {
	if s.kind == genericType {
		return fmt.Sprintf("%s[int]{X: %d}", s.own(), number)
	}
	return fmt.Sprintf("%s{A: %d}", s.own(), number)
}

// text is the cell. In the forms, 1 is the slot's name, 2 what it prints, 3 its
// number, 4 the name of the slot that it needs, 5 what else it mentions.
func (s *slot) text() string {
	say := fmt.Sprintf("fmt.Sprint(%d%s)", s.number(), s.uses())
	on := ""
	if len(s.on) > 0 {
		on = s.on[0].own()
	}
	form := forms[s.kind][s.shape]
	switch s.kind {
	case methodValue, inAny, captured:
		on = s.on[0].value(s.number())
	case inInterface, wrapped:
		say = s.on[1].value(s.number())
	case functionValue:
		if s.on[0].kind == genericFunction {
			on += "[int]"
		}
	case server:
		return fmt.Sprintf(form, s.n, say)
	}
	return fmt.Sprintf(form, s.own(), say, s.number(), on, s.uses())
}

var forms = [kinds][]string{
	constant: {"const %[1]s = %[3]d", "const %[1]s = \"k%[3]d\"", "const %[1]s = %[3]d.5"},
	variable: {"%[1]s := %[3]d", "%[1]s := %[3]d.5", "%[1]s := \"v%[3]d\"", "var %[1]s = []int{%[3]d}", "%[1]s := map[string]int{\"x\": %[3]d}"},
	structType: {
		"type %[1]s struct{ A int }" + method,
		"type %[1]s struct{ A, B int }" + method,
		"type %[1]s struct {\n\tA int\n\tC string\n}" + method,
		"type %[1]s struct{ A float64 }" + method,
		"type %[1]s struct{ A int }" + method + "\nfunc (t *%[1]s) Other() string { return t.M() }",
	},
	stringMethod: {"func (t %[4]s) String() string { return %[2]s }", "func (t *%[4]s) String() string { return %[2]s }"},
	function: {
		"func %[1]s() string { return %[2]s }",
		"func %[1]s() []string { return []string{%[2]s} }",
		"func %[1]s() fmt.Stringer { return stringer(%[2]s) }",
	},
	genericFunction: {
		"func %[1]s[P any](x P) string { return fmt.Sprint(x, %[2]s) }",
		"func %[1]s[P any](x P) string {\n\ttwice := func(y P) []P { return []P{y, x} }\n\treturn fmt.Sprint(twice(x), %[2]s)\n}",
		"func %[1]s[P any](x P) []string { return []string{fmt.Sprint(x), %[2]s} }",
	},
	genericType: {
		"type %[1]s[P any] struct{ X P }" + genericMethod,
		"type %[1]s[P any] struct {\n\tX P\n\tY int\n}" + genericMethod,
		"type %[1]s[P any] struct{ X P }" + genericMethod + "\nfunc (t *%[1]s[P]) Set(x P) { t.X = x }",
		"type %[1]s[P any] struct{ X P }\nfunc (t %[1]s[P]) Get() P { return t.X }" + genericMethod,
	},
	literal: {
		"%[1]s := func() string { return %[2]s }",
		"var %[1]s func() string\n{\n\tn := 1\n\t%[1]s = func() string { return fmt.Sprint(n, %[2]s) }\n}",
	},
	functionValue: {"%[1]s := %[4]s"},
	methodValue:   {"%[1]s := %[4]s.M"},
	interfaceType: {"type %[1]s interface{ M() string }", "type %[1]s interface {\n\tM() string\n}", "type %[1]s interface{ interface{ M() string } }"},
	inInterface:   {"var %[1]s %[4]s = %[2]s", "%[1]s := %[4]s(%[2]s)"},
	inAny:         {"var %[1]s any = %[4]s", "%[1]s := any(%[4]s)"},
	embedding: {
		"type %[1]s struct{ %[4]s }\nfunc (e %[1]s) Own() string { return %[2]s }",
		"type %[1]s struct {\n\t%[4]s\n\tZ int\n}\nfunc (e %[1]s) Own() string { return fmt.Sprint(e.Z, %[2]s) }",
		"type %[1]s struct{ *%[4]s }\nfunc (e %[1]s) Own() string { return %[2]s }",
	},
	generic: {"%[1]s := %[4]s[int]{X: %[3]d}", "%[1]s := %[4]s[string]{X: \"%[3]d\"}", "%[1]s := &%[4]s[float64]{X: %[3]d}"},
	maker: {
		"func %[1]s() func() string { return func() string { return %[2]s } }",
		"func %[1]s() func() string {\n\tx := %[3]d\n\treturn func() string { return fmt.Sprint(x, %[2]s) }\n}",
	},
	made: {"%[1]s := %[4]s()"},
	table: {
		"%[1]s := map[string]func() string{\"a\": func() string { return %[2]s }}",
		"var %[1]s = map[any]func() string{\"a\": func() string { return %[2]s }}",
	},
	server: {
		"ask%[1]d, ans%[1]d := make(chan int), make(chan string)\n" + serve + "\t\t\tans <- %[2]s" + served,
		"ask%[1]d, ans%[1]d := make(chan int), make(chan string)\n" + serve + "\t\t\tans <- func() string { return %[2]s }()" + served,
	},
	structVariable: {"%[1]s := %[4]s{A: %[3]d}", "%[1]s := &%[4]s{A: %[3]d}", "%[1]s := []%[4]s{{A: %[3]d}}", "%[1]s := map[string]%[4]s{\"a\": {A: %[3]d}}"},
	captured: {
		"var %[1]s func() string\n{\n\tt := %[4]s\n\t%[1]s = func() string { return fmt.Sprint(t.M()%[5]s) }\n}",
		"var %[1]s func() string\n{\n\tvar t interface{ M() string } = %[4]s\n\t%[1]s = func() string { return fmt.Sprint(t.M()%[5]s) }\n}",
	},
	holder: {
		"%[1]s := struct{ F func() string }{func() string { return %[2]s }}",
		"%[1]s := &struct{ F func() any }{func() any { return %[2]s }}",
	},
	wrapped: {"%[1]s := struct{ %[4]s }{%[2]s}", "%[1]s := &struct{ %[4]s }{%[2]s}"},
	pair: {
		"const Z%[1]s = %[3]d\nfunc %[1]s() string { return fmt.Sprint(q%[1]s().n%[5]s, Z%[1]s) }\nfunc q%[1]s() (r u%[1]s) { r.n = Z%[1]s; return }\ntype u%[1]s struct{ n int }",
		"const Z%[1]s = \"z%[3]d\"\nfunc %[1]s() string { return fmt.Sprint(q%[1]s()%[5]s, Z%[1]s) }\nfunc q%[1]s() []string { return append([]string{}, Z%[1]s) }",
	},
	importName: {"import %[1]s \"unicode/utf8\"", "import %[1]s \"unicode/utf16\""},
	aliasType:  {"type %[1]s = %[4]s", "type %[1]s = struct{ %[4]s }"},
	taking: {
		"func %[1]s(t %[4]s) string { return fmt.Sprint(t, t.M(), %[2]s) }",
		"func %[1]s(t %[4]s) string { return fmt.Sprint(t.A, %[2]s) }",
	},
	constraint: {
		"type with%[1]s interface{ M() string }\nfunc %[1]s[P with%[1]s](p P) string { return fmt.Sprint(%[3]d, p.M()) }",
		"type with%[1]s interface {\n\tcomparable\n\tM() string\n}\nfunc %[1]s[P with%[1]s](p P) string { return fmt.Sprint(%[3]d, p == p, p.M()) }",
	},
}

const (
	method        = "\nfunc (t %[1]s) M() string { return fmt.Sprint(%[3]d, t.A%[5]s) }"
	genericMethod = "\nfunc (t %[1]s[P]) M() string { return fmt.Sprint(%[3]d, t.X%[5]s) }"
	serve         = "func work%[1]d(ask chan int, ans chan string) {\n\tfor {\n\t\tselect {\n\t\tcase <-ask:\n"
	served        = "\n\t\tcase <-quit:\n\t\t\treturn\n\t\t}\n\t}\n}\ngo work%[1]d(ask%[1]d, ans%[1]d)\nask%[1]d <- 1\n_ = <-ans%[1]d"
)

// rests reports whether the text mentions another slot's, directly or by what
// it mentions.
func (s *slot) rests(o *slot) bool {
	return s == o || slices.ContainsFunc(s.on, func(p *slot) bool { return p.rests(o) })
}

// printed returns the type of which the slot prints a value by package fmt, nil
// for none. Where the probe itself does, in tells so.
func (s *slot) printed(in bool) *slot {
	switch {
	case s.kind == taking && s.shape == 0:
		return s.on[0]
	case in && s.kind == structType:
		return s
	case in && (s.kind == inAny || s.kind == embedding):
		return s.on[0]
	case in && s.kind == inInterface:
		return s.on[1]
	}
	return nil
}
