//go:build proof

package thermostat

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
)

// A worstCase is an answer that the truth lies far from.
type worstCase struct {
	set string
	p   proofDrive
	r   Result
	off float64 // s by which the interval misses the truth
}

// worst collects the ten worst answers of a top tank or a coolant alone, read
// every 2 s.
type worst struct{ all []worstCase }

func (w *worst) add(set string, p proofDrive, r Result) {
	if r.Outcome != Opened || math.IsNaN(p.truth) {
		return
	}
	off := max(r.Interval95.From-p.truth, p.truth-r.Interval95.To)
	if off <= 0 {
		return
	}
	p.drive = only(p.drive, []drive.Role{drive.TopTank, drive.Coolant, drive.Speed})
	w.all = append(w.all, worstCase{set, p, r, off})
	slices.SortFunc(w.all, func(a, b worstCase) int { return cmp.Compare(b.off, a.off) })
	w.all = w.all[:min(len(w.all), 10)]
}

// draw writes the pictures to the folder that BONNETBOOK_PROOF_WORST names, and
// a line of text for each.
func (w *worst) draw(t *testing.T, name string) {
	folder := os.Getenv("BONNETBOOK_PROOF_WORST")
	if folder == "" {
		return
	}
	for i, c := range w.all {
		file := filepath.Join(folder, fmt.Sprintf("%s %02d.png", name, i+1))
		if err := c.draw(file); err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: %s, %s: truth %.0f s, off by %.0f s\n%v", filepath.Base(file), c.set, c.p.drive.Name, c.p.truth, c.off, c.r)
	}
}

// draw shows tank, coolant and speed around the truth (black) and the interval
// (red).
func (c worstCase) draw(file string) error {
	p := plot.New()
	p.Title.Text = fmt.Sprintf("%s: %s", c.set, c.p.drive.Name)
	p.X.Label.Text, p.Y.Label.Text = "s", "°C, km/h"
	p.X.Min, p.X.Max = min(c.p.truth, c.r.Interval95.From)-300, max(c.p.truth, c.r.Interval95.To)+300
	p.Y.Min, p.Y.Max = -10, 125
	line := func(x0, y0, x1, y1 float64, col color.Color) error {
		l, err := plotter.NewLine(plotter.XYs{{X: x0, Y: y0}, {X: x1, Y: y1}})
		if err == nil {
			l.Color = col
			p.Add(l)
		}
		return err
	}
	for role, col := range map[drive.Role]color.Color{drive.TopTank: color.RGBA{0, 90, 200, 255}, drive.Coolant: color.RGBA{220, 120, 0, 255}, drive.Speed: color.Gray{170}} {
		ch := c.p.drive.Channels[role]
		if ch == nil {
			continue
		}
		var xy plotter.XYs
		for i, v := range ch.Series.Value {
			y := v - 273.15
			if role == drive.Speed {
				y = 3.6 * v
			}
			if x := ch.Series.Time[i]; x > p.X.Min && x < p.X.Max && !math.IsNaN(v) {
				xy = append(xy, plotter.XY{X: x, Y: y})
			}
		}
		l, err := plotter.NewLine(xy)
		if err != nil {
			return err
		}
		l.Color = col
		p.Add(l)
		p.Legend.Add(string(role), l)
	}
	red := color.RGBA{200, 0, 0, 255}
	for _, l := range []struct {
		x   float64
		col color.Color
	}{{c.p.truth, color.Black}, {c.r.Interval95.From, red}, {c.r.Interval95.To, red}} {
		if err := line(l.x, -10, l.x, 125, l.col); err != nil {
			return err
		}
	}
	return p.Save(18*vg.Centimeter, 11*vg.Centimeter, file)
}
