package draft

import (
	"fmt"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/survey"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// askWarm is the question when the engine counts as warm.
const askWarm = "warm"

// warmChoices are usual rules; others may be written. Common practice, no
// source.
var warmChoices = []string{"after=15 min", "after=20 min", "distance=8 km", "distance=15 km"}

// seesOpening are the roles that show when a thermostat opens well enough.
var seesOpening = []string{string(drive.TopTank), string(drive.Coolant), string(drive.BottomTank)}

// askWhenWarm asks where no probe shows the thermostat's opening and nothing is
// said of it: without that no stretch may be compared with another.
func (s *Sketch) askWhenWarm(devices []*survey.Device, told *Told, answers *answers) {
	if told.Tables["warm"].Line > 0 || answers.has("warm.") {
		return
	}
	for _, d := range told.Drives {
		if d.Keys["warm-at"].Line+d.Keys["starts-warm"].Line > 0 {
			return
		}
	}
	if !comparedWithout(devices, seesOpening...) {
		return
	}
	s.Questions = append(s.Questions, Question{ID: askWarm, Kind: AskOther, Choices: warmChoices, Guess: warmChoices[0],
		Text: "No probe shows the thermostat's opening, or there is none. When does the engine count as warm? After a time or a way from moving off, or once a probe on it has passed a temperature: role=oil,above=" + s.written(quantity.KindTemperature, quantity.Celsius(70).Kelvin(), 3) + "."})
}

// comparedWithout reports whether an intake is measured, so that something is to be
// compared, and no column plays one of the roles.
func comparedWithout(devices []*survey.Device, roles ...string) bool {
	intake := false
	for _, d := range devices {
		for _, c := range d.Columns {
			if slices.Contains(roles, c.Likely()) {
				return false
			}
			intake = intake || drive.Role(c.Likely()).IsIntake()
		}
	}
	return intake
}

// has reports whether a key with that beginning was answered.
func (a *answers) has(prefix string) bool {
	for k := range a.keys {
		if strings.HasPrefix(k, prefix) {
			return true
		}
	}
	return false
}

// warmOf takes "after=15 min" or "role=oil,above=70 degC".
func warmOf(a *answers, value string) error {
	if err := keysOf(a.keys, askWarm+".", value, []string{"after", "distance", "role", "above", "uncertainty"}); err != nil {
		return fmt.Errorf("warm: %w", err)
	}
	if (a.keys["warm.role"] == "") != (a.keys["warm.above"] == "") {
		return fmt.Errorf("warm: %q names a role or a temperature alone; write both, as role=oil,above=70 degC", value)
	}
	return nil
}
