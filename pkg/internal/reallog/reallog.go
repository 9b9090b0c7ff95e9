// Package reallog opens the logs of real cars, which are not part of the project,
// for tests that run where these are. Only tests import it.
package reallog

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Folder is that of the logs; the test is skipped where the environment names
// none.
func Folder(t testing.TB) string {
	t.Helper()
	folder := os.Getenv("BONNETBOOK_REAL_DATA")
	if folder == "" {
		t.Skip("BONNETBOOK_REAL_DATA names no folder of real logs")
	}
	return folder
}

// roles are those of the columns that begin so: what the car's own sensors read.
var roles = map[string]drive.Role{
	"COOLANT_TEMPERATURE": drive.Coolant, "Engine Coolant": drive.Coolant,
	"INTAKE_AIR": drive.Intake, "Intake Air": drive.Intake, "Ambient Air": drive.Ambient,
	"VEHICLE_SPEED": drive.Speed, "Vehicle Speed": drive.Speed,
}

// Drive opens a log and gives its columns their roles; the test ends where it
// can't be opened.
func Drive(t testing.TB, path string) *drive.Drive {
	t.Helper()
	r, err := recording.Open(path, recording.Options{})
	if err != nil {
		t.Fatal(err)
	}
	d := &drive.Drive{Name: filepath.Base(path), Start: r.Start, Channels: map[drive.Role]*drive.Channel{}}
	for prefix, role := range roles {
		for _, c := range r.Columns {
			if strings.HasPrefix(c.Name, prefix) {
				d.Channels[role] = &drive.Channel{Role: role, Series: inSI(c.Series, role), Device: "car"}
			}
		}
	}
	return d
}

// inSI converts what a file without units shows in °C and km/h.
func inSI(s *series.Series, role drive.Role) *series.Series {
	want, _ := role.Dimension()
	if s.Dimension == want {
		return s
	}
	v := slices.Clone(s.Value)
	for i, x := range v {
		if want == series.Speed {
			v[i] = (quantity.Speed(x) * quantity.KilometrePerHour).MetresPerSecond()
		} else {
			v[i] = quantity.Celsius(x).Kelvin()
		}
	}
	return s.With(s.Name, want, v)
}
