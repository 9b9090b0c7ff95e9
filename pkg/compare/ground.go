package compare

import (
	"cmp"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Cell is a square of the ground of about 250 m, numbered from the equator
// northward and from the zero meridian eastward.
type Cell struct{ North, East int32 }

const cellSize = 250.0 // m

// cellAt returns the square of a position in radians.
func cellAt(latitude, longitude float64) Cell {
	const earthRadius = 6371008.8 // m, mean radius R₁ of GRS 80
	north := math.Floor(latitude * earthRadius / cellSize)
	return Cell{int32(north), int32(math.Floor(longitude * earthRadius * math.Cos(north*cellSize/earthRadius) / cellSize))}
}

// ground lists the squares that the drive crossed in the stretches, in order;
// nil without positions.
func (run Run) ground(stretches []series.Interval) []Cell {
	latitude, err := run.Drive.Channel(drive.Latitude)
	if err != nil {
		return nil
	}
	longitude, err := run.Drive.Channel(drive.Longitude)
	if err != nil {
		return nil
	}
	var all []Cell
	for _, v := range stretches {
		piece := latitude.Slice(v)
		for i, t := range piece.Time {
			lat, lon := piece.Value[i], longitude.Lookup(t, drive.MaxGap)
			if math.IsNaN(lat + lon) {
				continue
			}
			if c := cellAt(lat, lon); len(all) == 0 || all[len(all)-1] != c {
				all = append(all, c)
			}
		}
	}
	slices.SortFunc(all, func(a, b Cell) int { return cmp.Or(cmp.Compare(a.North, b.North), cmp.Compare(a.East, b.East)) })
	return slices.Compact(all)
}

// CommonGround returns the share of the ground of these drives that both sides
// crossed, 0 to 1: of the squares of one side those that lie within a square of
// one of the other side, the mean of both ways. NaN where a drive of either
// side has no positions.
func CommonGround(before, after []DriveRise) float64 {
	a, b := groundOf(before), groundOf(after)
	if len(a) == 0 || len(b) == 0 {
		return math.NaN()
	}
	return (coveredBy(a, b) + coveredBy(b, a)) / 2
}

// groundOf joins the drives' squares; nil where one has none.
func groundOf(rises []DriveRise) map[Cell]bool {
	all := map[Cell]bool{}
	for _, r := range rises {
		if len(r.Ground) == 0 {
			return nil
		}
		for _, c := range r.Ground {
			all[c] = true
		}
	}
	return all
}

// coveredBy is the share of a's squares that b has, or has next to them.
func coveredBy(a, b map[Cell]bool) float64 {
	n := 0
	for c := range a {
		if near(c, b) {
			n++
		}
	}
	return float64(n) / float64(len(a))
}

func near(c Cell, all map[Cell]bool) bool {
	for north := c.North - 1; north <= c.North+1; north++ {
		for east := c.East - 1; east <= c.East+1; east++ {
			if all[Cell{north, east}] {
				return true
			}
		}
	}
	return false
}
