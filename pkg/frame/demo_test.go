package frame_test

import (
	"flag"
	"os"
	"sync"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/frame"
)

var update = flag.Bool("update", false, "write testdata/drives.csv again from the demo")

// demo opens the demo's drives once, which takes some seconds.
var demo = sync.OnceValues(func() ([]*drive.Drive, error) {
	c, err := campaign.Open("../../testdata/demo/campaign.toml")
	if err != nil {
		return nil, err
	}
	return c.Drives()
})

// stored are rows of the demo, one for each ten seconds, some columns of them.
const stored = "testdata/drives.csv"

// read opens the stored rows.
func read(tb testing.TB) *frame.Frame {
	tb.Helper()
	f, err := frame.ReadCSV(stored)
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

// TestUpdate writes the stored rows again where that is asked for. The results
// of pandas are made of them by testdata/answers.py.
func TestUpdate(t *testing.T) {
	if !*update {
		t.Skip("without -update the stored rows stay")
	}
	drives, err := demo()
	if err != nil {
		t.Fatal(err)
	}
	options := frame.DefaultOptions()
	options.Step = 10
	f := frame.Of(drives, options).Select(frame.Time, frame.DriveName, frame.Configuration, frame.Driving, frame.SinceStart, frame.SinceOpening,
		frame.Duration, "speed", "ambient", "engine-bay", "intake", "latitude", "longitude").In(frame.SinceStart, "s").In(frame.SinceOpening, "s")
	if err := os.Remove(stored); err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	if err := f.WriteCSV(stored); err != nil {
		t.Fatal(err)
	}
}
