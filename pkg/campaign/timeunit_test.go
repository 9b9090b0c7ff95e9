package campaign_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// A file whose header says seconds and whose numbers are milliseconds is no
// device's with one that counts seconds: what one says does not hold for the other,
// and the unit is asked.
func TestSecondsBesideMillis(t *testing.T) {
	dir := t.TempDir()
	for name, step := range map[string]int{"monday.csv": 2, "tuesday.csv": 2000} {
		text := "Time (s),Ambient (°C),Intake (°C)\n"
		for i := range 600 {
			text += fmt.Sprintf("%d,%.1f,%.1f\n", step*i, 15+0.2*math.Sin(float64(i+step)/50), 25+5*math.Sin(float64(i)/90+float64(step)))
		}
		write(t, dir, name, text)
	}
	s, err := campaign.Draft(dir)
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(s.Text, `time_format = "?"`); n != 1 {
		t.Fatalf("the unit of times is asked %d times, want once:\n%s", n, s.Text)
	}
	c := answered(t, s, `time_format = "?"`, `time_format = "elapsed ms"`, `configuration = "?"`, `configuration = "before"`)
	if len(c.DriveNames()) != 2 {
		t.Fatalf("drives %q", c.DriveNames())
	}
	for _, name := range c.DriveNames() {
		d, err := c.Drive(name)
		if err != nil {
			t.Fatal(err)
		}
		if span := d.Channels[drive.Intake].Series.Interval().Duration(); math.Abs(span-1198) > 0.1 {
			t.Errorf("%s lasts %g s, want 1198", name, span)
		}
	}
}
