package draft

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/survey"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// askAir is the question how warm the outside air was, where no probe shows it;
// its answer stands in each drive under the same key.
const askAir = "air-temperature"

// NotNoted stands for an outside temperature that nobody noted.
const NotNoted = "not noted"

// askOutside asks how warm it was outside where no probe shows it and no drive
// says it: without that there is no rise to compare.
func (s *Sketch) askOutside(devices []*survey.Device, told *Told) {
	if !comparedWithout(devices, string(drive.Ambient)) {
		return
	}
	said := map[string]bool{}
	for _, d := range told.Drives {
		said[d.Name()] = d.Keys[askAir].Line > 0
	}
	q := Question{ID: askAir, Kind: AskWeather, Guess: NotNoted}
	var numbers []string
	for i, d := range s.Drives {
		if s.air[i+1] == "" && !said[d.Name] {
			q.Subjects = append(q.Subjects, d.Name)
			numbers = append(numbers, fmt.Sprintf("%d is %q", i+1, d.Name))
		}
	}
	if len(q.Subjects) == 0 {
		return
	}
	warm, cool := s.written(quantity.KindTemperature, quantity.Celsius(18).Kelvin(), 2), s.written(quantity.KindTemperature, quantity.Celsius(12).Kelvin(), 2)
	q.Text = fmt.Sprintf("No probe shows the outside air. How warm was it on each drive, by a thermometer or the nearest weather station? One answer can settle many: 1-3=%s,4=%s. Drives without it can't be compared. Drive %s.", warm, cool, strings.Join(numbers, ", "))
	s.Questions = append(s.Questions, q)
}

// noteAir takes the outside temperatures that an answer gives; a bare number is
// in the owner's unit.
func (s *Sketch) noteAir(answer string) error {
	given, err := s.byDrive(askAir, answer, "write drives=temperature, as 1-3=18 degC,4=12 degC")
	if err != nil {
		return err
	}
	s.air = map[int]string{}
	for i, v := range given {
		if v != NotNoted {
			if _, err := strconv.ParseFloat(v, 64); err == nil {
				v += " " + typed(s.Units.Of(quantity.KindTemperature).Symbol())
			}
			if _, _, err := quantity.Parse(quantity.KindTemperature, v); err != nil {
				return fmt.Errorf("%s: %q is no temperature; write one such as \"18 degC\", or %q", askAir, v, NotNoted)
			}
		}
		s.air[i] = strconv.Quote(v)
	}
	return nil
}
