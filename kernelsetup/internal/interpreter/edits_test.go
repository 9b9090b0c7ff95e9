package interpreter

import (
	"fmt"
	"os"
	"testing"
)

// Editing a type's methods again and again does not use anything up.
func TestManyEditsOfMethods(t *testing.T) {
	n := 300
	if os.Getenv("BONNETBOOK_HOSTILE") != "" {
		n = 10_000
	}
	nb := newNotebook(t)
	nb.ok("import \"fmt\"\ntype T struct { x int }\nfunc (t T) String() string { return \"first\" }\nv := T{1}\ntype S interface { M() int }")
	for i := range n {
		nb.ok(fmt.Sprintf("func (t T) String() string { return fmt.Sprint(%d, t.x) }\nfunc (t *T) M() int { return %d }", i, i))
		if i%50 != 49 {
			continue
		}
		if got := nb.value("fmt.Sprint(v, S(&v).M())"); got != fmt.Sprintf("%d 1 %d", i, i) {
			t.Fatalf("after %d edits: %s", i, got)
		}
	}
}
