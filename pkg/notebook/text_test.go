package notebook

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"
	"unicode/utf8"
)

type degrees float64

func (d degrees) String() string { return fmt.Sprintf("%.1f °C", float64(d)) }

type reading struct {
	Sensor string
	Value  degrees
	hidden int
}

type node struct {
	Name string
	Next *node
}

type talker string

func (t talker) String() string { return string(t) }

type broken struct{ A int }

func (broken) String() string { panic("cannot") }

func TestText(t *testing.T) {
	loop := &node{Name: "a"}
	loop.Next = loop
	var nobody *node
	for _, v := range []struct {
		v    any
		want string
	}{
		{nil, "nil"},
		{2, "2"},
		{2.5, "2.5"},
		{float32(0.1), "0.1"},
		{1e21, "1e+21"},
		{"text", `"text"`},
		{"two\nlines", "two\nlines"},
		{true, "true"},
		{complex(1, -2), "(1-2i)"},
		{degrees(82), "82.0 °C"},
		{errors.New("broken wire"), "broken wire"},
		{90 * time.Second, "1m30s"},
		{time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC), "2026-01-02 03:04:05 UTC"},
		{[]int{1, 2, 3}, "[1 2 3]"},
		{[]int(nil), "[]"},
		{[2]bool{true, false}, "[true false]"},
		{[]string{"a", "b c"}, `["a" "b c"]`},
		{map[string]int{"b": 2, "a": 1}, `map["a": 1, "b": 2]`},
		{map[int]string{10: "x", 9: "y"}, `map[9: "y", 10: "x"]`},
		{reading{"bay", 61.04, 7}, `notebook.reading{Sensor: "bay", Value: 61.0 °C, hidden: 7}`},
		{&reading{"bay", 61, 7}, `&notebook.reading{Sensor: "bay", Value: 61.0 °C, hidden: 7}`},
		{struct{ X, Y int }{1, 2}, "{X: 1, Y: 2}"},
		{loop, `&notebook.node{Name: "a", Next: …(seen above)}`},
		{nobody, "nil (*notebook.node)"},
		{[]any{1, "a", nil}, `[1 "a" nil]`},
		{[]byte("plain"), `[]byte("plain")`},
		{[]byte{0, 255}, "[00 ff]"},
		{broken{3}, "notebook.broken{A: 3}"},
		{func(int) string { return "" }, "func(int) string"},
		{make(chan int, 3), "chan int (0 of 3)"},
	} {
		if got := Text(v.v); got != v.want {
			t.Errorf("Text(%#v) is\n%s\nwant\n%s", v.v, got, v.want)
		}
	}
}

func TestLongValuesAreCutWithTheirCount(t *testing.T) {
	long := make([]int, 1000)
	for i := range long {
		long[i] = i
	}
	got := Text(long)
	for _, want := range []string{"[0 1 2", "…", "998 999]", "(1000 values)"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in\n%s", want, got)
		}
	}
	if len(got) > 200 {
		t.Errorf("%d bytes for a long slice", len(got))
	}
	m := map[int]bool{}
	for i := range 500 {
		m[i] = true
	}
	if got := Text(m); !strings.Contains(got, "(500 values)") || len(got) > 800 {
		t.Errorf("long map is %d bytes:\n%s", len(got), got)
	}
	if got := Text([]string{strings.Repeat("x", 100000)}); !strings.Contains(got, "(100000 bytes)") || len(got) > 2200 {
		t.Errorf("long string takes %d bytes", len(got))
	}
	words := talker(strings.Repeat("°", 10<<20))
	for _, c := range []struct {
		v    any
		most int
	}{{words, maxOwn}, {&words, maxOwn}, {[]any{words, words}, 2 * maxOwnPart}, {map[string]talker{"a": words}, maxOwnPart}} {
		if got := Text(c.v); !strings.Contains(got, "(20971520 bytes)") || len(got) > c.most+100 || !utf8.ValidString(got) {
			t.Errorf("what a %T says takes %d bytes", c.v, len(got))
		}
	}
	if got := Text(words[:2*maxOwn/3]); len(got) != 2*maxOwn/3 {
		t.Errorf("a long text of a value's own takes %d bytes", len(got))
	}
	if got := Text(make([]byte, 5000)); !strings.Contains(got, "(5000 bytes)") {
		t.Errorf("long bytes: %s", got)
	}
}

func TestWideStructsGetALinePerField(t *testing.T) {
	v := struct{ First, Second, Third string }{strings.Repeat("a", 40), strings.Repeat("b", 40), "c"}
	if got := Text(v); strings.Count(got, "\n") != 4 || !strings.Contains(got, "\n  Third: \"c\",\n}") {
		t.Errorf("got\n%s", got)
	}
}

func TestDeepValuesEnd(t *testing.T) {
	var deep any = 1
	for range 100 {
		deep = []any{deep}
	}
	if got := Text(deep); !strings.Contains(got, "…") {
		t.Errorf("got %s", got)
	}
}
