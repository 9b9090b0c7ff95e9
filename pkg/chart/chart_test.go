package chart

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

func testDrive(t *testing.T) *drive.Drive {
	t.Helper()
	d := &drive.Drive{Name: "test drive", Channels: map[drive.Role]*drive.Channel{}}
	for r, base := range map[drive.Role]float64{drive.Ambient: 290, drive.Intake: 310, drive.TopTank: 350, drive.Speed: 20} {
		var ts, vs []float64
		for i := range 900 {
			at := 2 * float64(i)
			if i >= 400 {
				at += 120 // a gap
			}
			ts = append(ts, at)
			vs = append(vs, base+3*math.Sin(float64(i)/40))
		}
		vs[100] = math.NaN()
		dim, _ := r.Dimension()
		s, err := series.New(string(r), dim, time.Time{}, ts, vs)
		if err != nil {
			t.Fatal(err)
		}
		d.Channels[r] = &drive.Channel{Role: r, Series: s}
	}
	return d
}

func TestForms(t *testing.T) {
	d := testDrive(t)
	opening := thermostat.Result{Outcome: thermostat.Opened, Onset: 600, Interval95: series.Interval{From: 580, To: 620}}
	rise, err := Rise(d, Opening(opening))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range []*Figure{Temperatures(d, Opening(opening)), rise, Coverage(d), Curves("c", "x", "y", Curve{Name: "a", X: []float64{0, 1}, Y: []float64{1, 2}, Lo: []float64{0, 1}, Hi: []float64{2, 3}})} {
		data, err := f.PNG()
		if err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		w, _ := f.size()
		if got := img.Bounds().Dx(); got != int(math.Round(w*dotsPerInch/72)) {
			t.Errorf("%s: %d pixels wide for %v points", f.Title, got, w)
		}
		svg, err := f.SVG()
		if err != nil {
			t.Fatal(err)
		}
		dec := xml.NewDecoder(bytes.NewReader(svg))
		for {
			if _, err := dec.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatalf("%s: SVG is not XML: %v", f.Title, err)
			}
		}
		doc, err := f.VegaLite()
		if err != nil {
			t.Fatal(err)
		}
		var v struct {
			Schema  string `json:"$schema"`
			Vconcat []any
		}
		if err := json.Unmarshal(doc, &v); err != nil || len(v.Vconcat) != len(f.Panels) || !strings.Contains(v.Schema, "vega-lite/v5") {
			t.Errorf("%s: Vega-Lite %v %v", f.Title, v.Schema, err)
		}
	}
}

// A cell sends the picture and no second form that says less and that newer
// front ends would prefer.
func TestCellsShowThePictureAlone(t *testing.T) {
	f := Curves("c", "x", "y", Curve{Name: "a", X: []float64{0, 1}, Y: []float64{1, 2}})
	if got := f.Display().Types(); !slices.Equal(got, []string{notebook.MIMEPNG, notebook.MIMEText}) {
		t.Errorf("a figure has the forms %q", got)
	}
}

// The exported document holds the data that are drawn, and is what a cell
// shows where it is asked for.
func TestVegaLiteHoldsTheData(t *testing.T) {
	f := Curves("c", "x", "y", Curve{Name: "a", X: []float64{0, 1, 2}, Y: []float64{1.5, math.NaN(), 2.5}, Lo: []float64{1, 2, 2}, Hi: []float64{2, 3, 3}})
	raw, err := f.VegaLite()
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Vconcat []struct {
			Layer []struct {
				Data struct{ Values []map[string]any }
				Mark struct{ Type string }
			}
		}
	}
	if err := json.Unmarshal(raw, &doc); err != nil {
		t.Fatal(err)
	}
	rows := map[string][]map[string]any{}
	for _, l := range doc.Vconcat[0].Layer {
		rows[l.Mark.Type] = l.Data.Values
	}
	line := []map[string]any{{"x": 0.0, "y": 1.5, "name": "a"}, {"x": 1.0, "y": nil, "name": "a"}, {"x": 2.0, "y": 2.5, "name": "a"}}
	if !reflect.DeepEqual(rows["line"], line) {
		t.Errorf("line %v, want %v", rows["line"], line)
	}
	if area := rows["area"]; len(area) != 3 || area[1]["y"] != 2.0 || area[1]["y2"] != 3.0 {
		t.Errorf("band %v", area)
	}
	if got := notebook.Format(notebook.VegaLite(raw)).Types(); !slices.Contains(got, notebook.MIMEVegaLite) {
		t.Errorf("shown on purpose, it has the forms %q", got)
	}
}

// The line breaks at a gap longer than drive.MaxGap and nowhere else.
func TestLineBreaksAtGaps(t *testing.T) {
	d := testDrive(t)
	l := seriesLine(d.Channels[drive.Intake].Series, "x", Style{}, quantity.KindTemperature.Unit("°C"))
	breaks := 0
	for _, y := range l.Y {
		if math.IsNaN(y) {
			breaks++
		}
	}
	if breaks != 1 {
		t.Errorf("%d breaks, want 1", breaks)
	}
}

// 20 °C is 68 °F and 100 °C is 212 °F; a difference of 30 K is 54 °F.
func TestRightScales(t *testing.T) {
	f, d := Fahrenheit(), FahrenheitDegrees()
	if f.Factor*20+f.Offset != 68 || f.Factor*100+f.Offset != 212 || d.Factor*30+d.Offset != 54 {
		t.Error("the scale of °F is wrong")
	}
}

func TestThinKeepsExtremes(t *testing.T) {
	n := 100000
	x, y := make([]float64, n), make([]float64, n)
	for i := range x {
		x[i] = float64(i)
	}
	y[54321], y[777] = 99, math.NaN()
	var top, missing bool
	keep := thin(x, y, 500)
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
	f := Curves("c", "x", "y", Curve{Name: "a", X: []float64{0, 1}, Y: []float64{1, 2}})
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
