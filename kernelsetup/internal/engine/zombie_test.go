package engine

import (
	"fmt"
	"runtime/debug"
	"strings"
	"testing"
)

// A thread that dies points to the place after its last instruction. Where
// the code filled its memory to the end that was another object's, and the
// collector ended the process: "found pointer to free object". Code fills its
// memory for some numbers of instructions only, so that cells of many lengths
// end in a panic, with so little heap that the collector always runs.
func TestCodeThatEndsInAPanic(t *testing.T) {
	defer debug.SetGCPercent(debug.SetGCPercent(5))
	nb := newNotebook(t)
	for i := range 120 {
		nb.ok(fmt.Sprintf("type E%d struct{ N int }", i))
		nb.ok(fmt.Sprintf("v := &E%d{3}\nn := 0", i))
		for k := range 3 {
			src := strings.Repeat("n++\n", i%40*k) + "panic(any(v))"
			if r := nb.run(src, 0); r.Err == nil || r.Err.Kind != Panic {
				t.Fatalf("%s: %+v", src, r.Err)
			}
		}
	}
}
