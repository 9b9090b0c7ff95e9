package vm

import (
	"io"
	"log"
	"os"
	"reflect"
	"sync/atomic"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
)

// standard is os.Stdout or os.Stderr as compiled code has it, where a cell has
// handed it over as a writer: an encoder or a handler that rests on it writes
// through it on whatever goroutine, which is known here. It is one pointer as
// the file is, so that only the first word of the interface differs. No code of
// cells sees it: what comes back is the file again.
type standard struct{ *os.File }

func (s standard) Write(b []byte) (int, error) { return s.write(owner(), b) }

func (s standard) WriteString(text string) (int, error) {
	return s.Write(unsafe.Slice(unsafe.StringData(text), len(text)))
}

// ReadFrom writes each piece by itself: the cell may end in between.
func (s standard) ReadFrom(r io.Reader) (int64, error) {
	return io.Copy(struct{ io.Writer }{s}, r)
}

// write writes for a run, nil if none is known.
func (s standard) write(r *Run, b []byte) (int, error) {
	stream := streamOf(s.File)
	if put := r.late(stream); put != nil {
		put(string(b))
		return len(b), nil
	}
	if stream == stderr {
		before, after := stderrOrder()
		before()
		defer after()
	}
	return s.File.Write(b)
}

// Standard output and standard error are two pipes, and whoever reads them
// cannot see which of two texts was written first. So what writes to standard
// error waits until all before it was read, and until it was read itself.

// around is what is called around a write to standard error.
type around struct{ before, after func() }

// onStderr is the process's, as its streams are.
var onStderr atomic.Pointer[around]

// OnStderr sets what is called before and after cells have something written to
// standard error, whatever machine they run on.
func OnStderr(before, after func()) {
	onStderr.Store(&around{before, after})
	takeOverLog()
}

func stderrOrder() (before, after func()) {
	if o := onStderr.Load(); o != nil {
		return o.before, o.after
	}
	return func() {}, func() {}
}

// takeOverLog makes the default logger, on which log/slog and servers rest
// unless told otherwise, write by standard.
func takeOverLog() {
	if log.Writer() == os.Stderr {
		log.SetOutput(standard{os.Stderr})
	}
}

const (
	stdout = "stdout"
	stderr = "stderr"
)

// streamOf returns the name of the standard stream that a file is, and none
// for others.
func streamOf(f *os.File) string {
	if f != nil {
		switch f.Name() { // as package os names them
		case "/dev/stdout":
			return stdout
		case "/dev/stderr":
			return stderr
		}
	}
	return ""
}

var (
	fileType     = rtype.TypePtr(reflect.TypeFor[*os.File]())
	standardType = rtype.TypePtr(reflect.TypeFor[standard]())
)

// handedOver is call, of something compiled, with standard for the files.
func handedOver(call ext, sig *sigLayout) ext {
	if call == nil || len(sig.takes)+len(sig.gives) == 0 {
		return call
	}
	return func(t *Thread, s, p unsafe.Pointer) {
		wrapWriters(sig.takes, s, p)
		call(t, s, p)
		unwrapWriters(sig.gives, p)
	}
}

// wrapWriters puts standard in the place of the files.
func wrapWriters(at []writerAt, s, p unsafe.Pointer) {
	for _, a := range at {
		if !a.list {
			wrapWriter(pp(p, a.p), *pp(p, a.p+8))
			continue
		}
		copied := false
		list := unsafe.Slice((*io.Writer)(*pp(p, a.p)), *si(s, a.s))
		for i := range list {
			word := (*[2]unsafe.Pointer)(unsafe.Pointer(&list[i]))
			if !isStandard(word[0], word[1]) {
				continue
			}
			if !copied {
				copied = true
				list = append([]io.Writer(nil), list...) // the cell's stays as it is
				word = (*[2]unsafe.Pointer)(unsafe.Pointer(&list[i]))
			}
			wrapWriter(&word[0], word[1])
		}
		if copied {
			*pp(p, a.p), *si(s, a.s+8) = unsafe.Pointer(unsafe.SliceData(list)), int64(cap(list))
		}
	}
}

func isStandard(tab, data unsafe.Pointer) bool {
	return abi.ItabType(tab) == fileType && streamOf((*os.File)(data)) != ""
}

func wrapWriter(tab *unsafe.Pointer, data unsafe.Pointer) {
	if isStandard(*tab, data) {
		*tab = abi.OtherItab(*tab, standardType)
	}
}

// unwrapWriters puts the files back.
func unwrapWriters(at []writerAt, p unsafe.Pointer) {
	for _, a := range at {
		if tab := pp(p, a.p); !a.list && abi.ItabType(*tab) == standardType {
			*tab = abi.OtherItab(*tab, fileType)
		}
	}
}
