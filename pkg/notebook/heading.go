package notebook

import (
	"reflect"
	"strings"
	"unicode"
)

// heading names a column by its field's tag `frame:"name (unit)"`, or name in words.
func heading(f reflect.StructField) string {
	name := []rune(words(f.Name))
	if tag := f.Tag.Get("frame"); tag != "" && tag != "-" {
		name = []rune(tag)
	}
	name[0] = unicode.ToUpper(name[0])
	return string(name)
}

// words writes a Go name in words, MeanRise as Mean rise; abbreviations stay.
func words(name string) string {
	b, r := strings.Builder{}, []rune(name)
	for i, c := range r {
		small := func(k int) bool { return k < len(r) && unicode.IsLower(r[k]) }
		if i > 0 && unicode.IsUpper(c) && (small(i-1) || small(i+1)) {
			b.WriteByte(' ')
			if small(i + 1) {
				c = unicode.ToLower(c)
			}
		}
		b.WriteRune(c)
	}
	return b.String()
}
