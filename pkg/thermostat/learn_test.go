package thermostat

import (
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// climbTo climbs from 18 °C at 6 K/min to a level and holds it.
func climbTo(level float64) func(float64) float64 {
	return func(t float64) float64 { return min(18+0.1*t, level+0.5*math.Sin(t/15)) }
}

// Four drives whose coolant bends near 86 °C, one that bends at 75 °C and ends
// there, and one that ends too soon after its bend at 86 °C to be sure.
func campaignOfSix() (all []*drive.Drive) {
	for i, level := range []float64{86, 85.5, 86.5, 86, 75, 86} {
		seconds := 1500.0
		if i == 5 {
			seconds = 680 + 200
		}
		d := logged(seconds, map[drive.Role]func(float64) float64{drive.Coolant: climbTo(level), drive.Speed: constant(60)})
		d.Name = string(rune('A' + i))
		all = append(all, d)
	}
	return all
}

func TestLearn(t *testing.T) {
	drives := campaignOfSix()
	var results []Result
	for _, d := range drives {
		results = append(results, find(t, d))
	}
	if results[4].Outcome != Opened || results[5].Outcome != NotDecidable {
		t.Fatalf("on their own: %v, %v", results[4], results[5])
	}
	own, again, err := Learn(drives, results, quantity.Temperature{}, DefaultRules())
	if err != nil {
		t.Fatal(err)
	}
	if got := quantity.Kelvin(own.Temperature.Value).Celsius(); math.Abs(got-86) > 1.5 || !own.Temperature.Interval.Known() || len(own.Drives) < 4 {
		t.Errorf("own temperature %v from %v", own.Temperature, own.Drives)
	}
	if len(own.Outliers) != 1 || own.Outliers[0] != "E" || again[4].Outcome != NotDecidable || !strings.Contains(again[4].Reason, "75") {
		t.Errorf("outliers %v: %v", own.Outliers, again[4])
	}
	if again[5].Outcome != Opened || math.Abs(again[5].Onset-680) > 15 || again[5].Confidence != Low {
		t.Errorf("the doubtful one: %v", again[5])
	}
	for i := range 4 {
		if again[i].Onset != results[i].Onset {
			t.Errorf("drive %d moved from %v to %v", i, results[i].Onset, again[i].Onset)
		}
	}
	if results[4].Outcome != Opened {
		t.Error("the answers given were changed")
	}
}

// Too few drives teach nothing without a stamp, and a little with one.
func TestLearnFromFew(t *testing.T) {
	drives := campaignOfSix()[:2]
	results := []Result{find(t, drives[0]), find(t, drives[1])}
	own, _, err := Learn(drives, results, quantity.Temperature{}, DefaultRules())
	if err != nil || own.Temperature.Known() || own.Temperature.Missing == "" {
		t.Errorf("%+v, %v", own, err)
	}
	own, _, err = Learn(drives, results, quantity.Celsius(82), DefaultRules())
	if err != nil || !own.Temperature.Known() {
		t.Fatalf("%+v, %v", own, err)
	}
	if got := quantity.Kelvin(own.Temperature.Value).Celsius(); got > 86 || got < 84 {
		t.Errorf("%.1f °C from two drives at 86 °C and a stamp of 82", got)
	}
	if _, _, err := Learn(drives, results[:1], quantity.Temperature{}, DefaultRules()); err == nil {
		t.Error("one result for two drives accepted")
	}
}
