package interpreter

import (
	"fmt"
	"os"
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

// A builtin that a go statement starts keeps its constants behind its
// arguments. With many of them that was behind the end of the new thread's
// slots: in the next object of that size.
func TestGoStatementWithManyConstants(t *testing.T) {
	null, err := os.OpenFile(os.DevNull, os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer null.Close()
	defer func(f *os.File) { os.Stderr = f }(os.Stderr)
	os.Stderr = null
	nb := newNotebook(t)
	args := strings.TrimSuffix(strings.Repeat("77, ", 200), ", ")
	nb.ok(`import "time"
var near [][]uint64
for range 300 {
	near = append(near, make([]uint64, 256)) // as large as a thread's slots
	go println(` + args + `)
	near = append(near, make([]uint64, 256))
}
time.Sleep(50 * time.Millisecond)`)
	if got := nb.value(`changed := 0
for _, words := range near {
	for _, w := range words {
		if w != 0 { changed++ }
	}
}
changed`); got != "0" {
		t.Errorf("%s words of other variables were overwritten", got)
	}
}
