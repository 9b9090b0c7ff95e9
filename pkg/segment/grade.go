package segment

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// place is a piece of road with a direction of travel. Where no receiver tells
// the place, each cell of a drive is one of its own.
type place struct {
	of                   *drive.Drive // nil: a place on earth
	north, east, heading int
}

// survey is what drives tell of the grade of the roads that they took: at each
// place the sum of the weights, 1/variance, and of weight times grade.
type survey map[place][2]float64

// grade returns the grade at a place, rise over run, with its standard
// uncertainty: what the surveys say, drawn towards a level road as far as it is
// uncertain. Without a height it is 0, and as uncertain as roads are steep.
func grade(at place, surveys []survey) (grade, spread float64) {
	all, sum := 1/(slopeSpread*slopeSpread), 0.0
	for _, s := range surveys {
		all, sum = all+s[at][0], sum+s[at][1]
	}
	return sum / all, 1 / math.Sqrt(all)
}

const (
	// block is the edge of a place in metres.
	block       = 60.0
	earthRadius = 6371008.8 // m, mean radius R₁ of GRS 80
	// reach is over how many metres of road to each side a grade is taken: hills
	// are longer, and a receiver's height is too uncertain for less.
	reach = 200.0
)

// locate finds the place of each cell of the drive.
func (m *motion) locate() {
	n := len(m.speed)
	m.places = make([]place, n)
	for i := range m.places {
		m.places[i] = place{of: m.of, north: i}
	}
	if !m.of.Has(drive.Latitude, drive.Longitude) {
		return
	}
	lat := m.of.Channels[drive.Latitude].Series.Resample(m.mid, drive.MaxGap).Value
	lon := m.of.Channels[drive.Longitude].Series.Resample(m.mid, drive.MaxGap).Value
	for i := range n {
		j, k := max(0, i-int(3/m.step)), min(n-1, i+int(3/m.step))
		north, east := earthRadius*lat[i], earthRadius*lon[i]*math.Cos(lat[i])
		dn, de := lat[k]-lat[j], (lon[k]-lon[j])*math.Cos(lat[i])
		if heading := math.Atan2(de, dn); !math.IsNaN(north + east + heading) {
			m.places[i] = place{north: int(math.Floor(north / block)), east: int(math.Floor(east / block)), heading: int(math.Round(heading/(math.Pi/2))) & 3}
		}
	}
}

// add adds what a drive tells: at each place the slope of its height over the
// road.
func (s survey) add(m *motion) {
	height, wander := m.height()
	if height == nil {
		return
	}
	n := len(m.speed)
	road := make([]float64, n)
	for i := 1; i < n; i++ {
		road[i] = road[i-1]
		if v := m.speed[i]; !math.IsNaN(v) {
			road[i] += v * m.step
		}
	}
	from, to := 0, 0
	for i := range n {
		for road[i]-road[from] > reach {
			from++
		}
		for to < n && road[to]-road[i] <= reach {
			to++
		}
		if i > 0 && m.places[i] == m.places[i-1] {
			continue // one drive says it once
		}
		slope, length, time := m.slopeWithin(road, height, from, to)
		if !(length > reach) {
			continue
		}
		// The height's error walks at random: the variance of a line's slope
		// through such a walk over a time T is 6/5 of wander·T over the length
		// squared.
		w := length * length / (1.2 * wander * time)
		sum := s[m.places[i]]
		s[m.places[i]] = [2]float64{sum[0] + w, sum[1] + w*slope}
	}
}
