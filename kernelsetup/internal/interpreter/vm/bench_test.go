package vm_test

import (
	"context"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

// One operation is a cell with 100,000 turns of a loop, checked and compiled
// included.
func BenchmarkTurns(b *testing.B) {
	for _, c := range []struct{ name, declare, body string }{
		{"loop", "", "sum += i"},
		{"call", "func add(a, b int) int { return a + b }", "sum = add(sum, i)"},
		{"method", "type T struct{ n int }; func (t *T) add(i int) { t.n += i }; var t T", "t.add(i)"},
		{"interface", "type A interface{ add(int) }; type U int; func (u *U) add(i int) { *u += U(i) }; var a A = new(U)", "a.add(i)"},
		{"closure", "var n int; f := func(i int) { n += i }", "f(i)"},
		{"map", "m := map[int]int{}", "m[i&255] += i"},
		{"slice", "s := make([]int, 256)", "s[i&255] += i"},
		{"append", "var s []int", "s = append(s, i)"},
		{"string", "text := \"abcdefgh\"", "sum += int(text[i&7])"},
		{"float", "x := 0.5", "x = x*0.999 + 0.25"},
	} {
		b.Run(c.name, func(b *testing.B) {
			e, err := interpreter.New(interpreter.Options{Library: symbols.Default()})
			if err != nil {
				b.Fatal(err)
			}
			run := func(source string) {
				if r := e.Execute(context.Background(), interpreter.Cell{Name: "cell", Source: source}); r.Err != nil {
					b.Fatal(r.Err)
				}
			}
			run("var sum int")
			if c.declare != "" {
				run(c.declare)
			}
			for b.Loop() {
				run("func() { sum := sum; for i := range 100_000 { " + c.body + " }; _ = sum }()")
			}
		})
	}
}
