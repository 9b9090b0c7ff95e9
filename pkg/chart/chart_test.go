package chart

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"image/png"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
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
		if got := img.Bounds().Dx(); got != 1378 {
			t.Errorf("%s: %d pixels wide for 620 points", f.Title, got)
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
	f, d := OtherScale(quantity.KindTemperature.Unit("°C")), OtherScale(quantity.KindTemperatureDifference.Unit("K"))
	if f.Factor*20+f.Offset != 68 || f.Factor*100+f.Offset != 212 || d.Factor*30+d.Offset != 54 {
		t.Error("the scale of °F is wrong")
	}
}

// Curves and series in °C or km/h have °F and mph on the right; plain numbers
// have nothing.
func TestCurvesHaveTheOtherUnit(t *testing.T) {
	c := Curve{X: []float64{0, 1}, Y: []float64{20, 30}}
	if r := Curves("t", "x", "y", c).Panels[0].Right; r != nil {
		t.Errorf("a number without a unit has %v on the right", r)
	}
	c.Unit = quantity.KindTemperature.Unit("°C")
	if r := Curves("t", "x", "y (°C)", c).Panels[0].Right; r == nil || r.Label != "°F" || math.Abs(r.Factor*100+r.Offset-212) > 1e-9 {
		t.Errorf("°C has %v on the right", r)
	}
	for d, want := range map[series.Dimension]string{series.Temperature: "°F", series.Speed: "mph"} {
		s := &series.Series{Name: "a", Dimension: d, Time: []float64{0, 60}, Value: []float64{290, 300}}
		if r := Overlay("t", []*series.Series{s}).Panels[0].Right; r == nil || r.Label != want {
			t.Errorf("%s has %v on the right, want %s", d, r, want)
		}
	}
}
