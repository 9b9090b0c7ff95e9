package heat

import (
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// A probe that was compared with nothing has the limits of its class as a
// rectangle: 2.5 K/√3 (IEC 60584-1:2013, table 12, class 2; JCGM 100, 4.3.7).
// One that was compared has what the comparison says.
func TestProbeErrors(t *testing.T) {
	channel := func(role drive.Role, u float64) *drive.Channel {
		return &drive.Channel{Role: role, Device: "A", Uncertainty: u, Series: &series.Series{Dimension: series.Temperature}}
	}
	d := &drive.Drive{Channels: map[drive.Role]*drive.Channel{drive.Intake: channel(drive.Intake, 0), drive.Ambient: channel(drive.Ambient, 0.2)}}
	got := map[float64]bool{}
	for _, c := range probeErrors(d) {
		if c.Source.Kind == estimate.Probe {
			got[math.Round(c.Effect*1e9)/1e9] = true
		}
	}
	if !got[math.Round(2.5/math.Sqrt(3)*1e9)/1e9] || !got[-0.2] {
		t.Errorf("probe errors %v", got)
	}
}
