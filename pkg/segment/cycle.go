package segment

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/specificpower"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Statistics describes a speed trace as driving cycles are described.
type Statistics struct {
	Duration     float64 // s, first to last sample, gaps left out
	Distance     quantity.Length
	MeanSpeed    quantity.Speed // stops included
	MovingSpeed  quantity.Speed // stops left out
	MaximumSpeed quantity.Speed
	// Rest is the speed below which a reading counts as at rest.
	Rest quantity.Speed
	// IdleShare is the share of the readings at rest, 0 to 1.
	IdleShare float64
	// Stops counts the times that the car came to rest, the last one included.
	Stops int
	// RelativePositiveAcceleration is Σ v·a⁺·Δt / distance.
	RelativePositiveAcceleration quantity.Acceleration
	// SpecificPower is the mean vehicle specific power on a level road, in
	// W/kg (kW/t), SpecificPower95 its 95th percentile.
	SpecificPower, SpecificPower95 float64

	units quantity.Preferred
}

// In returns the statistics for somebody who reads the given units.
func (s Statistics) In(units quantity.Preferred) Statistics {
	s.units = units
	return s
}

// String describes the statistics in one line.
func (s Statistics) String() string {
	speed := func(v quantity.Speed) string { return s.units.Say(quantity.KindSpeed, "%.1f", float64(v)) }
	return fmt.Sprintf("%.0f s, %.3f km, mean %s, highest %s, idle %.1f %% and %d stops below %s, RPA %.3f m/s²",
		s.Duration, s.Distance.Kilometres(), speed(s.MeanSpeed), speed(s.MaximumSpeed), 100*s.IdleShare, s.Stops, speed(s.Rest), s.RelativePositiveAcceleration.MetresPerSecondSquared())
}

// CycleStatistics returns the statistics of a speed trace, with rest below 1
// km/h, as UN GTR 15 counts (WLTC: 13.5 %). The trace is taken as it is, without
// smoothing: a second-by-second schedule gives its published figures, a
// receiver's noise counts as motion. Where a schedule creeps, figures depend on
// what is rest: the UDDS has its published 18.9 % and 17 stops for a speed of 0
// alone ([CycleStatisticsBelow] with a rest of next to nothing), and 19.5 % and
// 18 stops below 1 km/h.
// Gaps longer than [drive.MaxGap] count neither as time nor as distance. It
// fails for a series that is no speed or has fewer than three values.
func CycleStatistics(speed *series.Series) (Statistics, error) {
	return CycleStatisticsBelow(speed, 1*quantity.KilometrePerHour)
}

// CycleStatisticsBelow is [CycleStatistics] with rest below the given speed.
// Errors are the same.
func CycleStatisticsBelow(speed *series.Series, rest quantity.Speed) (Statistics, error) {
	nan := math.NaN()
	none := Statistics{Duration: nan, Distance: quantity.Length(nan), MeanSpeed: quantity.Speed(nan), MovingSpeed: quantity.Speed(nan),
		MaximumSpeed: quantity.Speed(nan), IdleShare: nan, RelativePositiveAcceleration: quantity.Acceleration(nan), SpecificPower: nan, SpecificPower95: nan}
	if speed.Dimension != series.Speed {
		return none, fmt.Errorf("segment.CycleStatistics: %q is a %v, not a speed", speed.Name, speed.Dimension)
	}
	t, v := present(speed)
	if len(t) < 3 {
		return none, fmt.Errorf("segment.CycleStatistics: %q has %d values; at least 3 are needed", speed.Name, len(t))
	}
	low := rest.MetresPerSecond()
	s := Statistics{Rest: rest}
	var distance, idle, moving, movingTime, work, powerTime, power, top float64
	var powers []float64
	still := v[0] < low
	for i := range t {
		if v[i] < low {
			idle++
			if !still {
				s.Stops++
			}
		}
		still = v[i] < low
		top = math.Max(top, v[i])
		if i+1 == len(t) || t[i+1]-t[i] > drive.MaxGap {
			continue
		}
		dt := t[i+1] - t[i]
		d := (v[i] + v[i+1]) / 2 * dt
		s.Duration += dt
		distance += d
		if v[i] >= low || v[i+1] >= low {
			moving += d
			movingTime += dt
		}
		// v·a·Δt over the step is exactly the change of v²/2.
		work += math.Max(0, (v[i+1]*v[i+1]-v[i]*v[i])/2)
		p := SpecificPower((v[i]+v[i+1])/2, (v[i+1]-v[i])/dt, 0)
		power += p * dt
		powerTime += dt
		powers = append(powers, p)
	}
	s.Distance = quantity.Length(distance) * quantity.Metre
	s.MeanSpeed = quantity.Speed(distance/s.Duration) * quantity.MetrePerSecond
	s.MovingSpeed = quantity.Speed(moving/movingTime) * quantity.MetrePerSecond
	s.MaximumSpeed = quantity.Speed(top) * quantity.MetrePerSecond
	s.IdleShare = idle / float64(len(t))
	s.RelativePositiveAcceleration = quantity.Acceleration(work/distance) * quantity.MetrePerSecondSquared
	s.SpecificPower = power / powerTime
	slices.Sort(powers)
	s.SpecificPower95 = powers[int(0.95*float64(len(powers)-1))]
	return s, nil
}

func present(s *series.Series) (t, v []float64) {
	for i, x := range s.Value {
		if !math.IsNaN(x) {
			t, v = append(t, s.Time[i]), append(v, x)
		}
	}
	return t, v
}

// SpecificPower returns the vehicle specific power in W/kg,
//
//	v·(1.1·a + 9.81·grade + 0.132) + 0.000302·v³
//
// for v in m/s, a in m/s² and the grade as rise over run. The coefficients are
// those of typical light cars. Source: Jiménez-Palacios 1999 (from memory).
func SpecificPower(v, a, grade float64) float64 {
	return specificpower.Of(v, a, grade)
}
