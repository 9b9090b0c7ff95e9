package frame_test

import (
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/chart"
	"github.com/bonnetbook/bonnetbook/pkg/frame"
)

// measured is a row of the frame whose pictures have titles.
type measured struct {
	Part  string
	Speed float64 `frame:"speed (km/h)"`
	Rise  float64 `frame:"rise (K, temperature difference)"`
}

// A title says what is drawn and what was found, computed: other data, another
// title; nothing is said of what is not there.
func TestTitlesSayTheFinding(t *testing.T) {
	rows := []measured{{"open", 10, 20}, {"open", 20, 22}, {"open", 30, 24}, {"duct", 10, -3}, {"duct", 20, 5}, {"duct", 30, 6.04}}
	many := append([]measured{}, rows...)
	for _, p := range []string{"a", "b", "c"} {
		many = append(many, measured{p, 40, 7})
	}
	none := []measured{{"open", 10, math.NaN()}, {"duct", 10, math.NaN()}}
	f, all := frame.FromStructs(rows), frame.FromStructs(many)
	for want, draw := range map[string]func() (*chart.Figure, error){
		"rise against speed, by part: median 22.0 K (open), 5.0 K (duct)":           func() (*chart.Figure, error) { return f.Scatter("speed", "rise", "part") },
		"rise against speed: median 13.0 K":                                         func() (*chart.Figure, error) { return f.Scatter("speed", "rise") },
		"rise over speed, by part: 20.0 to 24.0 K (open), −3.0 to 6.0 K (duct)":     func() (*chart.Figure, error) { return f.Line("speed", "rise", "part") },
		"How often which rise, by part: medians from 5.0 K (duct) to 22.0 K (open)": func() (*chart.Figure, error) { return all.Histogram("rise", "1 K", "part") },
		"rise, by part: medians from 5.0 K (duct) to 22.0 K (open)":                 func() (*chart.Figure, error) { return all.Box("rise", "part") },
		"rise over speed, one panel for each part: median 22.0 K (open), 5.0 K (duct)": func() (*chart.Figure, error) {
			return f.Facets("part").Line("speed", "rise")
		},
		"rise −3.0 to 24.0 K, speed 10.0 to 30.0 km/h over speed": func() (*chart.Figure, error) {
			return f.Sort("speed").Lines("speed", "rise", "speed")
		},
		"rise against speed, by part": func() (*chart.Figure, error) { return frame.FromStructs(none).Scatter("speed", "rise", "part") },
	} {
		fig, err := draw()
		if err != nil {
			t.Errorf("%s: %v", want, err)
		} else if fig.Title != want {
			t.Errorf("the title is %q, want %q", fig.Title, want)
		}
	}
	fig, err := f.Derive("since start", "s", func(r frame.Row) float64 { return r.In("speed", "km/h") }).Line("since start", "rise", "part")
	if err != nil || !strings.HasPrefix(fig.Title, "rise since start, by part: 20.0 to") {
		t.Errorf("%v: %v", fig, err)
	}
}
