package frame_test

import (
	"fmt"
	"image/color"
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/chart"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/frame"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/scene/live"
)

// pictures are one of each kind.
func pictures(f *frame.Frame) map[string]func() (*chart.Figure, error) {
	return map[string]func() (*chart.Figure, error){
		"scatter": func() (*chart.Figure, error) { return f.Scatter("speed", "rise", "configuration") },
		"line":    func() (*chart.Figure, error) { return f.Line("since opening", "engine-bay", "configuration", "drive") },
		"lines": func() (*chart.Figure, error) {
			return f.Filter(frame.Is("drive", "open filters, first run")).Lines("since start", "intake", "speed")
		},
		"histogram": func() (*chart.Figure, error) { return f.Histogram("rise", "1 K", "configuration") },
		"box":       func() (*chart.Figure, error) { return f.Box("rise", "configuration", "driving") },
		"map":       func() (*chart.Figure, error) { return f.Map("engine-bay") },
		"facets":    func() (*chart.Figure, error) { return f.Facets("drive").Line("since start", "intake") },
	}
}

// Each picture names its axes with units, tells what it holds, and draws.
func TestPictures(t *testing.T) {
	f := read(t).Minus("rise", "intake", "ambient")
	says := map[string][]string{
		"scatter": {"speed (km/h)", "rise (K)", "1769 rows; 6 more", "open filters"}, "line": {"since opening (s)", "engine-bay (°C)", "cold-air duct"},
		"lines": {"temperature (°C)", "speed (km/h)", "since start (s)"}, "histogram": {"rise (K)", "rows", "open filters"},
		"box": {"rise (K)", "open filters\nsteady"}, "map": {"north (km)", "east (km)", "°C"}, "facets": {"intake (°C)", "open filters, third run"},
	}
	for name, draw := range pictures(f) {
		t.Run(name, func(t *testing.T) {
			fig, err := draw()
			if err != nil {
				t.Fatal(err)
			}
			text := fmt.Sprintf("%s %s %q %q", fig, fig.XLabel, fig.Categories, fig.Caption)
			for _, p := range fig.Panels {
				for _, q := range p.Points {
					if c := q.Style.Color; c.A != 0 { // else the colour of the words
						light, dark := contrast(over(c, white), white), contrast(over(live.Dark(c), live.DarkPaper), live.DarkPaper)
						if light < 3 || dark < 3 {
							t.Errorf("points %q stand out by %.2f from a white page and by %.2f from a dark one, want 3 (WCAG 2.1, 1.4.11)", q.Label, light, dark)
						}
					}
				}
				text += fmt.Sprintf(" %s %v", p.YLabel, p.Markers)
			}
			text = strings.ReplaceAll(text, `\n`, "\n")
			for _, s := range says[name] {
				if !strings.Contains(text, s) {
					t.Errorf("%q is not in %s", s, text)
				}
			}
			if _, err := fig.SVG(); err != nil {
				t.Error(err)
			}
		})
	}
	if _, err := f.Line("since start", "intake"); err == nil || !strings.Contains(err.Error(), "does not ascend") {
		t.Errorf("lines of several drives were joined: %v", err)
	}
}

// A second column to divide by changes neither bins nor points: what looks alike
// is counted and thinned together.
func TestLooksAreThoseOfTheFirstColumn(t *testing.T) {
	f := read(t).Minus("rise", "intake", "ambient")
	for name, draw := range map[string]func(by ...string) (*chart.Figure, error){
		"histogram": func(by ...string) (*chart.Figure, error) { return f.Histogram("rise", "1 K", by...) },
		"scatter":   func(by ...string) (*chart.Figure, error) { return f.Scatter("speed", "rise", by...) },
	} {
		one, err := draw("configuration")
		if err != nil {
			t.Fatal(err)
		}
		two, err := draw("configuration", "drive")
		if err != nil {
			t.Fatal(err)
		}
		if _, err := draw("configuration", "drve"); err == nil || !strings.Contains(err.Error(), `did you mean "drive"?`) {
			t.Errorf("%s by a column that is not there: %v", name, err)
		}
		if !reflect.DeepEqual(one.Panels, two.Panels) {
			t.Errorf("%s: other panels by a second column", name)
		}
	}
}

// The shades of the map ascend in lightness and stand out from white: contrast
// at least 3:1 (W3C, Web Content Accessibility Guidelines 2.1, 1.4.11, with the
// relative luminance defined there).
func TestShadesCanBeTold(t *testing.T) {
	fig, err := read(t).Map("engine-bay")
	if err != nil {
		t.Fatal(err)
	}
	part := func(c uint8) float64 {
		if v := float64(c) / 255; v > 0.03928 {
			return math.Pow((v+0.055)/1.055, 2.4)
		}
		return float64(c) / 255 / 12.92
	}
	last := -1.0
	for _, q := range fig.Panels[0].Points {
		if q.Label == "" {
			continue
		}
		c := q.Style.Color
		l := 0.2126*part(c.R) + 0.7152*part(c.G) + 0.0722*part(c.B)
		if l <= last {
			t.Errorf("%s is not lighter than the shade before it", q.Label)
		}
		if contrast := 1.05 / (l + 0.05); contrast < 3 {
			t.Errorf("%s has a contrast of %.2f", q.Label, contrast)
		}
		last = l
	}
	if last < 0 {
		t.Error("no shades")
	}
}

// Speed on the horizontal axis: the unit in which it is read, the other one below;
// categories have none.
func TestUnitsBelow(t *testing.T) {
	f := read(t).Minus("rise", "intake", "ambient")
	for unit, other := range map[string]string{"mph": "km/h", "km/h": "mph"} {
		fig, err := f.In("speed", unit).Scatter("speed", "rise", "configuration")
		if err != nil {
			t.Fatal(err)
		}
		if fig.XLabel != "speed ("+unit+")" || fig.Below == nil || fig.Below.Label != other {
			t.Errorf("%s, below %+v", fig.XLabel, fig.Below)
		}
	}
	drives, err := demo()
	if err != nil {
		t.Fatal(err)
	}
	owned := *drives[0]
	owned.Units = quantity.Preferred{Speed: quantity.KindSpeed.Unit("mph"), Temperature: quantity.KindTemperature.Unit("°F")}.Matching()
	fig, err := frame.Of([]*drive.Drive{&owned}, frame.DefaultOptions()).Minus("rise", "intake", "ambient").Scatter("speed", "rise")
	if err != nil {
		t.Fatal(err)
	}
	if fig.XLabel != "speed (mph)" || fig.Below.Label != "km/h" || fig.Panels[0].YLabel != "rise (°F)" {
		t.Errorf("whose owner reads mph: %s, %s, %+v", fig.XLabel, fig.Panels[0].YLabel, fig.Below)
	}
	if fig, err := f.Box("speed", "configuration"); err != nil || fig.Below != nil {
		t.Errorf("a box of categories has %+v below, %v", fig, err)
	}
}

var white = color.NRGBA{255, 255, 255, 255}

// over is what is seen of a see-through colour on a ground.
func over(c, ground color.NRGBA) color.NRGBA {
	mix := func(a, b uint8) uint8 { return uint8((int(a)*int(c.A) + int(b)*(255-int(c.A))) / 255) }
	return color.NRGBA{mix(c.R, ground.R), mix(c.G, ground.G), mix(c.B, ground.B), 255}
}

// contrast is the ratio of WCAG 2.1, from relative luminances.
func contrast(a, b color.NRGBA) float64 {
	luminance := func(c color.NRGBA) float64 {
		linear := func(v uint8) float64 {
			if x := float64(v) / 255; x > 0.04045 {
				return math.Pow((x+0.055)/1.055, 2.4)
			} else {
				return x / 12.92
			}
		}
		return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
	}
	hi, lo := luminance(a), luminance(b)
	return (math.Max(hi, lo) + 0.05) / (math.Min(hi, lo) + 0.05)
}
