package warm

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// moving is the speed in m/s from which on a car has moved off; stays how long
// a temperature must stay above the rule's in seconds, so that no spike passes
// for a warm engine; over is the width of the mean that is looked at.
const (
	moving = 2.0
	stays  = 60.0
	over   = 15.0
)

// byRule finds when every condition of the rule has been met.
func byRule(d *drive.Drive) State {
	r := d.Warming.Rule
	s := State{Drive: d.Name, Basis: ByRule, At: math.NaN()}
	begin := d.Interval().From
	var reasons []string
	latest, atStart := begin, true
	meet := func(t float64, why string) {
		latest = math.Max(latest, t)
		atStart = atStart && t <= begin
		reasons = append(reasons, why)
	}
	if r.After > 0 {
		off, why := movedOff(d)
		meet(off+r.After, fmt.Sprintf("%.3g min after %s", r.After/60, why))
	}
	if r.Distance > 0 {
		t, err := after(d, r.Distance.Metres())
		if err != nil {
			s.Reason = err.Error()
			return s
		}
		meet(t, fmt.Sprintf("%.3g km driven", r.Distance.Metres()/1000))
	}
	if r.Role != "" {
		t, err := passed(d, r.Role, r.Above.Kelvin())
		if err != nil {
			s.Reason = err.Error()
			return s
		}
		meet(t, fmt.Sprintf("%s above %s", r.Role, d.Units.Say(quantity.KindTemperature, "%.1f", r.Above.Kelvin())))
	}
	s.Reason = strings.Join(reasons, ", ")
	switch {
	case atStart:
		s.Outcome = AtStart
	case latest >= d.Interval().To:
		s.Outcome = Never
		s.Reason = "not met before the record ends: " + s.Reason
	default:
		s.at(latest, r.Uncertainty)
	}
	return s
}

// movedOff is when the car began to move, or the beginning of the record.
func movedOff(d *drive.Drive) (t float64, what string) {
	begin := d.Interval().From
	speed, err := d.Channel(drive.Speed)
	if err != nil {
		return begin, "the record began"
	}
	for i, v := range speed.Value {
		if v >= moving {
			return speed.Time[i], "moving off"
		}
	}
	return begin, "the record began"
}

// after is when the car had gone a distance in metres; gaps in the speed are
// bridged no further than [drive.MaxGap], so that the way is never overstated.
// +Inf if it never had.
func after(d *drive.Drive, distance float64) (float64, error) {
	speed, err := d.Channel(drive.Speed)
	if err != nil {
		return 0, fmt.Errorf("the rule of warmth counts kilometres, and the drive has no speed")
	}
	way, last := 0.0, -1
	for i, v := range speed.Value {
		if math.IsNaN(v) {
			continue
		}
		if last >= 0 && speed.Time[i]-speed.Time[last] <= drive.MaxGap {
			way += (speed.Time[i] - speed.Time[last]) * (math.Max(0, v) + math.Max(0, speed.Value[last])) / 2
		}
		if last = i; way >= distance {
			return speed.Time[i], nil
		}
	}
	return math.Inf(1), nil
}

// passed is when the mean of a temperature over a quarter of a minute has
// passed a value and stays there for a minute; +Inf if it never does.
func passed(d *drive.Drive, role drive.Role, above float64) (float64, error) {
	c, ok := d.Channels[role]
	if !ok {
		return 0, fmt.Errorf("the rule of warmth asks for %s, and the drive has no such channel", role)
	}
	s := c.Series.Smooth(over, drive.MaxGap)
	begin, since := d.Interval().From, math.NaN()
	for i, v := range s.Value {
		switch t := s.Time[i]; {
		case math.IsNaN(v):
		case v < above:
			since = math.NaN()
		case math.IsNaN(since):
			since = t
			if i == firstPresent(s) && t-begin <= stays {
				since = begin // above from its first reading on
			}
			if t-since >= stays {
				return since, nil
			}
		case t-since >= stays:
			return since, nil
		}
	}
	return math.Inf(1), nil
}

func firstPresent(s *series.Series) int {
	for i, v := range s.Value {
		if !math.IsNaN(v) {
			return i
		}
	}
	return -1
}
