//go:build proof

package thermostat

import (
	"fmt"
	"os"
	"image/color"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
)

// ZZ=variant|kind|step|out.png|zoom|setname|onlywrong
func TestZZDump(t *testing.T) {
	w := strings.Split(os.Getenv("ZZ"), "|")
	if len(w) < 4 {
		t.Skip()
	}
	seed := uint64(4242)
	cars := 12
	if s := os.Getenv("ZZCARS"); s != "" {
		fmt.Sscan(s, &cars)
	}
	var all []*plot.Plot
	g := func(step float64, p proofDrive) {
		if fmt.Sprint(step) != w[2] || len(all) >= 12 {
			return
		}
		var title string
		wrong := false
		for _, s := range proofSets {
			r, err := Find(only(p.drive, s.roles))
			if err == nil {
				x := s.name + ": " + r.String()
				if len(x) > 230 {
					x = x[:230]
				}
				title += strings.ReplaceAll(x, "\n", " | ") + "\n"
				if len(w) > 6 && s.name == w[5] {
					if w[6] == "wrong" {
						wrong = r.Outcome == Opened && !r.Interval95.Contains(p.truth) || r.Outcome == StuckOpen && p.kind != kindStuck
					} else {
						wrong = r.Outcome.String() == w[6]
					}
				}
			}
		}
		if len(w) > 6 && !wrong {
			return
		}
		pl := plot.New()
		pl.Title.Text = title + fmt.Sprintf("truth %.0f %s", p.truth, p.drive.Name)
		pl.Title.TextStyle.Font.Size = vg.Points(6)
		k := 0
		for _, role := range []drive.Role{drive.TopTank, drive.Coolant, drive.Speed, drive.EngineBay} {
			c, ok := p.drive.Channels[role]
			if !ok {
				continue
			}
			var xy plotter.XYs
			for i, x := range c.Series.Time {
				v := c.Series.Value[i]
				if v != v {
					continue
				}
				if role != drive.Speed {
					v -= 273.15
				}
				if w[4] == "zoom" && (x < p.truth-150 || x > p.truth+200) {
					continue
				}
				xy = append(xy, plotter.XY{X: x, Y: v})
			}
			if len(xy) == 0 {
				continue
			}
			l, _ := plotter.NewLine(xy)
			l.Color = []color.Color{color.RGBA{200, 0, 0, 255}, color.RGBA{0, 0, 200, 255}, color.Gray{150}, color.RGBA{0, 150, 0, 255}}[k]
			pl.Add(l)
			if w[4] == "zoom" && role != drive.Speed {
				sc, _ := plotter.NewScatter(xy)
				sc.Radius = vg.Points(1)
				pl.Add(sc)
			}
			k++
		}
		if p.truth == p.truth {
			l, _ := plotter.NewLine(plotter.XYs{{X: p.truth, Y: 0}, {X: p.truth, Y: 100}})
			pl.Add(l)
		}
		all = append(all, pl)
	}
	if w[0] == "own" {
		for _, v := range simulatedVariants {
			if len(w) > 7 && v.name != w[7] {
				continue
			}
			simulated(v, w[1], seed, cars, g)
		}
	} else {
		judged(t, w[0], w[1], seed, cars, g)
	}
	if len(all) == 0 {
		return
	}
	cols := 3
	rows := (len(all) + cols - 1) / cols
	img := vgimg.New(vg.Points(1300), vg.Points(float64(260*rows)))
	dc := draw.New(img)
	tiles := draw.Tiles{Rows: rows, Cols: cols}
	for i, p := range all {
		p.Draw(tiles.At(dc, i%cols, i/cols))
	}
	f, _ := os.Create(w[3])
	defer f.Close()
	vgimg.PngCanvas{Canvas: img}.WriteTo(f)
}
