package compare

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/stat"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// Limits above which two sides of a stratum are called unlike. Common
// practice, no source.
const (
	ambientLimit = 5.0  // K
	speedLimit   = 10.0 // km/h
	sinceLimit   = 600. // s
)

// imbalance warns where the two sides were measured under unlike conditions.
func imbalance(stratum string, before, after []DriveRise) []estimate.Warning {
	if len(before) == 0 || len(after) == 0 {
		return nil
	}
	var w []estimate.Warning
	check := func(kind estimate.Kind, what, unit string, limit float64, f func(DriveRise) float64) {
		a, b := meanOf(before, f), meanOf(after, f)
		if math.Abs(a-b) > limit {
			w = append(w, estimate.Warning{Kind: kind, Subject: stratum, Text: fmt.Sprintf("%s differs: %.0f %s before, %.0f %s after; part of the change may be due to that", what, a, unit, b, unit)})
		}
	}
	check(Weather, "ambient temperature", "°C", ambientLimit, func(r DriveRise) float64 { return r.Ambient.Celsius() })
	check(Traffic, "speed", "km/h", speedLimit, func(r DriveRise) float64 { return r.Speed.KilometresPerHour() })
	check(WarmUp, "time since the thermostat opened", "s", sinceLimit, func(r DriveRise) float64 { return r.SinceOpening })
	return w
}

func meanOf(rises []DriveRise, f func(DriveRise) float64) float64 {
	x := make([]float64, len(rises))
	for i, r := range rises {
		x[i] = f(r)
	}
	return stat.Mean(x, nil)
}

// Order says in words what is wrong with the drives' order in time, see
// [OrderOf]; empty where nothing is.
func Order(drives []*drive.Drive, before, after string) string {
	return OrderOf(drives, before, after).String()
}

// TimeOrder is how two configurations follow one another in time.
type TimeOrder struct {
	// OneAfterTheOther is set where all drives of one configuration come before
	// all of the other: anything else that changed in between (season, tune,
	// route) looks like the effect.
	OneAfterTheOther bool
	// First is the configuration of the earliest drive; empty without a date.
	First string
	// Changes is how often the configuration changed from drive to drive.
	Changes int
}

// OrderOf says how the dated drives of two configurations follow one another.
func OrderOf(drives []*drive.Drive, before, after string) TimeOrder {
	var dated []*drive.Drive
	for _, d := range drives {
		if (d.Configuration == before || d.Configuration == after) && !d.Start.IsZero() {
			dated = append(dated, d)
		}
	}
	sort.SliceStable(dated, func(i, j int) bool { return dated[i].Start.Before(dated[j].Start) })
	var o TimeOrder
	for i, d := range dated {
		if i == 0 {
			o.First = d.Configuration
		} else if d.Configuration != dated[i-1].Configuration {
			o.Changes++
		}
	}
	o.OneAfterTheOther = o.Changes == 1
	return o
}

// String says what is wrong and what to do; empty where the order is fine.
func (o TimeOrder) String() string {
	if !o.OneAfterTheOther {
		return ""
	}
	return fmt.Sprintf("all drives with %q come before all with the other: whatever else changed in between looks like the effect. Go back to the first configuration for a drive (A-B-A), better A-B-B-A.", o.First)
}
