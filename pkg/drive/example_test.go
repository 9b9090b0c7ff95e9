package drive_test

import (
	"fmt"
	"log"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

// A phone's file and a logger's become one drive. The logger's clock is not
// stated, so it is estimated.
func ExampleJoin() {
	d, err := drive.Join(drive.Request{Name: "Sunday morning", Sources: []drive.Source{
		{Device: "phone", Files: []string{"../../testdata/demo/duct-1-phone.csv"},
			Columns: []drive.Column{{Name: "speed", Role: drive.Speed}}},
		{Device: "logger A", Files: []string{"../../testdata/demo/duct-1-logger-a.csv"}, Layout: recording.Layout{Zone: "+02:00"},
			Columns: []drive.Column{{Name: "T1", Role: drive.Ambient}, {Name: "T2", Role: drive.Intake}}},
	}})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(d.RoleList())
	for _, c := range d.Clocks {
		fmt.Println(c.Device, "aligned:", c.Aligned(), "by", c.Result.Method)
	}
	// Output:
	// [ambient intake speed]
	// phone aligned: true by as written
	// logger A aligned: true by response to motion
}
