package verdict

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Pull is a stretch that was taken for full throttle, or may have been at full
// throttle, for its driver to confirm or to reject.
type Pull struct {
	Drive, Configuration string
	Interval             series.Interval // s, drive time
	Speed                quantity.Speed  // mean
	// Stated says that the campaign calls it full throttle, Seen that a channel
	// shows the throttle; with neither it was inferred from how the car
	// accelerates, which a brisk pull may look like.
	Stated, Seen bool
	// Soaked says that the bay still gave off the heat of a stop: such a pull is
	// compared with nothing.
	Soaked bool
	// Likely is the probability that it was one, see [segment.Segment]. Brisk says
	// that it is too low to take it for one: the stretch counts as nothing until the
	// campaign says what it was.
	Likely float64
	Brisk  bool
	// Rejected says that its driver said it was none.
	Rejected bool

	units quantity.Preferred
}

// ReadIn returns the units in which the drive's owner reads.
func (p Pull) ReadIn() quantity.Preferred { return p.units }

// String describes the pull in a line.
func (p Pull) String() string {
	text := fmt.Sprintf("%s (%s), %.0f to %.0f s, %s", p.Drive, p.Configuration, p.Interval.From, p.Interval.To, p.units.Say(quantity.KindSpeed, "%.1f", float64(p.Speed)))
	switch {
	case p.Stated:
		text += ", as stated"
	case p.Seen:
		text += ", by the throttle"
	case p.Brisk:
		text += fmt.Sprintf("; brisk, counts as nothing: full throttle with %s", percent(p.Likely))
	default:
		text += fmt.Sprintf(", by acceleration: full throttle with %s", percent(p.Likely))
	}
	if p.Soaked {
		text += ", heat soak"
	}
	if p.Rejected {
		text += ", rejected"
	}
	return text
}

// percent writes a probability that is never certain.
func percent(p float64) string {
	if p >= 0.995 {
		return "over 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

func pull(r Run, s segment.Segment) Pull {
	return Pull{Drive: r.Drive.Name, Configuration: r.Drive.Configuration, Interval: s.Interval, Speed: s.MeanSpeed, Stated: s.Stated, Seen: r.Drive.Has(drive.Throttle) && s.Likely == 1, Likely: s.Likely, Brisk: s.Kind == segment.Brisk, Soaked: s.HeatSoak, units: r.Drive.Units}
}

// inferred reports whether neither a channel nor the campaign says that it was
// full throttle.
func (p Pull) inferred() bool { return !p.Stated && !p.Seen }

// reject takes the stretches for which the function says so out of the full
// throttle of all runs: they count as nothing, since nobody knows what they are.
// It returns all pulls, marked, and the brisk stretches, which count as nothing
// already.
func reject(runs []Run, rejected func(Pull) bool) []Pull {
	var all []Pull
	for _, r := range runs {
		for i, s := range r.Segments {
			if s.Kind != segment.FullThrottle && s.Kind != segment.Brisk {
				continue
			}
			p := pull(r, s)
			if !p.Brisk && rejected != nil && rejected(p) {
				p.Rejected = true
				s.Kind, s.Settled, s.NotSettled = segment.Unknown, false, "rejected as full throttle"
				s.Basis, s.Stated, s.Likely = "", false, 0
				r.Segments[i] = s
			}
			all = append(all, p)
		}
	}
	return all
}
