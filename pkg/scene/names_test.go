package scene

import (
	"image/color"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/scene/internal/sheet"
)

// named returns the name beside its line, which there must be.
func named(t *testing.T, f *Figure, name string) (sheet.Text, sheet.Plot) {
	t.Helper()
	s := f.layOut(measures{width: 620, cells: 100, dots: 100})
	for _, it := range s.Items {
		if it.Words != nil && it.Words.S == name && it.Movement == sheet.Follows {
			return *it.Words, s.Plots[0]
		}
	}
	t.Fatalf("%q does not stand beside its line", name)
	return sheet.Text{}, sheet.Plot{}
}

// A unit stays in the row of its number.
func TestUnitsStayWithNumbers(t *testing.T) {
	const title = "the intake is up to 67 °C with 18 °C outside and 3.5 % more at 80 km/h, 12 K above"
	for width := 60.0; width < 500; width += 7 {
		for _, row := range wrap(title, titleSize, width) {
			if first := strings.Fields(row)[0]; slices.Contains([]string{"°C", "%", "km/h,", "K"}, first) {
				t.Fatalf("%v points wide, a row begins with %q", width, first)
			}
		}
	}
}

// The name of a line is not read as one with the values beside its points.
func TestNamesKeepOffValues(t *testing.T) {
	x, y := []float64{4, 5, 6, 7, 8, 9, 10}, []float64{1.9, 1.6, 1.4, 1.3, 1.2, 1.1, 1.0}
	values := []string{"1.9", "1.6", "1.4", "1.3", "1.2", "1.1", "1.0"}
	f := &Figure{Panels: []Panel{{ZeroLine: true, Limits: &Limits{From: -0.7, To: 13}, Axis: &Axis{From: 2.7, To: 10.3}, Lines: []Line{{Label: "to be expected", X: x, Y: y}}, Points: []Points{{X: x, Y: y, Values: values}}}}}
	for width := 400.0; width < 800; width += 10 {
		s := f.layOut(measures{width: width, cells: 100, dots: 100})
		for _, it := range s.Items {
			if it.Words == nil || it.Words.S != "to be expected" || it.Movement != sheet.Follows {
				continue
			}
			for _, v := range f.Panels[0].valueTexts(s.Plots[0]) {
				b := v.Box()
				b.Left, b.Right = b.Left-6, b.Right+6
				if b.Overlaps(it.Words.Box()) {
					t.Errorf("%v points wide, the name stands at %v, the value %s at %v", width, it.Words.Box(), v.S, v.Box())
				}
			}
		}
	}
}

// The name of a line stands in no area of another colour, where it would name that.
func TestNamesKeepOutOfOtherAreas(t *testing.T) {
	blue, brown := Style{Color: color.NRGBA{0, 0, 200, 255}}, Style{Color: color.NRGBA{200, 100, 0, 255}}
	x := []float64{0, 10, 20}
	f := &Figure{Panels: []Panel{{
		Lines:   []Line{{Label: "low", X: x, Y: []float64{1, 1, 1}, Style: blue}},
		Ribbons: []Ribbon{{X: []float64{12, 20}, Lo: []float64{0, 0}, Hi: []float64{9, 9}, Style: brown}},
	}}}
	name, plot := named(t, f, "low")
	if right := name.Box().Right; right > plot.AtX(12) {
		t.Errorf("the name ends at %v, in the other's area from %v", right, plot.AtX(12))
	}
}

// The name of a line keeps off the marks of stretches too short to see.
func TestNamesKeepOffMarks(t *testing.T) {
	x := []float64{0, 1000}
	f := &Figure{Panels: []Panel{{Limits: &Limits{From: 0, To: 100}, Lines: []Line{{Label: "low", X: x, Y: []float64{12, 12}}, {X: x, Y: []float64{18, 18}}},
		Bands: []Band{{Label: "short", From: 900, To: 900.5, Color: color.NRGBA{200, 0, 0, 60}}}}}}
	s := f.layOut(measures{width: 620, cells: 100})
	for _, it := range s.Items {
		if it.Words != nil && it.Words.S == "low" && it.Movement == sheet.Follows {
			if foot := s.Plots[0].Box.Bottom - laneHeight - markHeight; it.Words.Box().Bottom > foot {
				t.Errorf("the name reaches down to %v, the marks up to %v", it.Words.Box().Bottom, foot)
			}
		}
	}
}

// A line without a value is not in the legend as if it were drawn: the caption names it.
func TestLineWithoutValues(t *testing.T) {
	f := simple()
	f.Panels[0].Lines = append(f.Panels[0].Lines, Line{Label: "K4", X: []float64{0, 1}, Y: []float64{math.NaN(), math.Inf(1)}})
	g := f.withoutEmpty()
	if len(g.Panels[0].Lines) != 1 || !slices.Contains(g.Caption, "Without any value: K4.") || len(f.Caption) != 0 || len(f.Panels[0].Lines) != 2 {
		t.Errorf("lines %d, caption %q, of the figure %q", len(g.Panels[0].Lines), g.Caption, f.Caption)
	}
	if text := f.String(); !strings.HasPrefix(text, "[chart] c: a, a, range\n") || !strings.Contains(text, "Without any value: K4.") {
		t.Errorf("%q", text)
	}
	raw, err := f.VegaLite()
	if err != nil || !strings.Contains(string(raw), "Without any value: K4.") {
		t.Errorf("the document does not name it: %v", err)
	}
	// Two lines in each of two panels: each is named once.
	two := *f
	two.Panels = []Panel{f.Panels[0], f.Panels[0]}
	for i := range two.Panels {
		two.Panels[i].Lines = append(slices.Clone(two.Panels[i].Lines), Line{Label: "K5", X: []float64{0}, Y: []float64{math.NaN()}})
	}
	if g := two.withoutEmpty(); !slices.Contains(g.Caption, "Without any value: K4, K5.") {
		t.Errorf("caption %q", g.Caption)
	}
	// One of two lines of a name: the name is drawn.
	f.Panels[0].Lines = append(f.Panels[0].Lines, Line{Label: "K4", X: []float64{0, 1}, Y: []float64{1, 2}})
	if g := f.withoutEmpty(); len(g.Caption) != 0 || len(g.Panels[0].Lines) != 3 {
		t.Errorf("lines %d, caption %q", len(g.Panels[0].Lines), g.Caption)
	}
}

// Near the edge of the plot a value stands above its point and within, rather than on
// its line.
func TestValuesNearTheEdge(t *testing.T) {
	x, y := []float64{0, 5, 9, 10}, []float64{0, 5, 9, 8}
	f := &Figure{Panels: []Panel{{Limits: &Limits{From: 0, To: 12}, Lines: []Line{{X: x, Y: y}}, Points: []Points{{X: x[2:3], Y: y[2:3], Values: []string{"the peak of 9"}}}}}}
	s := f.layOut(measures{width: 300, cells: 100, dots: 100})
	texts := f.Panels[0].valueTexts(s.Plots[0])
	if len(texts) != 1 || f.Panels[0].crosses(texts[0].Box(), s.Plots[0]) || texts[0].Box().Right > s.Plots[0].Box.Right {
		t.Errorf("%+v", texts)
	}
}

// However many rows the names of events need, they stand above the lines, and the
// numbers of the axis still fit.
func TestEventsStandAboveLines(t *testing.T) {
	f := &Figure{Panels: []Panel{{Lines: []Line{{X: []float64{0, 100}, Y: []float64{20, 90}}}}}}
	for k := range 4 {
		f.Panels[0].Markers = append(f.Panels[0].Markers, Marker{X: 5 + float64(k), Label: "an event with a name"})
	}
	for width := 200.0; width < 900; width += 50 {
		s := f.layOut(measures{width: width, cells: 100})
		plot := s.Plots[0]
		for _, name := range f.Panels[0].eventNames(plot) {
			if name.Box().Bottom > plot.AtY(90)+1e-6 {
				t.Errorf("%v points wide, %q reaches down to %v, the line up to %v", width, name.S, name.Box().Bottom, plot.AtY(90))
			}
		}
		for _, it := range s.Items {
			if it.Words != nil && it.Words.Box().Left < 0 {
				t.Errorf("%v points wide, %q begins left of the picture", width, it.Words.S)
			}
		}
	}
}

// Between a line above and one that falls below, a value stands a row further off.
func TestValuesARowFurtherOff(t *testing.T) {
	x, y := []float64{0, 5, 9, 10}, []float64{0, 6, 8, 7.4}
	above := []float64{0, 6.8, 9, 8.4}
	f := &Figure{Panels: []Panel{{Limits: &Limits{From: 0, To: 12}, Lines: []Line{{X: x, Y: y}, {X: x, Y: above}}, Points: []Points{{X: x[2:3], Y: y[2:3], Values: []string{"the peak of 8"}}}}}}
	s := f.layOut(measures{width: 300, cells: 100, dots: 100})
	texts := f.Panels[0].valueTexts(s.Plots[0])
	if len(texts) != 1 || f.Panels[0].crosses(texts[0].Box(), s.Plots[0]) {
		t.Errorf("%+v", texts)
	}
}

// An axis of data that begin just after zero begins at zero; others begin where
// their data do.
func TestAxisFromZero(t *testing.T) {
	for _, c := range []struct{ first, want float64 }{{0.1, 0}, {2, 2}, {-1, -1}, {0, 0}} {
		f := &Figure{Panels: []Panel{{Lines: []Line{{X: []float64{c.first, 40}, Y: []float64{1, 2}}}}}}
		if from, to := f.xRange(nil); from != c.want || to != 40 {
			t.Errorf("from %v to %v for data from %v to 40", from, to, c.first)
		}
	}
}

// The ends of a span stay in one row.
func TestSpanIsNotBroken(t *testing.T) {
	if got := glued([]string{"duct", "3", "to", "4", "K", "and", "up", "to", "5"}); !slices.Equal(got, []string{"duct", "3 to 4 K", "and", "up", "to", "5"}) {
		t.Errorf("%q", got)
	}
}

// The name of an event stands on the side where it lies on no other event's line,
// and within the plot.
func TestEventsKeepOffOtherLines(t *testing.T) {
	f := &Figure{Panels: []Panel{{Lines: []Line{{X: []float64{0, 100}, Y: []float64{20, 90}}},
		Markers: []Marker{{X: 40, Label: "thermostat opens"}, {X: 48, Label: "counts as warm"}}}}}
	for width := 400.0; width < 900; width += 50 {
		plot := f.layOut(measures{width: width, cells: 100}).Plots[0]
		for k, name := range f.Panels[0].eventNames(plot) {
			other := plot.AtX(f.Panels[0].Markers[1-k].X)
			if b := name.Box(); b.Left < other && other < b.Right || b.Left < plot.Box.Left || b.Right > plot.Box.Right {
				t.Errorf("%v points wide, %q spans %v to %v, across the line at %v", width, name.S, b.Left, b.Right, other)
			}
		}
	}
}

// The name of a line does not stand on the line through zero.
func TestNamesKeepOffZero(t *testing.T) {
	x := []float64{0, 10, 20, 30, 40, 50, 60}
	f := &Figure{Panels: []Panel{{ZeroLine: true, Lines: []Line{{Label: "shift", X: x, Y: []float64{7, 5.6, 4.2, 2.8, 1.4, 0.3, -0.8}}}}}}
	for width := 250.0; width < 900; width += 25 {
		s := f.layOut(measures{width: width, cells: 100, dots: 100})
		for _, it := range s.Items {
			if zero := s.Plots[0].AtY(0); it.Words != nil && it.Words.S == "shift" && it.Movement == sheet.Follows && it.Words.Box().Top < zero && zero < it.Words.Box().Bottom {
				t.Errorf("%v points wide, the name at %v stands on the line at %v", width, it.Words.Box(), zero)
			}
		}
	}
}
