package plan

import (
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
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

// With 2 K between drives, 3 K need 9 drives a side at 80 %: R
// power.t.test(delta = 3, sd = 2, power = 0.8) gives n = 8.06.
func TestNextCountsDrives(t *testing.T) {
	d := compare.Difference{Stratum: "road", Verdict: compare.Undecided, Change: estimate.Estimate{Interval: estimate.Interval{Level: 0.95}},
		Before: compare.Mean{Drives: 3, Deviation: 2}, After: compare.Mean{Drives: 3, Deviation: 2}}
	full := &drive.Drive{Name: "x", Start: time.Unix(1, 0), Channels: map[drive.Role]*drive.Channel{}}
	for _, r := range drive.Roles() {
		full.Channels[r] = &drive.Channel{Uncertainty: 0.2}
	}
	full.Weather.Pressure = 1e5
	steps := Next(Known{Drives: []*drive.Drive{full}, Differences: []compare.Difference{d}})
	if len(steps) != 2 || !strings.Contains(steps[0].Do, "until there are 9 drives") {
		t.Errorf("steps: %v", steps)
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
