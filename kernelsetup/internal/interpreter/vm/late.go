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

// writing is a call that writes text, and where. The text is asked for only if
// the place is a standard stream.
type writing struct {
	to   func(w Window) io.Writer
	text func(w Window) string
}

func toStdout(Window) io.Writer { return os.Stdout }
func toLog(Window) io.Writer    { return log.Writer() }

// toFirst is the destination of calls whose first parameter is it.
func toFirst(w Window) io.Writer {
	to, _ := w.Value(0).Interface().(io.Writer)
	return to
}

func toFile(w Window) io.Writer { return (*os.File)(w.Receiver()) }

func toLogger(w Window) io.Writer {
	if l := (*log.Logger)(w.Receiver()); l != nil {
		return l.Writer()
	}
	return nil
}

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

var writings = map[string]writing{
	"fmt.Print":              {toStdout, sprint(0)},
	"fmt.Println":            {toStdout, sprintln(0)},
	"fmt.Printf":             {toStdout, sprintf(0)},
	"fmt.Fprint":             {toFirst, sprint(1)},
	"fmt.Fprintln":           {toFirst, sprintln(1)},
	"fmt.Fprintf":            {toFirst, sprintf(1)},
	"io.WriteString":         {toFirst, func(w Window) string { return w.String(1) }},
	"(*os.File).Write":       {toFile, func(w Window) string { return string(w.Value(0).Bytes()) }},
	"(*os.File).WriteString": {toFile, func(w Window) string { return w.String(0) }},
	"log.Print":              {toLog, byLog(sprint(0))},
	"log.Println":            {toLog, byLog(sprintln(0))},
	"log.Printf":             {toLog, byLog(sprintf(0))},
	"(*log.Logger).Print":    {toLogger, byLogger(sprint(0))},
	"(*log.Logger).Println":  {toLogger, byLogger(sprintln(0))},
	"(*log.Logger).Printf":   {toLogger, byLogger(sprintf(0))},
}

// ofItsCell is call, a function or method by its full name, but for what it
// writes to a standard stream after the end of its run.
func ofItsCell(name string, call ext, sig *sigLayout, isMethod bool) ext {
	wr, ok := writings[name]
	if !ok || call == nil {
		return call
	}
	return func(t *Thread, s, p unsafe.Pointer) {
		take := t.m.runs.lateOutput.Load()
		if take == nil {
			call(t, s, p)
			return
		}
		w := Window{m: t.m, sig: sig, s: s, p: p, isMethod: isMethod}
		if isMethod {
			w.recv = t.recv
		}
		stream := streamOf(wr.to(w))
		if stream == "" {
			call(t, s, p)
			return
		}
		run := t.ended()
		if run == nil {
			call(t, s, p)
			return
		}
		text := wr.text(w)
		(*take)(run, stream, text)
		if len(sig.results) == 2 {
			w.SetInt(0, int64(len(text)))
			w.Set(1, reflect.Zero(reflect.TypeFor[error]()))
		}
	}
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
