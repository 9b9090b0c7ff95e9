package survey

import (
	"cmp"
	"math"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

// Clock is how a device's clock stands to that of the folder.
type Clock struct {
	// Known says that the offset was found from when drives began and ended, or
	// that the clock is that of the folder.
	Known bool
	// Reference says that it is: the files know their zone, or the device was
	// taken as the measure.
	Reference bool
	// Offset in seconds is added to the device's times, beside the hours of
	// its zone; Low and High are the ends of what it may be.
	Offset, Low, High float64
	// ZoneHours is what the device's clock is ahead of UTC, in whole hours; NaN
	// where nothing tells.
	ZoneHours float64
}

// ranOver is by how many seconds one device may have been switched on before
// or after another. Common practice, no source.
const ranOver = 60.0

// run is when a device recorded without a longer break.
type run struct {
	from, to float64
	pieces   []*Piece
}

// runs chains pieces that continue one another: a logger that begins a new
// file every so many rows.
func runs(pieces []*Piece) []run {
	sorted := slices.Clone(pieces)
	slices.SortStableFunc(sorted, func(a, b *Piece) int { return cmp.Compare(a.start(), b.start()) })
	var all []run
	for _, p := range sorted {
		if !p.dated {
			continue
		}
		if n := len(all); n > 0 && p.start()-all[n-1].to < 120 && p.start() >= all[n-1].to-1 && p.Path != all[n-1].pieces[0].Path {
			all[n-1].to = p.end()
			all[n-1].pieces = append(all[n-1].pieces, p)
			continue
		}
		all = append(all, run{p.start(), p.end(), []*Piece{p}})
	}
	return all
}

// match is how well the runs of a device fit to those of the folder when its
// clock is moved.
type match struct {
	offset, score float64
	pairs         int
}

// align finds the offset at which when a device recorded looks like when the
// others did: drives of several days are as telling as a bar code. Hours of a
// time zone and minutes of a wrong clock are likelier than other offsets.
func align(own, others []run) match {
	best := match{score: math.Inf(-1)}
	for _, a := range own {
		for _, b := range others {
			for _, o := range []float64{b.from - a.from, b.to - a.to, 0} {
				if m := fit(own, others, o); m.score > best.score {
					best = m
				}
			}
		}
	}
	return best
}

// fit scores one offset: for each run the shared time over the time that
// either ran, squared, less what speaks against such an offset beforehand.
func fit(own, others []run, offset float64) match {
	m := match{offset: offset, score: -unlikely(offset)}
	for _, a := range own {
		best := 0.0
		for _, b := range others {
			shared := min(a.to+offset, b.to) - max(a.from+offset, b.from)
			if shared > 0 {
				best = max(best, shared/(max(a.to+offset, b.to)-min(a.from+offset, b.from)))
			}
		}
		if best > 0.5 {
			m.pairs++
		}
		m.score += best * best
	}
	return m
}

func unlikely(offset float64) float64 {
	hours := math.Abs(math.Round(offset / 3600))
	rest := math.Abs(offset - 3600*math.Round(offset/3600))
	cost := 0.04 * min(rest, 1800) / 1800
	if hours > 0 {
		cost += 0.02 + 0.03*min(hours, 14)/14
	}
	if hours > 14 {
		cost += 0.5
	}
	return cost
}

// settle moves the device's pieces and says what its clock does.
func (d *Device) settle(m match, others []run, zoned bool) {
	for _, p := range d.pieces {
		p.shift = m.offset
	}
	var diff []float64
	for _, a := range runs(d.pieces) {
		for _, b := range others {
			shared := min(a.to, b.to) - max(a.from, b.from)
			if shared > 0.5*(max(a.to, b.to)-min(a.from, b.from)) {
				diff = append(diff, (b.from-a.from+b.to-a.to)/2)
			}
		}
	}
	total := m.offset
	spread := ranOver
	if len(diff) > 0 {
		slices.Sort(diff)
		total += diff[len(diff)/2]
		spread = max(ranOver, (diff[len(diff)-1]-diff[0])/2+ranOver)
	}
	for _, p := range d.pieces {
		p.shift = total
	}
	d.Clock = Clock{Known: true, Offset: total, ZoneHours: math.NaN()}
	if zoned {
		if h := -math.Round(total / 3600); math.Abs(h) <= 14 {
			d.Clock.ZoneHours = h
			d.Clock.Offset = total + 3600*h
		}
	}
	d.Clock.Low, d.Clock.High = d.Clock.Offset-spread, d.Clock.Offset+spread
}

// Clocks decides for every device how its dates are read and how its clock
// stands to that of the folder, all files of a device together. answers gives
// a date order by the device's name.
func Clocks(all []*Device, answers map[string]string) {
	var reference []run
	zoned := false
	open := map[*Device][]string{}
	for _, d := range all {
		open[d] = d.orders(answers[d.Name])
		d.pieces = d.cut(open[d][0])
		d.Clock = Clock{ZoneHours: math.NaN(), Low: math.Inf(-1), High: math.Inf(1)}
		if d.Zoned {
			d.Clock = Clock{Known: true, Reference: true}
			reference = append(reference, runs(d.pieces)...)
			zoned = true
		}
	}
	rest := slices.DeleteFunc(slices.Clone(all), func(d *Device) bool { return d.Zoned })
	slices.SortStableFunc(rest, func(a, b *Device) int { return cmp.Compare(len(runs(b.pieces)), len(runs(a.pieces))) })
	for _, d := range rest {
		if len(runs(d.pieces)) == 0 {
			continue // no dates; see placeUndated
		}
		if len(reference) == 0 { // no phone: the others are measured by this one
			d.chooseAlone(open[d], rest)
			d.Clock = Clock{Known: true, Reference: true, ZoneHours: math.NaN()}
			reference = append(reference, runs(d.pieces)...)
			continue
		}
		best := match{score: math.Inf(-1)}
		second := math.Inf(-1)
		chosen := open[d][0]
		for _, order := range open[d] {
			m := align(runs(d.cut(order)), reference)
			if m.score > best.score {
				second, best, chosen = best.score, m, order
			} else {
				second = max(second, m.score)
			}
		}
		d.pieces = d.cut(chosen)
		d.decideOrder(open[d], chosen, best.score-second > 0.3)
		if m, found := d.asSibling(rest, best, reference); found {
			best = m
		} else if best.pairs == 0 {
			reference = append(reference, runs(d.pieces)...)
			continue
		}
		d.settle(best, reference, zoned)
		d.stray(reference)
		reference = append(reference, runs(d.pieces)...)
	}
	placeUndated(all)
}

// orders lists the orders of dates that all files of the device allow.
func (d *Device) orders(answer string) []string {
	if answer != "" {
		d.settleKey("date_order", answer)
		return []string{answer}
	}
	var common []string
	for _, f := range d.Files {
		var own []string
		for _, w := range f.ways {
			own = append(own, orderOf(w))
		}
		if len(own) == 1 && bothWays(f.ways[0].Recording) {
			continue
		}
		if common == nil {
			common = own
			continue
		}
		if both := slices.DeleteFunc(slices.Clone(common), func(o string) bool { return !slices.Contains(own, o) }); len(both) > 0 {
			common = both
		}
	}
	if common == nil {
		common = []string{orderOf(d.Files[0].ways[0])}
	}
	if len(common) == 1 && slices.ContainsFunc(d.Files, func(f *File) bool { return len(f.ways) > 1 }) {
		d.settleKey("date_order", common[0])
	}
	return common
}

// bothWays reports whether a recording's dates read the same in either order:
// the fifth of May.
func bothWays(r *recording.Recording) bool {
	v := r.Interval()
	last := r.Start.Add(time.Duration(v.To) * time.Second)
	return r.Dated && r.Layout.DateOrder != recording.YearMonthDay && r.Start.Day() == int(r.Start.Month()) && last.Day() == int(last.Month())
}

func (d *Device) settleKey(key, value string) {
	if d.Settled == nil {
		d.Settled = map[string]string{}
	}
	d.Settled[key] = value
}

// decideOrder notes the order of dates that the tracks decide, or asks.
func (d *Device) decideOrder(orders []string, chosen string, sure bool) {
	switch {
	case len(orders) < 2:
	case sure:
		d.settleKey("date_order", chosen)
	default:
		d.askOrder(chosen)
	}
}

// chooseAlone takes the order of dates by which the files lie closest together,
// and asks: nothing but that speaks for it.
func (d *Device) chooseAlone(orders []string, others []*Device) {
	if len(orders) < 2 {
		return
	}
	best, chosen := math.Inf(1), orders[0]
	for _, order := range orders {
		low, high := math.Inf(1), math.Inf(-1)
		for _, p := range d.cut(order) {
			low, high = min(low, p.from), max(high, p.to)
		}
		for _, o := range others { // dates of others that are not open
			if o != d && len(o.orders("")) == 1 {
				for _, p := range o.pieces {
					low, high = min(low, p.from), max(high, p.to)
				}
			}
		}
		if high-low < best {
			best, chosen = high-low, order
		}
	}
	d.pieces = d.cut(chosen)
	d.askOrder(chosen)
}

func (d *Device) askOrder(guess string) {
	q := Question{Key: "date_order", Guess: guess}
	for _, f := range d.Files {
		for _, w := range f.ways {
			for _, a := range w.Asked {
				if a.Key == "date_order" {
					q.Text = readings(f.Path, a)
					q.Files = append(q.Files, f.Path)
					if !slices.Contains(q.Choices, a.Taken) {
						q.Choices = append(q.Choices, a.Taken)
					}
				}
			}
		}
	}
	q.Files = slices.Compact(q.Files)
	d.Open = append(d.Open, q)
}
