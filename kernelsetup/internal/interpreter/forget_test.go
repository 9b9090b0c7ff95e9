package interpreter

import "testing"

func TestNamesOfGoComeBack(t *testing.T) {
	follow(t, "builtin function", []noticed{
		{"len := 3", "", ""},
		{"len(\"x\")", "!a cell that says forget len brings it back", ""},
		{"forget len", "", "len is Go's own again"},
		{"[]string{\"a\"}[len(\"\")]", "a", ""},
	})
	follow(t, "type", []noticed{
		{"string := \"x\"", "", "a cell that says forget string brings that back"},
		{"var s string", "!a cell that says forget string brings it back", ""},
		{"forget string", "", "string is Go's own again"},
		{"var s string = \"y\"\ns", "y", ""},
	})
	follow(t, "package", []noticed{
		{"import \"fmt\"\nfunc p() string { return fmt.Sprint(7) }", "", ""},
		{"fmt := 1", "", "fmt is no longer package \"fmt\""},
		{"p()", "7", ""},
		{"fmt.Sprint(1)", "!which hides package \"fmt\": a cell that says forget fmt brings it back", ""},
		{"forget fmt", "", "fmt is package \"fmt\" again"},
		{"fmt.Sprint(p())", "7", ""},
	})
	follow(t, "constant", []noticed{
		{"true := false", "", "forget true"},
		{"forget true;", "", "true is Go's own again"},
		{"if true { panic(\"right\") }", "!right", ""},
	})
	follow(t, "names of the notebook", []noticed{
		{"type T struct{}\nfunc (T) M() string { return \"m\" }\nt := T{}\nfunc use() string { return T{}.M() }\nx := 1", "", ""},
		{"forget nosuch", "!there is no nosuch to forget", ""},
		{"forget T, x", "", "function use no longer compiles: undefined: T\nvariable t is gone"},
		{"use()", "!no longer compiles", ""},
		{"type T struct{}\nfunc (T) M() string { return \"n\" }", "", ""},
		{"use()", "n", ""},
		{"forget everything", "", "the notebook is empty"},
		{"use()", "!undefined: use", ""},
	})
}

// A complete program means what the compiler says, whatever cells have declared
// before it.
func TestPastedProgramsMeanWhatTheCompilerSays(t *testing.T) {
	programs := []struct{ text, out string }{ // run by go run, one by one
		{"package main\nimport \"fmt\"\ntype int float64\nfunc len(s string) string { return \"len \" + s }\nvar true = false\nconst iota = 7\nconst ( A = iota; B )\nfunc max(a, b int) int { return -a }\nfunc main() { var n int = 2.5; fmt.Println(n, len(\"x\"), true, A, B, max(1, 2)) }", "2.5 len x false 7 7 -1\n"},
		{"package main\nimport \"fmt\"\nconst ( A = iota; B; C )\nfunc main() { var n int = 3; fmt.Println(A, B, C, len(\"abc\"), true, max(1, 2), n/2) }", "0 1 2 3 true 2 1\n"},
		{"package main\nimport \"fmt\"\ntype T struct{ n int }\nfunc (t T) String() string { return \"T!\" }\nfunc main() { fmt.Println(T{1}) }", "T!\n"},
		{"package main\nimport \"fmt\"\ntype T struct{ n int }\nfunc main() { var a any = T{1}; _, ok := a.(fmt.Stringer); fmt.Println(a, ok) }", "{1} false\n"},
		{"package main\nimport . \"fmt\"\nfunc main() { Println(\"dot\") }", "dot\n"},
		{"package main\nimport \"fmt\"\nfunc Println(x ...any) { fmt.Println(\"own\", x) }\nfunc main() { Println(\"a\") }", "own [a]\n"},
		{"package main\nimport \"fmt\"\nvar rand = 5\nfunc main() { fmt := rand; show(fmt) }\nfunc show(x int) { fmt.Println(x) }", "5\n"},
		{"package main\nimport (\"fmt\"; \"math/rand\")\nfunc main() { _ = rand.Int; fmt.Println(\"r\") }", "r\n"},
	}
	nb := newNotebook(t)
	for _, p := range programs {
		if out := captured(t, func() { nb.ok(p.text) }); out != p.out {
			t.Errorf("%s\nprints %q, want %q", p.text, out, p.out)
		}
	}
}

// The expression of a loop over an array is not evaluated where its length is
// constant and no element is wanted (Go's fixedbugs/issue72844.go).
func TestLoopsOverArraysThatAreNotThere(t *testing.T) {
	nb := newNotebook(t)
	nb.ok("func none() *[4]int { return nil }\nvar p *[4]int\nvar q struct{ arr *[2]int }\nfunc fails(f func()) (yes bool) { defer func() { yes = recover() != nil }(); f(); return }")
	for _, c := range []struct{ loop, want string }{
		{"for range *p {}", "false"},
		{"for i := range *p { _ = i }", "false"},
		{"for range p {}", "false"},
		{"for range *q.arr {}", "false"},
		{"for range none() {}", "false"},
		{"for range *none() {}", "true"},
		{"for i, x := range *p { _, _ = i, x }", "true"},
		{"for range (*p)[:] {}", "true"},
	} {
		if got := nb.value("fails(func() { " + c.loop + " })"); got != c.want {
			t.Errorf("%s panics: %s, want %s", c.loop, got, c.want)
		}
	}
}
