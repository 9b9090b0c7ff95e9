//go:build proof

package heat

import (
	"cmp"
	"fmt"
	"image/color"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
)

// A miss is an interval that the truth lies far from, in half-widths.
type miss struct {
	by               float64
	text             string
	of               course
	low, high, truth float64 // K
}

// misses are the ten worst of a kind.
type misses []miss

func (m *misses) add(low, high, truth float64, of course, format string, arguments ...any) {
	by := math.Abs((low+high)/2-truth) / ((high - low) / 2)
	*m = append(*m, miss{by, fmt.Sprintf(format, arguments...), of, low, high, truth})
	slices.SortFunc(*m, func(a, b miss) int { return cmp.Compare(b.by, a.by) })
	*m = (*m)[:min(10, len(*m))]
}

// Lists the ten drives of each simulator whose radiator's part lies furthest
// from the truth, and the ten held climbs, of probes that were compared, and
// draws them into the folder that BONNETBOOK_PROOF_WORST names.
func TestWorst(t *testing.T) {
	cars := setting("BONNETBOOK_PROOF_CARS", 44)
	seed := uint64(setting("BONNETBOOK_PROOF_SEED", 2026))
	for _, second := range []bool{true, false} {
		var steps, climbs misses
		f := func(c proofCar) {
			for i, x := range c.courses {
				x = x.compared()
				a, blocks, ok := examined(t, x)
				if !ok {
					continue
				}
				if e := a.FromRadiator; e.Known() && x.opening > 20 {
					after, at := settledBlocks(blocks), int(x.opening)
					before := pick(blocks, func(b block) bool { return b.onset < 0 && b.onset > -beforeBlocks })
					kmh := func(all []block) float64 { return 3.6 * mean(column(all, func(b block) float64 { return b.speed })) }
					steps.add(e.Interval.Low, e.Interval.High, over(x.radiator, after)-mean(x.radiator[at-20:at]), x,
						"%s, opening at %.0f s: radiator %.1f ± %.1f K; before %.1f K at %.0f km/h, after %.1f K at %.0f km/h, of these %.1f K not the radiator's",
						c.name, x.opening, e.Value, e.Interval.Width()/2, over(x.rise, before), kmh(before), over(x.rise, after), kmh(after), over(x.rise, after)-over(x.radiator, after))
				}
				if i > 0 || a.model.why != "" {
					continue
				}
				for _, p := range c.pulls(x.ambient) {
					got, err := a.Predict(p.condition)
					if err != nil || p.kind != pullKind(300, "held 80 km/h") {
						continue
					}
					ambient := p.condition.Ambient.Kelvin()
					climbs.add(got.Low.Kelvin()-ambient, got.High.Kelvin()-ambient, p.rise, x,
						"%s, climb of %.0f %%: %v; the drive had %.1f K at %.0f km/h, flow up to %.1f",
						c.name, 100*p.condition.Grade, got.Intake.Sub(p.condition.Ambient), a.model.rise, 3.6*a.model.reference, a.model.most)
				}
			}
		}
		name := "own simulator"
		if second {
			name = "second model"
			judged(t, seed, cars, 2, car.Season{}, nil, f)
		} else {
			simulated(t, seed, cars, 2, 0, 30, f)
		}
		steps.show(t, name+" radiator")
		climbs.show(t, name+" climb")
	}
}

// show lists and draws.
func (m misses) show(t *testing.T, name string) {
	folder := os.Getenv("BONNETBOOK_PROOF_WORST")
	for i, x := range m {
		fmt.Printf("%s %02d: off by %.1f half-widths, true %.1f K: %s\n", name, i+1, x.by, x.truth, x.text)
		if folder == "" {
			continue
		}
		if err := x.draw(filepath.Join(folder, fmt.Sprintf("%s %02d.png", name, i+1))); err != nil {
			t.Fatal(err)
		}
	}
}

// draw shows the true rise and what of it the radiator gave, the speed, the
// opening (black), the truth asked for (black, level) and the interval (red).
func (m miss) draw(file string) error {
	p := plot.New()
	p.Title.Text = m.text
	p.Title.TextStyle.Font.Size = 6
	p.X.Label.Text, p.Y.Label.Text = "s", "K, km/h over 4"
	p.Y.Min, p.Y.Max = -5, 60
	speed := m.of.drive.Channels[drive.Speed].Series
	v := make([]float64, len(m.of.rise))
	for i := range v {
		v[i] = 3.6 / 4 * speed.Lookup(float64(i), 10)
	}
	end := float64(len(v))
	level := func(y float64) []float64 { return slices.Repeat([]float64{y}, len(v)) }
	for _, l := range []struct {
		name string
		y    []float64
		col  color.Color
	}{
		{"rise", m.of.rise, color.RGBA{220, 120, 0, 255}}, {"radiator", m.of.radiator, color.RGBA{0, 90, 200, 255}}, {"speed", v, color.Gray{190}},
		{"true", level(m.truth), color.Black}, {"interval", level(m.low), color.RGBA{200, 0, 0, 255}}, {"", level(m.high), color.RGBA{200, 0, 0, 255}},
	} {
		var xy plotter.XYs
		for i, y := range l.y {
			if !math.IsNaN(y) {
				xy = append(xy, plotter.XY{X: float64(i), Y: y})
			}
		}
		if err := addLine(p, l.name, xy, l.col); err != nil {
			return err
		}
	}
	if m.of.opening < end {
		if err := addLine(p, "", plotter.XYs{{X: m.of.opening, Y: -5}, {X: m.of.opening, Y: 60}}, color.Black); err != nil {
			return err
		}
	}
	return p.Save(20*vg.Centimeter, 11*vg.Centimeter, file)
}

func addLine(p *plot.Plot, name string, xy plotter.XYs, col color.Color) error {
	l, err := plotter.NewLine(xy)
	if err != nil {
		return err
	}
	l.Color = col
	p.Add(l)
	if name != "" {
		p.Legend.Add(name, l)
	}
	return nil
}
