package recording

import (
	"fmt"
	"math"
	"slices"
)

// addSpeed computes a speed from positions where the file has none: distance
// from the fix before to the fix after over the time between, so that it
// belongs to the middle; one-sided at both ends of a stretch. It does not
// bridge a gap longer than three usual steps and 10 s.
func addSpeed(t *table) {
	lat, lon := t.position()
	if lat < 0 || lon < 0 || t.columns[lat].own != nil {
		return
	}
	if i := slices.IndexFunc(t.columns, func(c tableColumn) bool { return c.content == HoldsSpeed && c.present() > 0 }); i >= 0 {
		if t.format == GPX {
			t.checkSpeed(i, lat, lon)
		}
		return
	}
	a, b := t.columns[lat].values, t.columns[lon].values
	speed := make([]float64, len(t.time))
	gap := max(10, 3*typicalStep(t.time))
	near := func(i, k int) bool { return t.time[k]-t.time[i] <= gap }
	last := -1 // fix before
	for i := range speed {
		speed[i] = math.NaN()
		if math.IsNaN(a[i]) || math.IsNaN(b[i]) {
			continue
		}
		next := i + 1
		for next < len(a) && math.IsNaN(a[next]) && near(i, next) {
			next++
		}
		from, to := i, i
		if last >= 0 && near(last, i) {
			from = last
		}
		if next < len(a) && near(i, next) && !math.IsNaN(a[next]) {
			to = next
		}
		if to > from {
			speed[i] = distance(a[from], b[from], a[to], b[to]) / (t.time[to] - t.time[from])
		}
		last = i
	}
	c := tableColumn{head: head{name: "speed from positions", content: HoldsSpeed, unit: metrePerS,
		reason: "computed: distance between the fixes before and after, over the time between"}, values: speed, derived: true}
	t.columns = append(t.columns, c)
	t.warnings.add(derivedOnly, c.name, fmt.Sprintf("no speed in the file: computed from the positions (one fix every %.3g s); it is noisy at rest and smooths what happens within two fixes", typicalStep(t.time)))
	t.note("speed", "speed from positions", "no speed in the file")
}

// checkSpeed warns of a speed that is far from that between the positions:
// extensions of a track carry no unit, and not all write m/s.
func (t *table) checkSpeed(speed, lat, lon int) {
	v, a, b := t.columns[speed].values, t.columns[lat].values, t.columns[lon].values
	said, moved, n := 0.0, 0.0, 0
	for i := 1; i < len(v); i++ {
		dt := t.time[i] - t.time[i-1]
		d := distance(a[i-1], b[i-1], a[i], b[i])
		mean := (v[i-1] + v[i]) / 2
		if dt <= 0 || dt > 10 || math.IsNaN(d+mean) || d/dt < 2 || d/dt > 100 {
			continue
		}
		said += mean * dt
		moved += d
		n++
	}
	if ratio := said / moved; n >= 20 && (ratio < 0.6 || ratio > 1.6) {
		t.warnings.add(disagreement, t.columns[speed].name, fmt.Sprintf("speed is read in m/s, as the schema says, but is %.2f times the speed between the positions (3.6 would be km/h, 2.24 mph, 1.94 kn)", ratio))
	}
}

// present counts the values of a column.
func (c *tableColumn) present() int {
	n := 0
	for _, v := range c.values {
		if !math.IsNaN(v) {
			n++
		}
	}
	return n
}
