package notebook

import (
	"errors"
	"image"
	"math"
	"reflect"
	"runtime"
	"strings"
	"testing"
)

// What does not go well in a redraw stands where the picture would.
func TestRedrawTellsWhatWentWrong(t *testing.T) {
	p := newPage(t)
	s, err := Slider("gap", 0, 10, 1, 2)
	if err != nil {
		t.Fatal(err)
	}
	shown := ShowLive("start")
	draw := func() any {
		switch s.Value() {
		case 3:
			return errors.New("gap <3> is too small")
		case 4:
			panic("on purpose")
		case 5:
			runtime.Goexit()
		}
		return "fine"
	}
	for _, c := range []struct {
		value float64
		want  string
	}{
		{3, "error: gap <3> is too small"}, {2, `"fine"`}, {4, "panic: on purpose"}, {5, "did not come to its end"}, {2, `"fine"`},
	} {
		s.value = c.value
		done := make(chan struct{})
		go func() {
			defer close(done)
			redraw(shown, newPicture(), draw)
		}()
		<-done
		if last := p.events[len(p.events)-1]; !strings.HasPrefix(last, "update ") || !strings.Contains(last, c.want) {
			t.Errorf("at %g: %q, want %q", c.value, last, c.want)
		}
	}
	if b := trouble("<b>"); !strings.Contains(b.HTML(), "&lt;b&gt;") {
		t.Errorf("not escaped: %s", b.HTML())
	}
	var none *testError
	if got := orTrouble(none); got != any(none) {
		t.Errorf("a nil pointer became %v", got)
	}
}

type testError struct{}

func (*testError) Error() string { panic("called on nil") }

func TestMapsOfEveryKind(t *testing.T) {
	loop := map[string]any{"n": 1}
	loop["self"] = loop
	for _, c := range []struct {
		value any
		want  string
	}{
		{loop, `map["n": 1, "self": …(seen above)]`},
		{map[float64]string{1: "one", math.NaN(): "lost", -1: "minus"}, `map[NaN: "lost", -1: "minus", 1: "one"]`},
		{map[int]int{0: 1, 1: 22}, "map[0: 1, 1: 22]"},
		{squares(1000), "map[0: 0, 1: 1, 2: 4, 3: 9, 4: 16, 5: 25, 6: 36, 7: 49, 8: 64, 9: 81, 10: 100, 11: 121, 12: 144,\n 13: 169, 14: 196, 15: 225, …] (1000 values)"},
	} {
		if got := Text(c.value); got != c.want {
			t.Errorf("%s, want %s", got, c.want)
		}
	}
	b := Format(map[string]reading{"b": {"bay", 61, 1}, "a": {"<i>", 34.5, 2}})
	if want := "key  Sensor    Value\na    <i>     34.5 °C\nb    bay     61.0 °C"; b.Text() != want {
		t.Errorf("text is\n%s\nwant\n%s", b.Text(), want)
	}
	if !strings.Contains(b.HTML(), "<td style=\"text-align:left\">&lt;i&gt;</td>") {
		t.Errorf("HTML is %s", b.HTML())
	}
	if b := Format(map[string]degrees{"a": 1}); b.HTML() != "" {
		t.Errorf("a map of plain values became %s", b.HTML())
	}
	if got := Format([]*struct{ N, M int }{{1, 2}, nil}).Text(); got != "  N  M\n  1  2\nnil" {
		t.Errorf("nil row:\n%s", got)
	}
	if got := Table(map[int]*reading{1: nil, 2: {"bay", 61, 1}}).Display().Text(); !strings.Contains(got, "bay") {
		t.Errorf("nil among the values: %s", got)
	}
}

func squares(n int) map[int]int {
	m := map[int]int{}
	for i := range n {
		m[i] = i * i
	}
	return m
}

// Columns for which there is no room are counted.
func TestManyColumnsAreCounted(t *testing.T) {
	var fields []reflect.StructField
	for i := range 30 {
		fields = append(fields, reflect.StructField{Name: "F" + string(rune('A'+i%26)) + string(rune('a'+i/26)), Type: reflect.TypeFor[int]()})
	}
	row := reflect.New(reflect.StructOf(fields)).Elem()
	rows := reflect.MakeSlice(reflect.SliceOf(row.Type()), 2, 2)
	if got := Format(rows.Interface()).Text(); !strings.HasSuffix(got, "… 6 more columns, 30 in all") {
		t.Errorf("got\n%s", got)
	}
}

func TestEmptyPicture(t *testing.T) {
	if got := Format(image.NewGray(image.Rectangle{})).Text(); got != "picture, 0 × 0 pixels" {
		t.Errorf("got %q", got)
	}
}
