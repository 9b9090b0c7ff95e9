// Package road gives the judge's drives a road and a driver: legs with limits
// and stops, a height profile, a position, and the speed a driver aims at.
// Distances are metres, speeds m/s, grades m/m, angles radians.
package road

import (
	"math"
	"math/rand/v2"
)

// CellM is the spacing of a route's grid.
const CellM = 10.0

// Leg is a stretch of road with one limit.
type Leg struct {
	LengthM  float64
	LimitMPS float64
	// StopS is the mean time that a car stands at the leg's end; 0 is no stop.
	StopS float64
	// StopChance is the share of drives that find that stop red (0 to 1).
	StopChance float64
	// Pull says that drivers who pull use full throttle here, up to the limit.
	Pull bool
}

// Route is one road, the same for every drive along it.
type Route struct {
	Name string
	Legs []Leg
	// HeightM, GradeMPM and HeadingRad are given at every CellM from 0 on.
	HeightM, GradeMPM, HeadingRad []float64
	// EastM and NorthM are the place relative to the start.
	EastM, NorthM []float64
	// LatDeg and LonDeg are the start's place on the earth (WGS 84).
	LatDeg, LonDeg float64
}

// BeginAt moves a route so that it begins where another does, at the same
// height.
func (r *Route) BeginAt(home *Route) {
	r.LatDeg, r.LonDeg = home.LatDeg, home.LonDeg
	up := home.HeightM[0] - r.HeightM[0]
	for i := range r.HeightM {
		r.HeightM[i] += up
	}
}

// LengthM is the route's length.
func (r *Route) LengthM() float64 {
	sum := 0.0
	for _, l := range r.Legs {
		sum += l.LengthM
	}
	return sum
}

// cell is the index of the grid cell at a distance, kept inside the route.
func (r *Route) cell(distanceM float64) int {
	return min(max(int(distanceM/CellM), 0), len(r.HeightM)-1)
}

// Grade returns the slope at a distance (m/m, up is positive).
func (r *Route) Grade(distanceM float64) float64 { return r.GradeMPM[r.cell(distanceM)] }

// Height returns the height above sea level at a distance, interpolated.
func (r *Route) Height(distanceM float64) float64 {
	i := r.cell(distanceM)
	j := min(i+1, len(r.HeightM)-1)
	f := min(max(distanceM/CellM-float64(i), 0), 1)
	return r.HeightM[i] + f*(r.HeightM[j]-r.HeightM[i])
}

// Heading returns the direction of travel, clockwise from north.
func (r *Route) Heading(distanceM float64) float64 { return r.HeadingRad[r.cell(distanceM)] }

// Place returns latitude and longitude in degrees on a sphere of 6,371 km,
// good to centimetres over tens of kilometres.
func (r *Route) Place(distanceM float64) (latDeg, lonDeg float64) {
	i := r.cell(distanceM)
	j := min(i+1, len(r.EastM)-1)
	f := min(max(distanceM/CellM-float64(i), 0), 1)
	east := r.EastM[i] + f*(r.EastM[j]-r.EastM[i])
	north := r.NorthM[i] + f*(r.NorthM[j]-r.NorthM[i])
	const earthM = 6371000
	latDeg = r.LatDeg + north/earthM*180/math.Pi
	return latDeg, r.LonDeg + east/(earthM*math.Cos(r.LatDeg*math.Pi/180))*180/math.Pi
}

// lay fills the grid: hills are three waves, bends a slow random walk.
// slope is the steepest grade wanted (m/m).
func (r *Route) lay(rng *rand.Rand, slope float64) {
	n := int(r.LengthM()/CellM) + 2
	r.HeightM, r.GradeMPM = make([]float64, n), make([]float64, n)
	r.HeadingRad, r.EastM, r.NorthM = make([]float64, n), make([]float64, n), make([]float64, n)
	var wave [3]struct{ lengthM, phase, share float64 }
	for i := range wave {
		wave[i].lengthM = []float64{9000, 3500, 1200}[i] * (0.7 + 0.6*rng.Float64())
		wave[i].phase = 2 * math.Pi * rng.Float64()
		wave[i].share = []float64{0.45, 0.35, 0.2}[i]
	}
	height := 60 + 250*rng.Float64()
	heading, turn := 2*math.Pi*rng.Float64(), 0.0
	for i := range n {
		s := float64(i) * CellM
		for _, w := range wave {
			r.GradeMPM[i] += slope * w.share * math.Sin(2*math.Pi*s/w.lengthM+w.phase)
		}
		r.HeightM[i], r.HeadingRad[i] = height, heading
		height += r.GradeMPM[i] * CellM
		turn += 0.0012*rng.NormFloat64() - 0.04*turn
		heading += turn * CellM / 4
		if i+1 < n {
			r.EastM[i+1] = r.EastM[i] + CellM*math.Sin(heading)
			r.NorthM[i+1] = r.NorthM[i] + CellM*math.Cos(heading)
		}
	}
}
