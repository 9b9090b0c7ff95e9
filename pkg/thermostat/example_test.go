package thermostat_test

import (
	"fmt"
	"log"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

func ExampleFind() {
	d, err := drive.Join(drive.Request{Name: "first run", Sources: []drive.Source{
		{Device: "logger A", Files: []string{"../../testdata/demo/open-1-logger-a.csv"},
			Columns: []drive.Column{{Name: "T4", Role: drive.TopTank}}},
	}})
	if err != nil {
		log.Fatal(err)
	}
	r, err := thermostat.Find(d)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(r.Outcome, "with", r.Confidence, "confidence")
	open, known := r.IsOpen(1200)
	fmt.Println("after 20 minutes open:", open, "known:", known)
	// Output:
	// opened with medium confidence
	// after 20 minutes open: true known: true
}
