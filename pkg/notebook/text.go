package notebook

import (
	"fmt"
	"reflect"
	"sort"
	"strconv"
	"strings"
	"sync/atomic"
	"time"
	"unicode"
	"unicode/utf8"
)

// Limits of the text form. They keep a large value from flooding the page and
// are stated where they cut.
const (
	lineWidth   = 96
	maxElements = 24 // of a slice, array or map; a longer one is cut
	headCount   = 16 // elements shown before the cut
	tailCount   = 4  // elements shown after the cut
	maxString   = 2000
	maxOwn      = 1 << 20 // bytes of what a value's own method says, and
	maxOwnPart  = 1 << 15 // of one inside another value
	maxDepth    = 8
)

// Text returns a value as readable text: as Go would write it, with values
// that know their own text (errors, quantities, times) written by it. Long
// slices, maps and strings are cut, with their length beside.
func Text(v any) string {
	if s, ok := v.(string); ok {
		return topString(s)
	}
	p := printer{seen: map[visit]bool{}}
	return p.value(reflect.ValueOf(v), 0, true)
}

// topString shows a string of one line quoted, so that it is seen to be one,
// and a longer text as it is.
func topString(s string) string {
	if !strings.Contains(s, "\n") {
		return quote(s)
	}
	if utf8.RuneCountInString(s) > 20*maxString {
		return string([]rune(s)[:20*maxString]) + fmt.Sprintf("… (%d bytes)", len(s))
	}
	return s
}

// cut leaves most bytes of s, or a few less.
func cut(s string, most int) string {
	if len(s) <= most {
		return s
	}
	at := most
	for at > most-utf8.UTFMax && !utf8.RuneStart(s[at]) {
		at--
	}
	return s[:at] + fmt.Sprintf("… (%d bytes)", len(s))
}

func quote(s string) string {
	if utf8.RuneCountInString(s) > maxString {
		return strconv.Quote(string([]rune(s)[:maxString])) + fmt.Sprintf("… (%d bytes)", len(s))
	}
	return strconv.Quote(s)
}

// typeNamer names types that reflection knows only by their structure.
var typeNamer atomic.Pointer[func(reflect.Type) string]

// SetTypeNamer installs a function that names types which a kernel made at
// run time and which reflect sees without a name; it returns "" for others.
func SetTypeNamer(name func(reflect.Type) string) { typeNamer.Store(&name) }

func typeName(t reflect.Type) string {
	if f := typeNamer.Load(); f != nil {
		if name := (*f)(t); name != "" {
			return name
		}
	}
	if t.Name() == "" && t.Kind() == reflect.Struct {
		return ""
	}
	return strings.ReplaceAll(t.String(), "main.", "")
}

type visit struct {
	at uintptr
	t  reflect.Type
}

type printer struct {
	seen map[visit]bool
}

// value returns v on one line where it fits beside the indent, else on
// several.
func (p *printer) value(v reflect.Value, depth int, methods bool) string {
	if !v.IsValid() {
		return "nil"
	}
	if methods && v.CanInterface() {
		if s, ok := ownText(v); ok {
			most := maxOwnPart
			if depth == 0 {
				most = maxOwn
			}
			return cut(s, most)
		}
	}
	if depth > maxDepth {
		return "…"
	}
	switch v.Kind() {
	case reflect.Interface:
		if v.IsNil() {
			return "nil"
		}
		return p.value(v.Elem(), depth, methods)
	case reflect.Pointer:
		return p.pointer(v, depth)
	case reflect.Struct:
		return p.structure(v, depth)
	case reflect.Slice, reflect.Array:
		return p.list(v, depth)
	case reflect.Map:
		return p.mapping(v, depth)
	case reflect.String:
		return quote(v.String())
	}
	return scalar(v)
}

// ownText is the text of a value that has a method for it.
func ownText(v reflect.Value) (text string, ok bool) {
	if v.Kind() == reflect.Interface || v.Kind() == reflect.Pointer && v.IsNil() {
		return "", false
	}
	defer func() {
		if recover() != nil {
			text, ok = "", false
		}
	}()
	switch x := v.Interface().(type) {
	case time.Time:
		return timeText(x), true
	case error:
		return x.Error(), true
	case fmt.Stringer:
		return x.String(), true
	case Displayer:
		return x.Display().Text(), true
	}
	return "", false
}

func timeText(t time.Time) string {
	if t.IsZero() {
		return "zero time"
	}
	layout := "2006-01-02 15:04:05.999999999 -0700"
	if t.Location() == time.UTC {
		layout = "2006-01-02 15:04:05.999999999 UTC"
	}
	return t.Format(layout)
}

func scalar(v reflect.Value) string {
	switch v.Kind() {
	case reflect.Bool:
		return strconv.FormatBool(v.Bool())
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		return strconv.FormatInt(v.Int(), 10)
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64, reflect.Uintptr:
		return strconv.FormatUint(v.Uint(), 10)
	case reflect.Float32:
		return floatText(v.Float(), 32)
	case reflect.Float64:
		return floatText(v.Float(), 64)
	case reflect.Complex64, reflect.Complex128:
		return fmt.Sprint(v.Complex())
	case reflect.Func, reflect.Chan, reflect.UnsafePointer:
		return opaque(v)
	}
	return fmt.Sprint(v)
}

func floatText(f float64, bits int) string {
	return fmt.Sprint(reflectFloat(f, bits))
}

func reflectFloat(f float64, bits int) any {
	if bits == 32 {
		return float32(f)
	}
	return f
}

func opaque(v reflect.Value) string {
	name := typeName(v.Type())
	switch {
	case v.Kind() == reflect.UnsafePointer:
		return fmt.Sprintf("%#x", v.Pointer())
	case v.IsNil():
		return "nil (" + name + ")"
	case v.Kind() == reflect.Chan && v.Cap() > 0:
		return fmt.Sprintf("%s (%d of %d)", name, v.Len(), v.Cap())
	}
	return name
}

func (p *printer) pointer(v reflect.Value, depth int) string {
	if v.IsNil() {
		if depth == 0 {
			return "nil (" + typeName(v.Type()) + ")"
		}
		return "nil"
	}
	at := visit{v.Pointer(), v.Type()}
	if p.seen[at] {
		return "…(seen above)"
	}
	p.seen[at] = true
	defer delete(p.seen, at)
	return "&" + p.value(v.Elem(), depth+1, true)
}

func (p *printer) structure(v reflect.Value, depth int) string {
	t := v.Type()
	fields := make([]string, 0, t.NumField())
	for i := range t.NumField() {
		if f := t.Field(i); f.Name != "_" {
			fields = append(fields, f.Name+": "+p.value(v.Field(i), depth+1, true))
		}
	}
	return layOut(typeName(t)+"{", fields, ", ", "}")
}

func (p *printer) list(v reflect.Value, depth int) string {
	if v.Kind() == reflect.Slice {
		if v.IsNil() {
			return "[]"
		}
		if v.Type().Elem().Kind() == reflect.Uint8 {
			return bytesText(v.Bytes())
		}
		at := visit{v.Pointer(), v.Type()}
		if v.Len() > 0 {
			if p.seen[at] {
				return "…(seen above)"
			}
			p.seen[at] = true
			defer delete(p.seen, at)
		}
	}
	n := v.Len()
	items := make([]string, 0, min(n, maxElements)+1)
	for i := range n {
		if n > maxElements && i == headCount {
			items = append(items, "…")
		}
		if n > maxElements && i >= headCount && i < n-tailCount {
			continue
		}
		items = append(items, p.value(v.Index(i), depth+1, true))
	}
	return layOut("[", items, " ", "]"+cutNote(n))
}

func bytesText(b []byte) string {
	if len(b) > 0 && utf8.Valid(b) && strings.IndexFunc(string(b), unprintable) < 0 {
		return "[]byte(" + quote(string(b)) + ")"
	}
	head := b[:min(len(b), 32)]
	s := fmt.Sprintf("[% x", head)
	if len(b) > len(head) {
		return s + fmt.Sprintf(" …] (%d bytes)", len(b))
	}
	return s + "]"
}

func unprintable(r rune) bool { return !unicode.IsPrint(r) && !unicode.IsSpace(r) }

func (p *printer) mapping(v reflect.Value, depth int) string {
	if v.IsNil() {
		return "map[]"
	}
	at := visit{v.Pointer(), v.Type()}
	if p.seen[at] {
		return "…(seen above)"
	}
	p.seen[at] = true
	defer delete(p.seen, at)
	entries := entriesOf(v)
	items := make([]string, 0, min(len(entries), maxElements)+1)
	for i, e := range entries {
		if len(entries) > maxElements && i >= headCount {
			items = append(items, "…")
			break
		}
		items = append(items, p.value(e.key, depth+1, true)+": "+p.value(e.value, depth+1, true))
	}
	return layOut("map[", items, ", ", "]"+cutNote(len(entries)))
}

// entry is one key of a map with its value: a key that is not a number (NaN)
// could not be looked up again.
type entry struct{ key, value reflect.Value }

// entriesOf returns the entries of a map in the order of their keys.
func entriesOf(v reflect.Value) []entry {
	entries := make([]entry, 0, v.Len())
	for i := v.MapRange(); i.Next(); {
		entries = append(entries, entry{i.Key(), i.Value()})
	}
	sort.SliceStable(entries, func(i, j int) bool { return keyBefore(entries[i].key, entries[j].key) })
	return entries
}

func cutNote(n int) string {
	if n <= maxElements {
		return ""
	}
	return fmt.Sprintf(" (%d values)", n)
}

// sortKeys orders keys by value where Go has an order, else by their text.
func sortKeys(keys []reflect.Value) {
	sort.SliceStable(keys, func(i, j int) bool { return keyBefore(keys[i], keys[j]) })
}

func keyBefore(a, b reflect.Value) bool {
	switch {
	case a.CanInt() && b.CanInt():
		return a.Int() < b.Int()
	case a.CanUint() && b.CanUint():
		return a.Uint() < b.Uint()
	case a.CanFloat() && b.CanFloat():
		x, y := a.Float(), b.Float()
		return x < y || x != x && y == y
	}
	return fmt.Sprint(a) < fmt.Sprint(b)
}

// layOut puts items on one line, or each on its own where the line would be
// too long. Short elements and entries wrap like words instead.
func layOut(open string, items []string, separator, end string) string {
	width, multi, longest := len(open)+len(end), false, 0
	for _, s := range items {
		width += utf8.RuneCountInString(s) + len(separator)
		longest = max(longest, utf8.RuneCountInString(s))
		multi = multi || strings.Contains(s, "\n")
	}
	if !multi && width <= lineWidth {
		return open + strings.Join(items, separator) + end
	}
	if !multi && longest <= lineWidth/4 && (separator == " " || open == "map[") {
		for i := range items[:len(items)-1] {
			items[i] += strings.TrimRight(separator, " ")
		}
		return wrap(open, items, end)
	}
	var b strings.Builder
	b.WriteString(open)
	for _, s := range items {
		b.WriteString("\n  " + strings.ReplaceAll(s, "\n", "\n  ") + strings.TrimRight(separator, " "))
	}
	b.WriteString("\n" + end)
	return b.String()
}

func wrap(open string, items []string, end string) string {
	var b strings.Builder
	b.WriteString(open)
	column := utf8.RuneCountInString(open)
	for i, s := range items {
		n := utf8.RuneCountInString(s)
		if i > 0 {
			if column+1+n > lineWidth {
				b.WriteString("\n ")
				column = 1
			} else {
				b.WriteString(" ")
				column++
			}
		}
		b.WriteString(s)
		column += n
	}
	b.WriteString(end)
	return b.String()
}
