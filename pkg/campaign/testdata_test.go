package campaign_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
)

const valid = `[car]
name = "demo saloon"
mass = "1050 kg"
[engine]
displacement = "1598 cm3"
cylinders = 4
bore = "79 mm"
stroke = "81.5 mm"
compression-ratio = 9.0
rated-power = "60 kW"
rated-power-speed = "5500 rpm"
rated-torque = "122 N m"
rated-torque-speed = "3200 rpm"
redline = "6200 rpm"
carburettor = "constant-depression"
carburettors = 1
thermostat = "82 degC"
[[configuration]]
name = "open filters"
note = "two open filters in the bay"
[[configuration]]
name = "cold-air duct"
[[device]]
name = "logger A"
layout = "auto"
time-zone = "UTC"
[device.channels]
"1" = "ambient"
"2" = "intake"
"3" = "engine-bay"
"4" = "top-tank"
[device.calibration]
"2" = { offset = -0.6, uncertainty = 0.2 }
[[device]]
name = "phone"
[device.channels]
speed = "speed"
[[drive]]
name = "open filters, first run"
configuration = "open filters"
pressure = "1008 hPa"
humidity = "55 %"
[[drive.file]]
path = "open-1-a.csv"
device = "logger A"
clock-offset = "0 s"
[[drive.file]]
path = "open-1-phone.csv"
device = "phone"
clock-offset = "12.5 s"
`

// folder writes a campaign and two small logs into a temporary folder.
func folder(t *testing.T, text string) string {
	t.Helper()
	dir := t.TempDir()
	write(t, dir, "campaign.toml", text)
	logger, phone := logs(600)
	write(t, dir, "open-1-a.csv", logger)
	write(t, dir, "open-1-phone.csv", phone)
	return filepath.Join(dir, "campaign.toml")
}

func write(t *testing.T, dir, name, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// answered saves a draft, writes answers in the places of what it asks for, each
// text before the one that replaces it, and opens the campaign.
func answered(t *testing.T, s *campaign.Sketch, answers ...string) *campaign.Campaign {
	t.Helper()
	saved, err := s.Save()
	if err != nil {
		t.Fatal(err)
	}
	text := strings.NewReplacer(answers...).Replace(s.Text)
	if err := os.WriteFile(saved.Path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	c, err := campaign.Open(saved.Path)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return c
}

// with returns the valid campaign with one piece replaced.
func with(t *testing.T, old, fresh string) string {
	t.Helper()
	if strings.Count(valid, old) != 1 {
		t.Fatalf("%q occurs %d times in the valid campaign", old, strings.Count(valid, old))
	}
	return strings.Replace(valid, old, fresh, 1)
}
