//go:build unix

package verdict_test

import (
	"fmt"
	"syscall"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

// From drives that are open and on one clock to the sentence: thermostat,
// stretches, rises, comparison. The demo has six drives; 200 are a season's, made of
// its six a day apart.
//
// Limits are 0.2 s for the demo's and 5 s for 200; the times that it took, and of
// which machine, stand in testdata/speed.txt. Processor time tells more where the
// machine is busy.
func BenchmarkVerdictOnOpenedDrives(b *testing.B) {
	c, err := campaign.Open("../../testdata/demo/campaign.toml")
	if err != nil {
		b.Fatal(err)
	}
	set, err := c.Gather()
	if err != nil {
		b.Fatal(err)
	}
	for _, n := range []int{len(set.Drives), 200} {
		b.Run(fmt.Sprint(n, " drives"), func(b *testing.B) {
			many := manyOf(set.Drives, n)
			begun := rusageSeconds(b)
			for b.Loop() {
				a, err := verdict.OfDrives(drive.Set{Drives: many}, verdict.Question{Before: "open filters", After: "cold-air duct"})
				if err != nil {
					b.Fatal(err)
				}
				_ = a.Judge(campaign.InPlace).Sentence()
			}
			b.ReportMetric((rusageSeconds(b)-begun)/float64(b.N), "cpu-s/op")
		})
	}
}

// rusageSeconds is what this process has used so far.
func rusageSeconds(b *testing.B) float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}

// manyOf repeats drives under other names, each round six days later and a little
// warmer at the intake, so that no two are copies.
func manyOf(drives []*drive.Drive, n int) []*drive.Drive {
	var many []*drive.Drive
	for i := range n {
		d := *drives[i%len(drives)]
		round := i / len(drives)
		d.Name, d.Start = fmt.Sprintf("%s, round %d", d.Name, round+1), d.Start.AddDate(0, 0, 6*round)
		d.Channels = map[drive.Role]*drive.Channel{}
		for role, c := range drives[i%len(drives)].Channels {
			if role == drive.Intake {
				warmer := *c
				series := *c.Series
				series.Value = append([]float64(nil), c.Series.Value...)
				for k := range series.Value {
					series.Value[k] += 0.02 * float64(round)
				}
				warmer.Series = &series
				c = &warmer
			}
			d.Channels[role] = c
		}
		many = append(many, &d)
	}
	return many
}
