package thermostat

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// realCase is one real log and what one reader saw by eye in its plot.
type realCase struct {
	file          string
	onset, within float64 // s; onset 0: never opens
}

var realCases = []realCase{
	{"car_a/live1.csv", 525, 20}, {"car_a/live3.csv", 355, 12}, {"car_a/live27.csv", 370, 12},
	{"car_a/drive12.csv", 312, 8}, {"car_a/drive5.csv", 0, 0},
	{"car_b/2018-02-14.csv", 930, 12}, {"car_b/2018-03-22.csv", 1090, 20}, {"car_b/2017-07-11.csv", 1420, 25},
	{"car_b/2018-02-27.csv", 0, 0},
}

// Logs of two real cars, which are not part of the project; the test runs
// where the variable names their folder.
func TestRealDrives(t *testing.T) {
	folder := os.Getenv("BONNETBOOK_REAL_DATA")
	if folder == "" {
		t.Skip("BONNETBOOK_REAL_DATA names no folder of real logs")
	}
	for _, c := range realCases {
		t.Run(c.file, func(t *testing.T) {
			d := readReal(t, filepath.Join(folder, c.file))
			r, err := Find(d)
			if err != nil {
				t.Fatal(err)
			}
			t.Log(r)
			if c.onset == 0 {
				if r.Outcome != NotReached {
					t.Errorf("outcome %v, by eye it never opens", r.Outcome)
				}
				return
			}
			if r.Outcome != Opened || math.Abs(r.Onset-c.onset) > c.within {
				t.Errorf("%v at %.0f s, by eye %.0f ± %.0f s", r.Outcome, r.Onset, c.onset, c.within)
			}
		})
	}
}

// readReal reads one of the two layouts: running seconds, or a clock time.
func readReal(t *testing.T, path string) *drive.Drive {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	in := csv.NewReader(f)
	in.FieldsPerRecord = -1
	in.TrimLeadingSpace = true
	rows, err := in.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	columns := map[drive.Role]string{}
	for i, h := range rows[0] {
		for role, want := range map[drive.Role][]string{
			drive.Coolant: {"COOLANT_TEMPERATURE", "Engine Coolant"}, drive.Intake: {"INTAKE_AIR", "Intake Air"},
			drive.Speed: {"VEHICLE_SPEED", "Vehicle Speed"}, drive.Ambient: {"Ambient Air"}} {
			for _, w := range want {
				if strings.HasPrefix(h, w) {
					columns[role] = fmt.Sprint(i)
				}
			}
		}
	}
	d := &drive.Drive{Name: filepath.Base(path), Channels: map[drive.Role]*drive.Channel{}}
	for role, col := range columns {
		k, _ := strconv.Atoi(col)
		d.Channels[role] = &drive.Channel{Role: role, Series: readColumn(t, rows, k, role)}
	}
	return d
}

func readColumn(t *testing.T, rows [][]string, k int, role drive.Role) *series.Series {
	t.Helper()
	var times, values []float64
	first := math.NaN()
	for _, row := range rows[1:] {
		var at float64
		if c, err := time.Parse("15:04:05.000", row[0]); err == nil {
			at = c.Sub(c.Truncate(24 * time.Hour)).Seconds()
		} else if at, err = strconv.ParseFloat(row[0], 64); err != nil {
			continue
		}
		if math.IsNaN(first) {
			first = at
		}
		at -= first
		v, err := strconv.ParseFloat(strings.TrimSpace(row[k]), 64)
		if err != nil || len(times) > 0 && at <= times[len(times)-1] {
			continue // an empty field, or a repeated time: the first counts
		}
		if role == drive.Speed {
			v = (quantity.Speed(v) * quantity.KilometrePerHour).MetresPerSecond()
		} else {
			v = quantity.Celsius(v).Kelvin()
		}
		times, values = append(times, at), append(values, v)
	}
	dim, _ := role.Dimension()
	s, err := series.New(string(role), dim, time.Time{}, times, values)
	if err != nil {
		t.Fatal(err)
	}
	return s
}
