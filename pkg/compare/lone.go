package compare

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/contrast"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// farScatters is how many of the scatters that are expected a drive is off, as a
// standard deviation, that was no drive like the others: a probe that slipped, a hot
// day's traffic, a bonnet not shut. Half of such lie beyond 2.7 scatters, one of
// twenty beyond 7.8. Judgement, no source.
const farScatters = 4.0

// OfOne reports whether one side has a single drive, which nothing shows to be like
// the rest of its kind, and the other has more. No side may be empty.
func OfOne(before, after int) bool { return min(before, after) == 1 && before+after > 2 }

// OneEach reports whether each side has a single drive: no two alike show how far
// drives scatter, so that a change has no interval but what is supposed beforehand.
func OneEach(before, after int) bool { return before == 1 && after == 1 }

// ifFar is the posterior were the only drive of its side one that is far off; nil
// where no side has one alone.
func ifFar(obs []contrast.Observation, m contrast.Model, before int) (*contrast.Posterior, error) {
	if !OfOne(before, len(obs)-before) {
		return nil, nil
	}
	i := 0
	if before > 1 {
		i = before
	}
	obs = slices.Clone(obs)
	obs[i].Uncertainty = math.Hypot(obs[i].Uncertainty, farScatters*m.Scatter.Scale)
	return contrast.Fit(obs, m)
}

// sayLone says that the word fell for the only drive of a side.
func (d *Difference) sayLone() {
	lone := d.sides[0]
	if len(lone) > 1 {
		lone = d.sides[1]
	}
	d.Flaws = append(d.Flaws, estimate.Warning{Kind: LoneDrive, Subject: d.Stratum, Text: fmt.Sprintf("drive %q is the only one with %q: were it far off, by %s as a standard deviation, the drives would leave open what they seem to show, and nothing tells whether it is. Drive that configuration once more", lone[0].Drive, lone[0].Configuration, d.kelvins("%.1f", farScatters*d.scale))})
}

// Counted says how many drives a change rests on, and what is taken for granted of
// a side of one: "3 + 4 drives", "1 + 3 drives, the one taken for one like the others".
func Counted(before, after int) string {
	text := fmt.Sprintf("%d + %d drives", before, after)
	if OfOne(before, after) {
		text += ", the one taken for one like the others"
	}
	return text
}

func (d Difference) counted() string { return Counted(d.Before.Drives, d.After.Drives) }
