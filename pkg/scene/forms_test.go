package scene

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/notebook"
	"github.com/bonnetbook/bonnetbook/pkg/scene/internal/sheet"
	"github.com/bonnetbook/bonnetbook/pkg/scene/live"
)

func simple() *Figure {
	return &Figure{Title: "c", XLabel: "x", Panels: []Panel{{YLabel: "y", Lines: []Line{{Label: "a", X: []float64{0, 1, 2}, Y: []float64{1.5, math.NaN(), 2.5}}},
		Ribbons: []Ribbon{{Label: "a, range", X: []float64{0, 1, 2}, Lo: []float64{1, 2, 2}, Hi: []float64{2, 3, 3}}}}}}
}

// A cell sends the picture to explore, the PNG and a line of text.
func TestFormsOfACell(t *testing.T) {
	if got := simple().Display().Types(); !slices.Equal(got, []string{notebook.MIMEPNG, notebook.MIMEHTML, notebook.MIMEText}) {
		t.Errorf("a figure has the forms %q", got)
	}
	if got := (&Figure{}).Display().Types(); !slices.Equal(got, []string{notebook.MIMEText}) {
		t.Errorf("a figure that can't be drawn has the forms %q", got)
	}
}

// The exported document holds the data that are drawn, and is what a cell
// shows where it is asked for.
func TestVegaLiteHoldsTheData(t *testing.T) {
	raw, err := simple().VegaLite()
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Vconcat []struct {
			Layer []struct {
				Data struct{ Values string }
				Mark struct{ Type string }
			}
		}
	}
	if err := json.Unmarshal(raw, &doc); err != nil {
		t.Fatal(err)
	}
	rows := map[string]string{}
	for _, l := range doc.Vconcat[0].Layer {
		rows[l.Mark.Type] = l.Data.Values
	}
	if want := "x,y\n0,1.5\n1,\n2,2.5"; rows["line"] != want {
		t.Errorf("line %q, want %q", rows["line"], want)
	}
	if want := "x,y,y2\n0,1,2\n1,2,3\n2,2,3"; rows["area"] != want {
		t.Errorf("range %q, want %q", rows["area"], want)
	}
	if got := notebook.Format(notebook.VegaLite(raw)).Types(); !slices.Contains(got, notebook.MIMEVegaLite) {
		t.Errorf("shown on purpose, it has the forms %q", got)
	}
}

func TestThinKeepsExtremes(t *testing.T) {
	n := 100000
	y := make([]float64, n)
	y[54321], y[777] = 99, math.NaN()
	var top, missing bool
	keep := thin(y, 500)
	last := -1
	for _, i := range keep {
		top = top || y[i] == 99
		missing = missing || math.IsNaN(y[i])
		if i <= last {
			t.Fatal("indices do not ascend")
		}
		last = i
	}
	if !top || !missing || len(keep) > 2000 {
		t.Errorf("peak kept %v, break kept %v, %d points", top, missing, len(keep))
	}
}

func TestSaveRefusesToOverwrite(t *testing.T) {
	f := simple()
	path := filepath.Join(t.TempDir(), "c.svg")
	if err := f.Save(path); err != nil {
		t.Fatal(err)
	}
	before, _ := os.ReadFile(path)
	if err := f.Save(path); !errors.Is(err, os.ErrExist) {
		t.Errorf("second save: %v", err)
	}
	after, _ := os.ReadFile(path)
	if !bytes.Equal(before, after) {
		t.Error("the file changed")
	}
}

// Panels of one axis of their own show one stretch, with its numbers below the
// last of them; those of the figure another. Panels beside one another share
// their vertical axis, and a narrow page has fewer of them in a row.
func TestAxesAndColumns(t *testing.T) {
	panel := func(a *Axis) Panel {
		return Panel{YLabel: "y", Axis: a, Lines: []Line{{X: []float64{0, 100}, Y: []float64{0, 1}}}}
	}
	own := &Axis{Label: "near", From: 40, To: 60}
	f := &Figure{XLabel: "whole", Panels: []Panel{panel(nil), panel(own), panel(own)}}
	s := f.layOut(measures{width: 620, cells: 100})
	if a, b, c := s.Plots[0], s.Plots[1], s.Plots[2]; a.Group == b.Group || b.Group != c.Group || a.X.To != 100 || b.X.From != 40 || b.X.To != 60 {
		t.Errorf("%+v, %+v and %+v", a, b, c)
	}
	under := map[string]float64{}
	for _, it := range s.Items {
		if it.Words != nil {
			under[it.Words.S] = it.Words.Y
		}
	}
	if y := under["whole"]; !(y > s.Plots[0].Box.Bottom && y < s.Plots[1].Box.Top) || !(under["near"] > s.Plots[2].Box.Bottom) {
		t.Errorf("the names of the axes stand at %v", under)
	}
	grid := &Figure{XLabel: "x", Columns: 3, Panels: []Panel{panel(nil), panel(nil), panel(nil), panel(nil)}}
	for i := range grid.Panels {
		grid.Panels[i].Name = string(rune('a' + i))
	}
	wide, narrow := grid.layOut(measures{width: 620, cells: 100}), grid.layOut(measures{width: narrowWidth, cells: 100})
	if p := wide.Plots; p[0].Box.Top != p[2].Box.Top || p[3].Box.Top <= p[0].Box.Bottom || p[3].Box.Left != p[0].Box.Left || p[1].Box.Left <= p[0].Box.Right {
		t.Errorf("three in a row: %+v", p)
	}
	if p := narrow.Plots; p[1].Box.Top != p[0].Box.Top || p[2].Box.Top <= p[0].Box.Bottom {
		t.Errorf("two in a row on a narrow page: %+v", p)
	}
}

// Nothing is drawn of nothing: a figure without a value is its words, and a panel
// without one is left out.
func TestNoPictureOfNothing(t *testing.T) {
	empty := &Figure{Title: "no drive", Caption: []string{"none was found"}, Panels: []Panel{{YLabel: "y", Lines: []Line{{X: []float64{1}, Y: []float64{math.NaN()}}}}}}
	if got := empty.Display().Types(); !slices.Equal(got, []string{notebook.MIMEText}) {
		t.Errorf("forms %q", got)
	}
	if _, err := empty.PNG(); err == nil {
		t.Error("a picture of nothing was drawn")
	}
	if text := empty.String(); text != "[no chart] no drive: nothing to draw\nnone was found" {
		t.Errorf("%q", text)
	}
	f := simple()
	f.Panels = append(f.Panels, empty.Panels...)
	if n := len(f.withoutEmpty().Panels); n != 1 {
		t.Errorf("%d panels, want 1", n)
	}
	one := &Figure{Panels: []Panel{{Points: []Points{{X: []float64{7}, Y: []float64{1}}}}}}
	if lo, hi := one.xRange(nil); !(lo < 7 && 7 < hi && hi-lo < 2) {
		t.Errorf("one point at 7 stands on an axis from %v to %v", lo, hi)
	}
}

// Values stand beside their points and meet neither points nor one another.
func TestValuesStandFree(t *testing.T) {
	q := Points{X: []float64{0, 1, 2, 2}, Y: []float64{1, 1, 1, 1.01}, Values: []string{"1.0", "1.1", "1.2", "1.3"}}
	f := &Figure{Panels: []Panel{{Points: []Points{q}}}}
	s := f.layOut(measures{width: 620, cells: 100, dots: 100})
	texts := f.Panels[0].valueTexts(s.Plots[0])
	if len(texts) != 4 {
		t.Fatalf("%d of 4 values found a place", len(texts))
	}
	for i, a := range texts {
		for j, b := range texts[:i] {
			if a.Box().Overlaps(b.Box()) {
				t.Errorf("values %d and %d meet", i, j)
			}
		}
		for k := range q.X {
			if a.Box().Overlaps(q.box(k, s.Plots[0])) {
				t.Errorf("value %d meets point %d", i, k)
			}
		}
	}
}

// The name of a line stands on no edge of an area: where the foot of the line's
// own area lies in the only place beside it, the name stands in the legend.
func TestNamesKeepOffEdges(t *testing.T) {
	x := []float64{0, 1}
	for foot, beside := range map[float64]bool{0: false, -0.25: true} {
		f := &Figure{Panels: []Panel{{Limits: &Limits{From: -0.3, To: 1},
			Ribbons: []Ribbon{{X: x, Lo: []float64{foot, foot}, Hi: []float64{0.05, 0.05}}},
			Lines:   []Line{{Label: "own", X: x, Y: []float64{0.05, 0.05}}, {Label: "other", X: x, Y: []float64{0.12, 0.12}}}}}}
		found := 0
		for _, it := range f.layOut(measures{width: 620, cells: 100}).Items {
			if it.Words != nil && it.Words.S == "own" {
				found++
				if got := it.Movement == sheet.Follows; got != beside {
					t.Errorf("foot at %v: named beside the line: %v", foot, got)
				}
			}
		}
		if found != 1 {
			t.Errorf("foot at %v: named %d times", foot, found)
		}
	}
}

// A second scale under a horizontal axis has round numbers of its own, at their
// places, in the still picture, in the live one and below each number in Vega-Lite.
func TestSecondScaleBelow(t *testing.T) {
	f := &Figure{XLabel: "speed (mph)", Below: &RightScale{Label: "km/h", Factor: 1.609344}, // a mile is 1609.344 m, by definition
		Panels: []Panel{{YLabel: "rise (K)", Lines: []Line{{X: []float64{0, 50}, Y: []float64{10, 20}}}}}}
	s := f.layOut(measures{width: 620, cells: 100})
	at, first := map[string]sheet.Text{}, map[string]sheet.Text{}
	for _, it := range s.Items {
		switch {
		case it.Words == nil:
		case it.Movement == sheet.OfBelow:
			at[it.Words.S] = *it.Words
		default:
			first[it.Words.S] = *it.Words
		}
	}
	if len(at) < 4 || math.Abs(at["40"].X-s.Plots[0].AtX(40/1.609344)) > 1e-6 || at["40"].Y <= first["50"].Y {
		t.Errorf("km/h stand at %v, mph at %v", at, first["50"])
	}
	name := "speed (mph), below in km/h"
	if first[name].Y <= at["40"].Y {
		t.Errorf("%q stands at %v", name, first[name])
	}
	if svg := live.SVG(s); strings.Count(svg, `data-scale="below"`) != 1 || !strings.Contains(svg, `data-below="1.609344 0 km/h"`) || !strings.Contains(svg, name) {
		t.Errorf("live: %s", svg)
	}
	vega, err := f.VegaLite()
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(vega), "datum.value*1.609344+(0)") || !strings.Contains(string(vega), name) {
		t.Errorf("vega: %s", vega)
	}
	f.Categories = []string{"a", "b"}
	for _, it := range f.layOut(measures{width: 620, cells: 100}).Items {
		if it.Movement == sheet.OfBelow {
			t.Fatal("names have a second scale")
		}
	}
}
