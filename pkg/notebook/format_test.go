package notebook

import (
	"bytes"
	"errors"
	"image"
	"image/png"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/plot"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func TestFormatAlwaysHasText(t *testing.T) {
	for _, v := range []any{nil, 1, "x", []reading{{"a", 1, 0}}, Markdown("# x"), HTML("<b>x</b>"), VegaLite(`{"title":"t"}`),
		image.NewGray(image.Rect(0, 0, 2, 3)), errors.New("e"), mat.NewDense(2, 2, nil), SVG("<svg><title>t</title></svg>"),
		Table([][]int{{1}}), Bundle{MIMEHTML: "<p>"}, (*Grid)(nil)} {
		if b := Format(v); b.Text() == "" {
			t.Errorf("%T has no text: %v", v, b.Types())
		}
	}
}

func TestSliceOfStructsIsATable(t *testing.T) {
	b := Format([]reading{{"bay", 61, 1}, {"intake <1>", 34.5, 2}})
	want := "Sensor        Value\nbay         61.0 °C\nintake <1>  34.5 °C"
	if b.Text() != want {
		t.Errorf("text is\n%s\nwant\n%s", b.Text(), want)
	}
	for _, s := range []string{"<table>", "<th", "intake &lt;1&gt;", "34.5 °C"} {
		if !strings.Contains(b.HTML(), s) {
			t.Errorf("%q is not in %s", s, b.HTML())
		}
	}
	if strings.Contains(b.HTML(), "hidden") {
		t.Error("an unexported field became a column")
	}
}

func TestTables(t *testing.T) {
	long := make([]reading, 1000)
	if got := Table(long).Display().Text(); !strings.Contains(got, "980 more rows, 1000 in all") || strings.Count(got, "\n") > 25 {
		t.Errorf("long table:\n%s", got)
	}
	if got := Table(map[string]int{"b": 2, "a": 1}, "letter", "count").Display().Text(); got != "letter  count\na           1\nb           2" {
		t.Errorf("map:\n%s", got)
	}
	if got := Table([]map[string]int{{"x": 1}, {"y": 2}}).Display().Text(); got != "x  y\n1\n   2" {
		t.Errorf("maps:\n%q", got)
	}
	g, err := Columns([]string{"t", "T"}, []float64{0, 1}, []degrees{20, 21.5})
	if err != nil {
		t.Fatal(err)
	}
	if got := g.Display().Text(); got != "t        T\n0  20.0 °C\n1  21.5 °C" {
		t.Errorf("columns:\n%s", got)
	}
	if _, err := Columns([]string{"a", "b"}, []int{1}, []int{1, 2}); err == nil || !strings.Contains(err.Error(), `"b"`) {
		t.Errorf("columns of different length: %v", err)
	}
	if _, err := Columns([]string{"a"}, 3); err == nil {
		t.Error("a number was taken for a column")
	}
}

func TestPictures(t *testing.T) {
	b := Format(image.NewRGBA(image.Rect(0, 0, 7, 5)))
	data, _ := b[MIMEPNG].([]byte)
	c, err := png.DecodeConfig(bytes.NewReader(data))
	if err != nil || c.Width != 7 || c.Height != 5 {
		t.Errorf("image became %v, %v", c, err)
	}
	if b.Text() != "picture, 7 × 5 pixels" {
		t.Errorf("text %q", b.Text())
	}
	b = Format(plot.New())
	data, _ = b[MIMEPNG].([]byte)
	if _, err := png.DecodeConfig(bytes.NewReader(data)); err != nil {
		t.Errorf("plot: %v", err)
	}
	if !strings.HasPrefix(b.Text(), "plot, ") {
		t.Errorf("text %q", b.Text())
	}
}

func TestMatrix(t *testing.T) {
	got := Format(mat.NewDense(2, 2, []float64{1, -2, 0.5, 1000})).Text()
	if want := "2 × 2 matrix\n[   1    -2]\n[ 0.5  1000]"; got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if got := Format(mat.NewDense(100, 100, nil)).Text(); !strings.HasPrefix(got, "100 × 100") || strings.Count(got, "\n") != 13 {
		t.Errorf("large matrix:\n%s", got)
	}
}

type angry struct{}

func (angry) Display() Bundle { panic("no") }

func TestPanickingDisplayIsTold(t *testing.T) {
	if got := Format(angry{}).Text(); !strings.Contains(got, "no") || !strings.Contains(got, "angry") {
		t.Errorf("got %q", got)
	}
}

func TestMust(t *testing.T) {
	if Must(3, nil) != 3 {
		t.Error("Must changed its value")
	}
	want := errors.New("file is empty")
	for _, f := range []func(){
		func() { Must(0, want) }, func() { Must0(want) }, func() { Must2(0, "", want) },
	} {
		func() {
			defer func() {
				if err, ok := recover().(error); !ok || !errors.Is(err, want) || err.Error() != want.Error() {
					t.Errorf("panicked with %v, want the error itself", err)
				}
			}()
			f()
		}()
	}
}

type ride struct {
	Name string
	Rise quantity.TemperatureDifference
	Mean *quantity.Temperature
	fast bool
}

func (ride) ReadIn() quantity.Preferred {
	return quantity.Preferred{Temperature: quantity.KindTemperature.Unit("°F")}.Matching()
}

// A row that knows its reader's units has its quantities written in them, to
// the right as numbers are.
func TestTableInTheReadersUnits(t *testing.T) {
	text := Table([]ride{{"first", 10, nil, true}, {"second, longer", 3, nil, false}}).Display().Text()
	for _, want := range []string{"18.0 °F", " 5.4 °F", "nil"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
}
