package plan

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func TestNextNamesWhatIsMissing(t *testing.T) {
	bare := &drive.Drive{Name: "first", Configuration: "a", Channels: map[drive.Role]*drive.Channel{drive.Intake: {}}}
	var all strings.Builder
	for _, s := range Next(Known{Drives: []*drive.Drive{bare}}) {
		all.WriteString(s.String() + "\n")
	}
	for _, want := range []string{"ahead of the radiator", "with a phone", "top tank", "one cup", "station pressure", `"first"`} {
		if !strings.Contains(all.String(), want) {
			t.Errorf("no word of %q in:\n%s", want, all.String())
		}
	}
}

// Three drives a side that differ by about 2 K: R's power.t.test(delta = 4, sd =
// 2, power = 0.8) gives n = 5.1 for a scatter that is known to be 2 K; three
// drives do not know that, so that a few more are asked for. The step names the
// chance of its own whole number, 80 % or a little more.
func TestNextCountsDrives(t *testing.T) {
	var rises []compare.DriveRise
	for configuration, x := range map[string][]float64{"a": {14, 16, 18}, "b": {14.5, 16.5, 18.5}} {
		for i, v := range x {
			rises = append(rises, compare.DriveRise{Drive: configuration + string(rune('1'+i)), Configuration: configuration, ID: compare.RoadMiddle,
				Mean: quantity.TemperatureDifference(v), Ambient: quantity.Celsius(20), Speed: 20})
		}
	}
	differences, err := compare.Configurations(rises, "a", "b", compare.DefaultRules())
	if err != nil {
		t.Fatal(err)
	}
	full := &drive.Drive{Name: "x", Start: time.Unix(1, 0), Channels: map[drive.Role]*drive.Channel{}}
	for _, r := range drive.Roles() {
		full.Channels[r] = &drive.Channel{Uncertainty: 0.2}
	}
	full.Weather.Pressure = 1e5
	steps := Next(Known{Drives: []*drive.Drive{full}, Differences: differences, Wanted: 4})
	var n, chance int
	if len(steps) != 2 {
		t.Fatalf("steps: %v", steps)
	}
	if _, err := fmt.Sscanf(steps[0].Do, `drive "road 60 to 95 km/h" until there are %d drives`, &n); err != nil || n < 6 || n > 12 {
		t.Errorf("%v: %v", steps[0], err)
	}
	if _, err := fmt.Sscanf(steps[0].Why[strings.Index(steps[0].Why, "K in ")+5:], "%d of 100", &chance); err != nil || chance < 80 || chance > 87 {
		t.Errorf("%v: %v", steps[0], err)
	}
}

// Whether there is enough full throttle is told by the stratum's kind, not by
// its name.
func TestFullThrottleByKind(t *testing.T) {
	asks := func(d compare.Difference) bool {
		for _, s := range Next(Known{Differences: []compare.Difference{d}}) {
			if strings.Contains(s.Do, "full-throttle") {
				return true
			}
		}
		return false
	}
	d := compare.Difference{Stratum: "Vollgas", AtFullThrottle: true, Verdict: compare.Cooler, Before: compare.Mean{Drives: 2}, After: compare.Mean{Drives: 2}}
	if asks(d) {
		t.Error("asks for full throttle although there is enough")
	}
	d.Stratum, d.AtFullThrottle = "full throttle", false
	if !asks(d) {
		t.Error("takes a name for a kind")
	}
}
