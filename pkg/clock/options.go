package clock

import "github.com/bonnetbook/bonnetbook/pkg/series"

// Options are the settings of the estimates. Start from DefaultOptions.
type Options struct {
	// Search limits the offsets in seconds that are tried; empty: every offset
	// that leaves enough common time, whatever the clocks say.
	Search series.Interval
	// MinOverlap is the least common time in seconds.
	MinOverlap float64
	// MinShare is the least common time as a share of the shorter recording.
	MinShare float64
	// MaxGap is the longest gap in seconds that resampling bridges.
	MaxGap float64
	// Delay is the standard uncertainty, in seconds, of the difference between
	// the devices' own delays (smoothing in a phone, lag of a probe), which no
	// data of theirs can show. It widens the interval.
	Delay float64
	// MaxWidth is the length in seconds of the 95 % interval beyond which an
	// answer is withheld: it would look like one.
	MaxWidth float64
	// MinEvidence is the natural logarithm of the Bayes factor, relation
	// against no relation, from which on an estimate is given.
	MinEvidence float64
}

// DefaultOptions returns the settings that suit a drive of minutes to hours.
func DefaultOptions() Options {
	return Options{MinOverlap: 300, MinShare: 0.5, MaxGap: 10, Delay: 0.5, MaxWidth: 180, MinEvidence: 5}
}

// Kind is what a channel can tell about time.
type Kind int

// The kinds.
const (
	OtherQuantity  Kind = iota
	RoadSpeed           // the cause of what the air temperatures do
	AirTemperature      // air under the bonnet or in the intake
)

// Channel is one series of a recording as Estimate needs it.
type Channel struct {
	Series *series.Series
	Kind   Kind
	// Place says what and where is measured; two channels with the same place
	// and dimension carry a shared quantity.
	Place string
}
