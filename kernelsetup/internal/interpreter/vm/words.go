package vm

import (
	"fmt"
	"reflect"
	"runtime"
	"strings"
)

// longestText bounds the text of a panic's value in bytes.
const longestText = 16 << 10

// PanicText words a panic's value as the run time prints it, cut where it is
// long. It may call methods that cells declare; see PlainText.
func PanicText(v any) string {
	switch v := v.(type) {
	case error:
		return cut(v.Error())
	case interface{ String() string }:
		return cut(v.String())
	case string:
		return cut(v)
	}
	var p printer
	p.value(reflect.ValueOf(v), 0)
	return p.String()
}

// PlainText words a value for which no method of a cell has to be called.
func PlainText(v any) (text string, ok bool) {
	switch v := v.(type) {
	case nil:
		return "<nil>", true
	case string:
		return cut(v), true
	case fatalText:
		return string(v), true
	case Trespass:
		return v.Error(), true
	case runtime.Error:
		t := reflect.TypeOf(v)
		if t.Kind() == reflect.Pointer {
			t = t.Elem()
		}
		if own := reflect.TypeFor[runtimeError]().PkgPath(); t.PkgPath() == "runtime" || t.PkgPath() == own {
			return v.Error(), true
		}
		return "", false
	}
	t := reflect.TypeOf(v)
	if t.NumMethod() == 0 && t.Kind() <= reflect.Complex128 {
		return fmt.Sprint(v), true
	}
	// Their texts were made when they were.
	if t.Kind() == reflect.Pointer {
		switch t.Elem().PkgPath() + "." + t.Elem().Name() {
		case "errors.errorString", "fmt.wrapError", "fmt.wrapErrors":
			return cut(v.(error).Error()), true
		}
	}
	return "", false
}

func cut(text string) string {
	if len(text) <= longestText {
		return text
	}
	return fmt.Sprintf("%s … (%d bytes)", strings.ToValidUTF8(text[:longestText], ""), len(text))
}

// printer writes a value as fmt's %v does, and stops where that gets long:
// fmt itself would write all of it first.
type printer struct{ strings.Builder }

const (
	longestList   = 100
	deepestNested = 10
)

func (p *printer) value(v reflect.Value, depth int) {
	if p.Len() > longestText || depth > deepestNested {
		p.WriteString("…")
		return
	}
	if v.IsValid() && v.CanInterface() {
		switch v.Interface().(type) {
		case fmt.Formatter, error, fmt.Stringer:
			p.WriteString(cut(fmt.Sprint(v)))
			return
		}
	}
	switch v.Kind() {
	case reflect.Interface:
		if v.IsNil() {
			p.WriteString("<nil>")
			return
		}
		p.value(v.Elem(), depth)
	case reflect.Pointer:
		if depth == 0 && !v.IsNil() && v.Elem().Kind() >= reflect.Array && v.Elem().Kind() != reflect.Pointer {
			p.WriteByte('&')
			p.value(v.Elem(), depth+1)
			return
		}
		fmt.Fprint(p, v)
	case reflect.Struct:
		p.WriteByte('{')
		for i := range v.NumField() {
			if i > 0 {
				p.WriteByte(' ')
			}
			p.value(v.Field(i), depth+1)
		}
		p.WriteByte('}')
	case reflect.Slice, reflect.Array:
		p.WriteByte('[')
		for i := range min(v.Len(), longestList) {
			if i > 0 {
				p.WriteByte(' ')
			}
			p.value(v.Index(i), depth+1)
		}
		if v.Len() > longestList {
			fmt.Fprintf(p, " … (%d values)", v.Len())
		}
		p.WriteByte(']')
	case reflect.Map:
		if v.Len() > longestList {
			fmt.Fprintf(p, "map[… (%d entries)]", v.Len())
			return
		}
		fmt.Fprint(p, v)
	case reflect.String:
		p.WriteString(cut(v.String()))
	default:
		fmt.Fprint(p, v)
	}
}
