package vm

import (
	"fmt"
	"reflect"
	"unsafe"
)

// printers of fmt that write to standard output.
var printsLate = map[string]func(w Window) string{
	"fmt.Print":   func(w Window) string { return fmt.Sprint(w.Anys(0)...) },
	"fmt.Println": func(w Window) string { return fmt.Sprintln(w.Anys(0)...) },
	"fmt.Printf":  func(w Window) string { return fmt.Sprintf(w.String(0), w.Anys(1)...) },
}

// ofItsCell is call, but for what a run prints after its end.
func ofItsCell(name string, call ext, sig *sigLayout) ext {
	text := printsLate[name]
	if text == nil {
		return call
	}
	return func(t *Thread, s, p unsafe.Pointer) {
		run := t.m.runs.owner()
		if run == nil && t.shares {
			run = t.run
		}
		if run != nil && run.name.Load() != nil {
			select {
			case <-run.finished:
				if f := t.m.runs.lateOutput.Load(); f != nil {
					w := Window{m: t.m, sig: sig, s: s, p: p}
					out := text(w)
					(*f)(run, out)
					w.SetInt(0, int64(len(out)))
					w.Set(1, reflect.Zero(reflect.TypeFor[error]()))
					return
				}
			default:
			}
		}
		call(t, s, p)
	}
}
