package recording

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// TestRealFiles reads logs that nobody of this project wrote, where the folder
// of BONNETBOOK_REAL_DATA holds them. Rows were counted with wc and grep, not
// with this package; they are not part of the project.
func TestRealFiles(t *testing.T) {
	folder := os.Getenv("BONNETBOOK_REAL_DATA")
	if folder == "" {
		t.Skip("BONNETBOOK_REAL_DATA is not set")
	}
	for _, c := range []struct {
		file    string
		rows    int
		missing int    // cells; −1 for any
		says    string // in warnings, changes or rejects
		layout  Layout
	}{
		{"car_a/live1.csv", 3853, 0, "share a stamp", Layout{}},
		{"car_a/live3.csv", 3022, 0, "share a stamp", Layout{}},
		{"car_a/live27.csv", 2381, 0, "share a stamp", Layout{}},
		{"car_a/drive12.csv", 3836, 0, "share a stamp", Layout{}},
		{"car_a/drive5.csv", 627, 0, "share a stamp", Layout{}},
		{"car_b/2017-07-11.csv", 17934, 0, "refreshes one signal", Layout{}},
		{"car_b/2018-02-14.csv", 30973, 0, "refreshes one signal", Layout{}},
		{"car_b/2018-02-27.csv", 17405, 0, "refreshes one signal", Layout{}},
		{"car_b/2018-03-22.csv", 27579, 0, "refreshes one signal", Layout{}},
		{"gps/drive_b.nmea.txt", 774, 0, "void fix", Layout{}},
		{"gps/drive_a_short.nmea.txt", 226, -1, "", Layout{}},
		{"gps/around-visnjan-with-car.gpx", 104, 0, "no speed in the file", Layout{}},
		{"gps/track_with_speed.gpx", 3, 0, "", Layout{}},
		{"gps/track-with-less-sec-time.gpx", 2, 0, "", Layout{}},
		{"gps/track-with-empty-segment.gpx", 9, 0, "", Layout{}},
		{"reencoded/cp1252_fahrenheit_OL.csv", 120, 15, "OL", Layout{DateOrder: DayMonthYear}}, // 24/01/25: asked without
		{"reencoded/restart_clockjump_9999.csv", 120, 7, "back by one hour", Layout{}},
		{"reencoded/tabtext.xls", 120, 0, "", Layout{}},
		{"reencoded/utf16le_comma.txt", 120, 0, "", Layout{}},
		{"thermocouple/jm1261_Cups_of_Tea.csv", 521, 23, "empty", Layout{}},
		{"thermocouple/siyuchen_dat00003.csv", 1363, -1, "", Layout{DateOrder: MonthDayYear}},
		{"thermocouple/siyuchen_opentcs.csv", 16424, -1, "", Layout{}},
	} {
		path := filepath.Join(folder, c.file)
		if _, err := os.Stat(path); err != nil {
			t.Logf("%s is not there", c.file)
			continue
		}
		r, err := Open(path, Options{Layout: c.layout})
		if err != nil {
			t.Errorf("%s: %v", c.file, err)
			continue
		}
		checkRecording(t, r, err)
		all := r.Account.String() + strings.Join(estimate.Texts(r.Warnings), "\n")
		if r.Rows() != c.rows || (c.missing >= 0 && r.Account.MissingCells() != c.missing) || !strings.Contains(all, c.says) {
			t.Errorf("%s: %d rows, want %d; %d missing, want %d; %q\n%s%s", c.file, r.Rows(), c.rows, r.Account.MissingCells(), c.missing, c.says, r, r.Account)
		}
	}
}
