package verdict

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Pull is a stretch that was taken for full throttle, for its driver to confirm
// or to reject.
type Pull struct {
	Drive, Configuration string
	Interval             series.Interval // s, drive time
	Speed                quantity.Speed  // mean
	// Seen says that a channel shows the throttle; otherwise it was inferred from
	// how the car accelerates, which a brisk pull may look like.
	Seen bool
	// Soaked says that the bay still gave off the heat of a stop: such a pull is
	// compared with nothing.
	Soaked bool
	// Rejected says that its driver said it was none.
	Rejected bool
}

// String describes the pull in a line.
func (p Pull) String() string {
	text := fmt.Sprintf("%s (%s), %.0f to %.0f s, %v", p.Drive, p.Configuration, p.Interval.From, p.Interval.To, p.Speed)
	if p.Seen {
		text += ", by the throttle"
	} else {
		text += ", by acceleration"
	}
	if p.Soaked {
		text += ", heat soak"
	}
	if p.Rejected {
		text += ", rejected"
	}
	return text
}

func pull(r Run, s segment.Segment) Pull {
	return Pull{Drive: r.Drive.Name, Configuration: r.Drive.Configuration, Interval: s.Interval, Speed: s.MeanSpeed, Seen: r.Drive.Has(drive.Throttle), Soaked: s.HeatSoak}
}

// Reject takes the stretches for which the function says so out of the full
// throttle of all runs: they count as nothing, since nobody knows what they are.
// It returns all pulls, marked.
func Reject(runs []Run, rejected func(Pull) bool) []Pull {
	var all []Pull
	for _, r := range runs {
		for i, s := range r.Segments {
			if s.Kind != segment.FullThrottle {
				continue
			}
			p := pull(r, s)
			if rejected != nil && rejected(p) {
				p.Rejected = true
				r.Segments[i].Kind = segment.Unknown
			}
			all = append(all, p)
		}
	}
	return all
}
