package interpreter

import (
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

// Values of more bytes than are allowed are refused before the run time is
// asked for them: it would end the process.
func TestValuesTooLargeAreRefused(t *testing.T) {
	e, err := New(Options{Library: symbols.Default(), Limits: Limits{Memory: 1 << 20}})
	if err != nil {
		t.Fatal(err)
	}
	nb := &notebookTest{t: t, e: e}
	nb.ok("type big [1 << 40]byte\nvar p *big\ntype list struct{ next map[string]list; pad [1000]int }\nkeep := 42")
	for _, src := range []string{
		"var a [1 << 32]int",
		"x := [1 << 32]int{5: 1}",
		"any([1 << 32]int{}) != nil",
		"func f() (r [1 << 32]int) { return }",
		"func f(a big) {}",
		"*p",
		"m := map[big]int{}",
		"c := make(chan big)",
		"s := []big{{}}",
		"v := struct{ a, b [1 << 17]int32; c string }{}",
		"new(big) == nil",
		"for i := range [1 << 62]int16{} { _ = i }",
	} {
		if r := nb.run(src, 0); r.Err == nil || r.Err.Kind != LimitExceeded || !strings.Contains(r.Err.Message, "are allowed") {
			t.Errorf("%s: %+v", src, r.Err)
		}
	}
	if got := nb.value("var l list\nb := [1 << 16]int64{7: 1}\nlen(p) + keep + int(b[7]) + len(l.next)"); got != "1099511627819" {
		t.Error(got)
	}
}
