package segment

import (
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// motion is the drive's speed on a grid of one second or, for slower
// receivers, of one fix. Gaps are NaN.
type motion struct {
	of       *drive.Drive
	step     float64
	mid      []float64       // time of each cell's middle
	span     series.Interval // of the whole drive
	from     float64         // time of cell 0
	speed    []float64       // m/s
	slow     []float64       // median over 5 s, for rest and motion
	rate     []float64       // m/s², over about 4 s
	trend    []float64       // m/s², over 10 s
	throttle []float64       // nil without the channel
	stop     float64         // from which opening on it does not tell, see stopOf
	places   []place         // of each cell
	effort   effort
	likely   []float64 // that the throttle was open, where that was inferred
}

func newMotion(d *drive.Drive, speed *series.Series, rules Rules) *motion {
	m := &motion{of: d, step: math.Max(1, math.Min(speed.Step(), rules.MaximumGap)), span: d.Interval()}
	v := speed.Interval()
	m.from = v.From
	// Cells hold the mean of their fixes; an empty cell is bridged over short
	// gaps only.
	n := int(v.Duration()/m.step) + 1
	m.mid = make([]float64, n)
	for i := range m.mid {
		m.mid[i] = m.from + (float64(i)+0.5)*m.step
	}
	m.speed = m.cellMeans(speed, rules.MaximumGap)
	if c, ok := d.Channels[drive.Throttle]; ok {
		m.throttle = m.cellMeans(c.Series, rules.MaximumGap)
		m.stop = stopOf(m.throttle, rules)
	}
	s := &series.Series{Time: m.mid, Value: m.speed}
	m.slow = runningMedian(m.speed, int(2/m.step))
	m.rate = s.Slope(math.Max(4, 2.1*m.step), rules.MaximumGap).Value
	m.trend = s.Slope(math.Max(10, 2.1*m.step), rules.MaximumGap).Value
	m.locate()
	m.likely = make([]float64, n)
	return m
}

func (m *motion) cellMeans(s *series.Series, gap float64) []float64 {
	n := len(m.mid)
	sum, count := make([]float64, n), make([]float64, n)
	for i, v := range s.Value {
		if k := int((s.Time[i] - m.from) / m.step); k >= 0 && k < n && !math.IsNaN(v) {
			sum[k] += math.Max(0, v)
			count[k]++
		}
	}
	bridged := s.Resample(m.mid, gap).Value
	for k := range sum {
		if count[k] > 0 {
			sum[k] /= count[k]
		} else {
			sum[k] = bridged[k]
		}
	}
	return sum
}

// runningMedian takes out single wild fixes; NaN stays NaN.
func runningMedian(x []float64, half int) []float64 {
	out := make([]float64, len(x))
	w := make([]float64, 0, 2*half+1)
	for i := range x {
		out[i] = x[i]
		if math.IsNaN(x[i]) {
			continue
		}
		w = w[:0]
		for _, v := range x[max(0, i-half):min(len(x), i+half+1)] {
			if !math.IsNaN(v) {
				w = append(w, v)
			}
		}
		slices.Sort(w)
		out[i] = w[len(w)/2]
	}
	return out
}

// measure returns the segment with what its speed says.
func (m *motion) measure(p piece) Segment {
	s := Segment{Kind: p.kind, Interval: p.span, Basis: p.basis, Stated: p.stated, Likely: p.likely}
	var time, sum, square float64
	rest := true
	for i := m.cell(p.span.From); i < m.cell(p.span.To); i++ {
		v := m.speed[i]
		if math.IsNaN(v) {
			continue
		}
		time += m.step
		sum += v * m.step
		square += v * v * m.step
		still := m.slow[i] < 0.6
		if still && !rest {
			s.Stops++
		}
		rest = still || rest && m.slow[i] < 1.2
	}
	if time == 0 {
		s.MeanSpeed, s.SpeedDeviation = quantity.Speed(math.NaN()), quantity.Speed(math.NaN())
		s.Distance = quantity.Length(math.NaN())
		return s
	}
	mean := sum / time
	s.Distance = quantity.Length(mean*p.span.Duration()) * quantity.Metre
	s.MeanSpeed = quantity.Speed(mean) * quantity.MetrePerSecond
	s.SpeedDeviation = quantity.Speed(math.Sqrt(math.Max(0, square/time-mean*mean))) * quantity.MetrePerSecond
	return s
}

// cell returns the cell that holds time t, kept within the grid.
func (m *motion) cell(t float64) int {
	return min(max(int(math.Round((t-m.from)/m.step)), 0), len(m.speed))
}
