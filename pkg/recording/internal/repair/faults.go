package repair

import (
	"math"
	"sync"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// A spike is one sample that leaves its neighbours by this much while they
// agree. A probe in a car's air or water can't do that: 20 K there and back
// between samples a few seconds apart is electrical.
const (
	spikeTemperature = 20.0 // K
	spikeAccel       = 15.0 // m/s², 1.5 times gravity, there and back
	spikeStep        = 15.0 // s; slower loggers may see real jumps
	frozenTime       = 120.0
	frozenRows       = 60
	frozenFactor     = 20 // times as long as all but the longest stills
)

// Faults blanks what the sensors did not measure: spikes, frozen values,
// positions without a fix.
func Faults(t *table.Table) {
	still := make([]bool, len(t.Columns))
	var columns sync.WaitGroup
	for i := range t.Columns {
		c := &t.Columns[i]
		if c.Derived || (c.Content != layout.HoldsTemperature && c.Content != layout.HoldsSpeed) {
			continue
		}
		columns.Go(func() {
			rows := rows(c, len(t.Time))
			if !t.Layout.KeepSpikes {
				findSpikes(t, i, rows)
			}
			if !t.Layout.KeepFrozen {
				still[i] = findFrozen(t, i, rows)
			}
		})
	}
	columns.Wait()
	for i, s := range still {
		if s {
			t.Warnings.Add(account.DeadChannel, t.Columns[i].Name, "never changes: check that its sensor is connected")
		}
	}
	findNoFix(t)
}

// rowList is a list of rows: all of n, or those of own.
type rowList struct {
	own []int
	n   int
}

func rows(c *table.Column, n int) rowList {
	if c.Own != nil {
		return rowList{c.Own, len(c.Own)}
	}
	return rowList{nil, n}
}

func (l rowList) at(i int) int {
	if l.own != nil {
		return l.own[i]
	}
	return i
}

// findSpikes blanks single samples that leave their neighbours.
func findSpikes(t *table.Table, column int, rows rowList) {
	c := &t.Columns[column]
	least := spikeTemperature
	if c.Content == layout.HoldsSpeed {
		least = 3
	}
	if rows.n < 3 {
		return
	}
	a, b := c.Values[rows.at(0)], c.Values[rows.at(1)]
	for k := 1; k+1 < rows.n; k++ {
		d := c.Values[rows.at(k+1)]
		up, down := b-a, b-d
		if (up > least && down > least) || (up < -least && down < -least) {
			i, j, l := rows.at(k-1), rows.at(k), rows.at(k+1)
			jump := min(math.Abs(up), math.Abs(down))
			wait := max(t.Time[j]-t.Time[i], t.Time[l]-t.Time[j])
			limit := least
			if c.Content == layout.HoldsSpeed {
				limit = max(least, spikeAccel*wait)
			}
			if wait <= spikeStep && jump > limit && math.Abs(d-a) < 0.2*jump {
				t.Blank(column, j, table.MissSpike)
			}
		}
		a, b = b, d
	}
}

// findFrozen blanks stretches in which a channel that otherwise changes from
// sample to sample does not change at all for long: an input that has stopped
// converting. A coarse sensor rests for long by nature, and so does a car; the
// first is told by its other rests, the second is left alone.
//
// It reports whether the whole channel never changes, which is left to the
// reader to judge.
func findFrozen(t *table.Table, column int, rows rowList) (still bool) {
	c := &t.Columns[column]
	if rows.n == 0 {
		return false
	}
	type rest struct{ from, to int } // half-open, in rows
	var long []rest
	var lengths [1024]int // how many rests have that many samples; the last one: or more
	total := 0
	from, value := 0, c.Values[rows.at(0)]
	for k := 1; k <= rows.n; k++ {
		next := math.NaN()
		if k < rows.n {
			if next = c.Values[rows.at(k)]; next == value {
				continue
			}
		}
		if value == value { // not NaN
			n := k - from
			if n >= frozenRows && t.Time[rows.at(k-1)]-t.Time[rows.at(from)] >= frozenTime && !(c.Content == layout.HoldsSpeed && value < 0.5) {
				long = append(long, rest{from, k})
			} else {
				lengths[min(n, len(lengths)-1)]++
				total++
			}
		}
		from, value = k, next
	}
	if len(long) == 0 {
		return false
	}
	usual := usualRest(lengths[:], total)
	for _, r := range long {
		if r.to-r.from == rows.n {
			return true
		}
		if total < 50 || r.to-r.from < frozenFactor*usual || len(long) > 5 {
			continue
		}
		// The first sample of the rest may be the last true one.
		for k := r.from + 1; k < r.to; k++ {
			t.Blank(column, rows.at(k), table.MissFrozen)
		}
	}
	return false
}

// usualRest is the number of samples that 99 of 100 rests do not exceed.
func usualRest(lengths []int, total int) int {
	seen := 0
	for n, count := range lengths {
		seen += count
		if seen > 0 && seen*100 >= total*99 {
			return n
		}
	}
	return 1
}

// findNoFix blanks positions at 0°, 0°, which receivers write without a fix.
func findNoFix(t *table.Table) {
	lat, lon := t.Position()
	if lat < 0 || lon < 0 {
		return
	}
	a, b := t.Columns[lat].Values, t.Columns[lon].Values
	for i := range a {
		if a[i] == 0 && b[i] == 0 {
			t.Blank(lat, i, table.MissNoFix)
			t.Blank(lon, i, table.MissNoFix)
		}
	}
}
