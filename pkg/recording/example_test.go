package recording_test

import (
	"errors"
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

// The export of a logger with two thermocouples, one of them unplugged for a
// moment.
const export = `Two-channel logger
Date;Time;T1 intake;T2 outside
24.05.2026;10:00:00;31,5 °C;18,0 °C
24.05.2026;10:00:02;31,9 °C;OL
24.05.2026;10:00:04;32,4 °C;18,1 °C
24.05.2026;10:00:0
`

// A file is read without saying how it is laid out. What was found, and what
// became of every line, is told.
func ExampleRead() {
	r, err := recording.Read("logger.csv", strings.NewReader(export), recording.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	intake, err := r.Column("T1 intake")
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, t := range intake.Series.Time {
		fmt.Printf("%g s: %s\n", t, quantity.Format(intake.Series.Value[i], intake.Dimension.Shown(), 4))
	}
	fmt.Print(r.Account)
	fmt.Println(r.Detection)
	// Output:
	// 0 s: 31.5 °C
	// 2 s: 31.9 °C
	// 4 s: 32.4 °C
	//         6  lines, of which
	//         3  read
	//         2  header
	//         1  rejected: 2 of 4 cells, and no time (first at line 6)
	//         1  missing cells in lines that were read, of which
	//         1  T2 outside: no reading: "OL" (first at line 4)
	// utf-8; semicolon; decimal comma; 2 header lines; date in column 1, "Date", time in column 2, "Time"; day first (line 3 has 24.05.2026); °C in T1 intake (unit behind the numbers); °C in T2 outside (unit behind the numbers)
}

// Where a file can be read in two ways, the answer goes into the layout.
func ExampleOptions() {
	text := "Time,Intake (°C)\n03/04/2026 10:00:00,31.5\n03/04/2026 10:00:01,31.9\n"
	_, err := recording.Read("drive.csv", strings.NewReader(text), recording.Options{})
	var open *recording.AmbiguousError
	if errors.As(err, &open) {
		for _, r := range open.Readings {
			fmt.Println(r.Meaning, "is", r.Setting)
		}
	}
	layout := recording.Layout{DateOrder: recording.DayMonthYear}
	r, err := recording.Read("drive.csv", strings.NewReader(text), recording.Options{Layout: layout})
	fmt.Println(r.Start.Format("2 January 2006"), err)
	// Output:
	// day first: 2026-04-03 is date_order = "dmy"
	// month first: 2026-03-04 is date_order = "mdy"
	// 3 April 2026 <nil>
}
