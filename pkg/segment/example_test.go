package segment_test

import (
	"fmt"
	"log"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
)

func ExampleSplit() {
	asWritten := &clock.Result{} // the demo's first drive has two good clocks
	d, err := drive.Join(drive.Request{Name: "first run", Sources: []drive.Source{
		{Device: "phone", Clock: asWritten, Files: []string{"../../testdata/demo/open-1-phone.csv"},
			Columns: []drive.Column{{Name: "speed", Role: drive.Speed}}},
		{Device: "logger A", Clock: asWritten, Files: []string{"../../testdata/demo/open-1-logger-a.csv"}, Layout: recording.Layout{Zone: "+02:00"},
			Columns: []drive.Column{{Name: "T1", Role: drive.Ambient}, {Name: "T2", Role: drive.Intake}, {Name: "T4", Role: drive.TopTank}}},
	}})
	if err != nil {
		log.Fatal(err)
	}
	pieces, err := segment.Split(d)
	if err != nil {
		log.Fatal(err)
	}
	for _, kind := range segment.Kinds() {
		minutes := 0.0
		for _, s := range segment.Select(pieces, kind) {
			minutes += s.Interval.Duration() / 60
		}
		fmt.Printf("%v: %.1f min\n", kind, minutes)
	}
	// Output:
	// unknown: 0.0 min
	// stopped: 5.4 min
	// stop-and-go: 8.8 min
	// steady: 31.9 min
	// open road: 3.1 min
	// full throttle: 0.4 min
}
