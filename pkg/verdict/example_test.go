package verdict_test

import (
	"fmt"
	"log"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

// From a campaign file to the table of before and after.
func ExampleOpen() {
	a, err := verdict.Open("../../testdata/demo/campaign.toml", verdict.Question{})
	if err != nil {
		log.Fatal(err)
	}
	for _, d := range a.Differences {
		fmt.Printf("%-14s %3.0f K, %d + %d drives: %v\n", d.ID, d.Change.Value, d.Before.Drives, d.After.Drives, d.Verdict)
	}
	fmt.Println(len(a.LeftOut), "drives left out")
	// Output:
	// stopped        -13 K, 3 + 3 drives: undecided
	// stop_and_go    -18 K, 3 + 3 drives: cooler
	// road_slow      -17 K, 3 + 3 drives: cooler
	// road_middle    -12 K, 3 + 3 drives: cooler
	// road_fast      -15 K, 3 + 3 drives: cooler
	// full_throttle  -12 K, 3 + 3 drives: cooler
	// 0 drives left out
}

// From the files of two drives to the table of before and after, without a
// campaign file.
func ExampleOfDrives() {
	speed := []drive.Column{{Name: "speed", Role: drive.Speed}}
	probes := []drive.Column{{Name: "T1", Role: drive.Ambient}, {Name: "T2", Role: drive.Intake}, {Name: "T4", Role: drive.TopTank}}
	var requests []drive.Request
	for _, x := range [][2]string{{"open-1", "open filters"}, {"duct-1", "cold-air duct"}} {
		requests = append(requests, drive.Request{Name: x[0], Configuration: x[1], Sources: []drive.Source{
			{Device: "phone", Files: []string{"../../testdata/demo/" + x[0] + "-phone.csv"}, Columns: speed},
			{Device: "logger A", Files: []string{"../../testdata/demo/" + x[0] + "-logger-a.csv"}, Columns: probes, Layout: recording.Layout{Zone: "+02:00"}}}})
	}
	a, err := verdict.OfDrives(drive.JoinAll(requests...), verdict.Question{Before: "open filters", After: "cold-air duct"})
	if err != nil {
		log.Fatal(err)
	}
	for _, d := range a.Differences {
		fmt.Println(d)
	}
	// Output:
	// stopped: not comparable (1 + 1 drives; their means differ by −24.1 K)
	// stop-and-go: not comparable (1 + 1 drives; their means differ by −25.5 K)
	// road below 60 km/h: not comparable (1 + 1 drives; their means differ by −16.7 K)
	// road 60 to 95 km/h: not comparable (1 + 1 drives; their means differ by −12.8 K)
	// road above 95 km/h: not comparable (1 + 1 drives; their means differ by −15.9 K)
	// full throttle: no comparison, drives with it: 0 before, 0 after
}
