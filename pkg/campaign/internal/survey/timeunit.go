package survey

import (
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

// timeKey is the layout's key for what times count in.
const timeKey = "time_format"

// step is by how much the numbers for times in a file rise from row to row, as
// written; NaN where they don't count from a start.
func (f *File) step() float64 {
	r := f.ways[0].Recording
	each, ok := recording.SecondsEach(r.Layout.TimeFormat)
	if !ok || r.Layout.TimeFormat.Dated() || len(r.Columns) == 0 {
		return math.NaN()
	}
	var steps []float64
	at := r.Columns[0].Series.Time
	for i := 1; i < len(at); i++ {
		steps = append(steps, (at[i]-at[i-1])/each)
	}
	if len(steps) == 0 {
		return math.NaN()
	}
	slices.Sort(steps)
	return steps[len(steps)/2]
}

func (f *File) asks(key string) bool {
	return slices.ContainsFunc(f.ways[0].Asked, func(a recording.Asked) bool { return a.Key == key })
}

// byTimeUnit sets files that leave open what their times count in, and those
// whose numbers step alike, apart from the rest: 2000 a row is not what 2 a row
// is, and one layout can't hold for both.
func byTimeUnit(files []*File) [][]*File {
	var open, rest []*File
	for _, f := range files {
		like := func(o *File) bool {
			return o.asks(timeKey) && (o == f || math.Abs(math.Log(o.step()/f.step())) < math.Log(5))
		}
		if slices.ContainsFunc(files, like) {
			open = append(open, f)
		} else {
			rest = append(rest, f)
		}
	}
	if len(open) == 0 || len(rest) == 0 || !slices.ContainsFunc(open, func(f *File) bool { return !math.IsNaN(f.step()) }) {
		return [][]*File{files}
	}
	return [][]*File{rest, open}
}
