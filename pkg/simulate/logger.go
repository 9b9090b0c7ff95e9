package simulate

import (
	"math"
	"math/rand/v2"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Logger is a four-channel logger with its imperfections.
type Logger struct {
	Name        string
	Period      float64 // s between readings
	ClockOffset float64 // s, logger's clock minus true time at the start
	ClockDrift  float64 // s per s
	Resolution  float64 // K, step of the readings; 0 for none
	Noise       float64 // K, standard deviation of one reading
	Offsets     []float64
	Late        float64 // s after the drive's start at which it is switched on
	// Junction is the error of the cold junction in K, one value a second, the
	// same on all channels ([ColdJunction]); nil for none.
	Junction []float64
}

// ColdJunction returns the error of a logger's cold junction, one value a
// second: the sensor in its case is share of the way behind the terminals as the
// case follows the air around it, given in K, with a lag in seconds. It reads
// right at the start.
func ColdJunction(air []float64, share, lag float64) []float64 {
	out := make([]float64, len(air))
	if len(air) == 0 {
		return out
	}
	box := air[0]
	for i, x := range air {
		box += (x - box) * -math.Expm1(-1/lag)
		out[i] = share * (box - air[0])
	}
	return out
}

// Rows returns the readings that the logger takes of channels, each sampled
// once a second in kelvin from start.
func (l Logger) Rows(start time.Time, channels [][]float64, random *rand.Rand) []Row {
	var rows []Row
	if len(channels) == 0 {
		return nil
	}
	n := len(channels[0])
	for k := 0; ; k++ {
		t := l.Late + float64(k)*l.Period
		i := int(t)
		if i >= n {
			return rows
		}
		r := Row{Clock: start.Add(seconds(t*(1+l.ClockDrift) + l.ClockOffset)), Values: make([]float64, len(channels))}
		for c, v := range channels {
			x := v[i]
			if c < len(l.Offsets) {
				x += l.Offsets[c]
			}
			if i < len(l.Junction) {
				x += l.Junction[i]
			}
			x += l.Noise * random.NormFloat64()
			if l.Resolution > 0 {
				// Displays step in °C, not in kelvin.
				x = quantity.Celsius(math.Round(quantity.Kelvin(x).Celsius()/l.Resolution) * l.Resolution).Kelvin()
			}
			r.Values[c] = x
		}
		rows = append(rows, r)
	}
}

func seconds(s float64) time.Duration { return time.Duration(math.Round(s * 1e9)) }
