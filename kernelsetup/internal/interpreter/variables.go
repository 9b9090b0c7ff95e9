package interpreter

import (
	"fmt"
	"go/token"
	"go/types"
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
	"unsafe"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/snapshot"
)

// Variable is a variable of the notebook, for a list of them.
type Variable struct {
	Name string
	Type string
	Cell string // that declared it
	// Size is how many bytes it takes with all that it leads to; More tells
	// that it is at least that much.
	Size int
	More bool
	// Value is its value in a few words, made without any method of it.
	Value string
}

// variableSize bounds how far sizes are counted.
const variableSize = 1 << 30

// Variables lists the notebook's variables by name.
func (e *Interpreter) Variables() []Variable { return e.session.variables() }

func (s *session) variables() []Variable {
	s.state.Lock()
	defer s.state.Unlock()
	var list []Variable
	for _, k := range s.unitKeys() {
		u := s.units[k]
		obj, _ := s.pkg.Scope().Lookup(k).(*types.Var)
		g, _ := s.objects[obj].(*ssa.Global)
		if u.tok != token.VAR || obj == nil || g == nil {
			continue
		}
		v := Variable{Name: k, Cell: u.src.Name, Type: types.TypeString(obj.Type(), func(p *types.Package) string {
			if p == s.pkg {
				return ""
			}
			return p.Name()
		})}
		if place, err := s.machine.Global(g); err == nil {
			shared := !s.machine.Alone()
			v.Size, v.More = snapshot.Size(place, variableSize, shared)
			v.Value = words(place, shared)
		}
		list = append(list, v)
	}
	return list
}

// words writes a value in at most some eighty characters. With shared,
// goroutines may be changing it: maps are only counted.
func words(v reflect.Value, shared bool) (text string) {
	defer func() {
		if recover() != nil {
			text = "(it was being changed)"
		}
	}()
	w := &wordWriter{shared: shared}
	w.value(v, 0)
	return w.b.String()
}

const maxWords = 80

type wordWriter struct {
	b      strings.Builder
	shared bool
}

func (w *wordWriter) full() bool { return w.b.Len() > maxWords }

var durationType, timeType = reflect.TypeFor[time.Duration](), reflect.TypeFor[time.Time]()

func (w *wordWriter) value(v reflect.Value, depth int) {
	if v.IsValid() && v.Type() == durationType {
		w.b.WriteString(time.Duration(v.Int()).String())
		return
	}
	if v.IsValid() && v.Type() == timeType && v.CanInterface() {
		w.b.WriteString(v.Interface().(time.Time).Format(time.RFC3339Nano))
		return
	}
	switch v.Kind() {
	case reflect.Invalid:
		w.b.WriteString("nil")
	case reflect.Bool:
		fmt.Fprint(&w.b, v.Bool())
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		fmt.Fprint(&w.b, v.Int())
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64, reflect.Uintptr:
		fmt.Fprint(&w.b, v.Uint())
	case reflect.Float32, reflect.Float64:
		if f := v.Float(); f == math.Trunc(f) && math.Abs(f) < 1e15 {
			w.b.WriteString(strconv.FormatFloat(f, 'f', -1, 64))
		} else {
			w.b.WriteString(strconv.FormatFloat(f, 'g', 6, 64))
		}
	case reflect.Complex64, reflect.Complex128:
		fmt.Fprintf(&w.b, "%.6g", v.Complex())
	case reflect.String:
		s, cut := v.String(), ""
		if len(s) > maxWords {
			s, cut = s[:maxWords], "…"
			for i := 0; i < utf8.UTFMax && !utf8.ValidString(s); i++ {
				s = s[:len(s)-1]
			}
		}
		w.b.WriteString(strconv.Quote(s) + cut)
	case reflect.Slice, reflect.Array:
		if v.Kind() == reflect.Slice && v.IsNil() {
			w.b.WriteString("nil")
			return
		}
		fmt.Fprintf(&w.b, "%d: [", v.Len())
		w.list(v.Len(), depth, func(i int) { w.value(v.Index(i), depth+1) })
		w.b.WriteByte(']')
	case reflect.Struct:
		w.b.WriteByte('{')
		w.list(v.NumField(), depth, func(i int) {
			w.b.WriteString(v.Type().Field(i).Name + ": ")
			w.value(v.Field(i), depth+1)
		})
		w.b.WriteByte('}')
	case reflect.Map:
		w.aMap(v, depth)
	case reflect.Interface:
		w.value(v.Elem(), depth)
	case reflect.Pointer:
		if v.IsNil() {
			w.b.WriteString("nil")
			return
		}
		w.b.WriteByte('&')
		if depth > 2 {
			w.b.WriteString("…")
			return
		}
		w.value(v.Elem(), depth+1)
	case reflect.Chan:
		if v.IsNil() {
			w.b.WriteString("nil")
			return
		}
		fmt.Fprintf(&w.b, "%d of %d waiting", v.Len(), v.Cap())
	default: // functions, unsafe pointers
		if *(*unsafe.Pointer)(pointerTo(v)) == nil {
			w.b.WriteString("nil")
			return
		}
		w.b.WriteString("(" + v.Kind().String() + ")")
	}
}

// pointerTo returns where a copy of v lies.
func pointerTo(v reflect.Value) unsafe.Pointer {
	if v.CanAddr() {
		return v.Addr().UnsafePointer()
	}
	p := v.UnsafePointer()
	return unsafe.Pointer(&p)
}

func (w *wordWriter) list(n, depth int, f func(i int)) {
	for i := range n {
		if i > 0 {
			w.b.WriteString(", ")
		}
		if w.full() || depth > 3 {
			w.b.WriteString("…")
			return
		}
		f(i)
	}
}

func (w *wordWriter) aMap(v reflect.Value, depth int) {
	if v.IsNil() {
		w.b.WriteString("nil")
		return
	}
	if w.shared {
		w.b.WriteString("a map")
		return
	}
	fmt.Fprintf(&w.b, "%d: {", v.Len())
	it, first := v.MapRange(), true
	for it.Next() {
		if !first {
			w.b.WriteString(", ")
		}
		first = false
		if w.full() || depth > 3 {
			w.b.WriteString("…")
			break
		}
		w.value(it.Key(), depth+1)
		w.b.WriteString(": ")
		w.value(it.Value(), depth+1)
	}
	w.b.WriteByte('}')
}
