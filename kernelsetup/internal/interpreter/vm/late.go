package vm

import (
	"fmt"
	"io"
	"log"
	"os"
	"reflect"
	"strings"
	"unsafe"
)

// What goroutines write after the end of their cell is put aside for it, where
// code of cells has it written: then it is known whose it is. The standard
// streams alone do not tell.

func sprint(i int) func(w Window) string {
	return func(w Window) string { return fmt.Sprint(w.Anys(i)...) }
}

func sprintln(i int) func(w Window) string {
	return func(w Window) string { return fmt.Sprintln(w.Anys(i)...) }
}

func sprintf(i int) func(w Window) string {
	return func(w Window) string { return fmt.Sprintf(w.String(i), w.Anys(i+1)...) }
}

// byLog words text as the default logger does, byLogger as the receiver.
func byLog(text func(w Window) string) func(w Window) string {
	return func(w Window) string { return logged(log.Default(), text(w)) }
}

func byLogger(text func(w Window) string) func(w Window) string {
	return func(w Window) string { return logged((*log.Logger)(w.Receiver()), text(w)) }
}

// logged is a line of a logger. The line of the source is not known to it.
func logged(l *log.Logger, text string) string {
	var b strings.Builder
	log.New(&b, l.Prefix(), l.Flags()&^(log.Lshortfile|log.Llongfile)).Output(0, text)
	return b.String()
}

// wordings are what calls write of which that is known.
var wordings = map[string]func(w Window) string{
	"fmt.Print":              sprint(0),
	"fmt.Println":            sprintln(0),
	"fmt.Printf":             sprintf(0),
	"fmt.Fprint":             sprint(1),
	"fmt.Fprintln":           sprintln(1),
	"fmt.Fprintf":            sprintf(1),
	"io.WriteString":         func(w Window) string { return w.String(1) },
	"(*os.File).Write":       func(w Window) string { return string(w.Value(0).Bytes()) },
	"(*os.File).WriteString": func(w Window) string { return w.String(0) },
	"log.Print":              byLog(sprint(0)),
	"log.Println":            byLog(sprintln(0)),
	"log.Printf":             byLog(sprintf(0)),
	"(*log.Logger).Print":    byLogger(sprint(0)),
	"(*log.Logger).Println":  byLogger(sprintln(0)),
	"(*log.Logger).Printf":   byLogger(sprintf(0)),
}

// ofItsCell is call, a function or method by its full name, but for what it
// writes to a standard stream after the end of its run.
func ofItsCell(name string, call ext, sig *sigLayout, isMethod bool) ext {
	to, wording := destination(name), wordings[name]
	if wording == nil || call == nil {
		return call
	}
	return func(t *Thread, s, p unsafe.Pointer) {
		w := windowOf(t, sig, s, p, isMethod)
		put := t.late(to(w))
		if put == nil {
			call(t, s, p)
			return
		}
		text := wording(w)
		put(text)
		if len(sig.results) == 2 {
			w.SetInt(0, int64(len(text)))
			w.Set(1, reflect.Zero(reflect.TypeFor[error]()))
		}
	}
}

// late returns what takes text that t writes to a standard stream after the end
// of its run; nil for text that goes where it is written to.
func (t *Thread) late(to io.Writer) func(text string) {
	take, stream := t.m.runs.lateOutput.Load(), streamOf(to)
	if take == nil || stream == "" {
		return nil
	}
	run := t.ended()
	if run == nil {
		return nil
	}
	return func(text string) { (*take)(run, stream, text) }
}

// streamOf returns the name of the standard stream that a writer is, and none
// for others.
func streamOf(w io.Writer) string {
	if f, ok := w.(*os.File); ok && f != nil {
		switch f.Name() { // as package os names them
		case "/dev/stdout":
			return "stdout"
		case "/dev/stderr":
			return "stderr"
		}
	}
	return ""
}

// ended returns the run that the goroutine comes from, if that is known and has
// ended.
func (t *Thread) ended() *Run {
	run := t.m.runs.owner()
	if run == nil && t.shares {
		run = t.run
	}
	if run == nil || run.name.Load() == nil {
		return nil
	}
	select {
	case <-run.finished:
		return run
	default:
		return nil
	}
}
