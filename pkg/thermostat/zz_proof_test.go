//go:build proof

package thermostat

import (
	"fmt"
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

func TestLook(t *testing.T) {
	var out []float64
	n := 0
	for i := range 600 {
		if i%10 > 6 {
			continue
		}
		s := simulateDrive(uint64(i), "opens", []drive.Role{drive.Coolant, drive.Speed})
		r, _ := Find(s.drive)
		if r.Outcome != Opened || math.IsNaN(s.truth) {
			continue
		}
		n++
		d := max(r.Interval95.From-s.truth, s.truth-r.Interval95.To)
		if d > 0 {
			out = append(out, math.Round(d*10)/10*math.Copysign(1, s.truth-r.Onset))
		}
	}
	fmt.Println(n, out)
	for i := range 120 {
		kind := [...]string{"opens", "opens", "opens", "opens", "opens", "opens", "opens", "short", "stuck", "warm"}[i%10]
		if i%10 < 5 {
			continue
		}
		s := simulateDrive(uint64(i), kind, []drive.Role{drive.EngineBay, drive.Intake, drive.Ambient, drive.Speed})
		for _, role := range []drive.Role{drive.EngineBay, drive.Intake} {
			tr := newTrace(role, s.drive.Channels[role].Series, 10)
			v := judgeAir(&tr, along(s.drive, drive.Ambient, &tr), along(s.drive, drive.Speed, &tr), DefaultRules())
			if v.evidence != nil {
				fmt.Printf("%s %d %s truth %.0f: %.0f %v ev %.0f start %.1f %s\n", kind, i, role, s.truth, v.evidence.Onset, v.evidence.Interval95, v.evidence.LogEvidence, tr.y[0]-s.drive.Channels[drive.Ambient].Series.Value[0], v.evidence.Says)
			}
		}
	}
}
