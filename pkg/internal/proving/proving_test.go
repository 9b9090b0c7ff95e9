package proving

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge"
)

// Instruments read with their errors, so the rise that is read is near the true
// one and not equal to it.
func TestDriveCarriesTheReadings(t *testing.T) {
	c, err := judge.Make(judge.Plan{Seed: 3, Before: 1, After: 1, ScatterK: 1.2})
	if err != nil {
		t.Fatal(err)
	}
	d, err := Drive(c, c.Drives[0])
	if err != nil {
		t.Fatal(err)
	}
	if !d.Has(drive.Intake, drive.Ambient, drive.TopTank, drive.Coolant, drive.EngineBay, drive.Speed, drive.Altitude, drive.Latitude, drive.Longitude) {
		t.Fatalf("channels %v", d.Channels)
	}
	if d.Configuration != "open" {
		t.Errorf("configuration %q", d.Configuration)
	}
	off := d.Channels[drive.Ambient].Series.Value[100] - 273.15 - c.Drives[0].Trace.AmbientC[200]
	if off == 0 || off < -6 || off > 12 {
		t.Errorf("the ambient probe reads %+.2f K off", off)
	}
	if a, b := Seeds(1, 3), Seeds(1, 3); a[2] != b[2] || a[0] == a[1] {
		t.Errorf("seeds %v %v", a, b)
	}
}
