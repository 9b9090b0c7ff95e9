package heat_test

import (
	"fmt"
	"log"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/heat"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

func ExampleAnalyse() {
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
	opening, err := thermostat.Find(d)
	if err != nil {
		log.Fatal(err)
	}
	pieces, err := segment.SplitAfter(d, opening, segment.DefaultRules())
	if err != nil {
		log.Fatal(err)
	}
	a, err := heat.Analyse(d, opening, pieces)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("of a settled rise of %.0f K the radiator gives %.0f K\n", a.RiseAfter.Value, a.FromRadiator.Value)
	// Output:
	// of a settled rise of 21 K the radiator gives 12 K
}
