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
	if slices.ContainsFunc(t.columns, func(c tableColumn) bool { return c.content == HoldsSpeed && c.present() > 0 }) {
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
	c := tableColumn{planColumn: planColumn{name: "speed from positions", content: HoldsSpeed, unit: metrePerS,
		reason: "computed: distance between the fixes before and after, over the time between"}, values: speed, derived: true}
	t.columns = append(t.columns, c)
	t.warn = append(t.warn, fmt.Sprintf("no speed in the file: computed from the positions (one fix every %.3g s); it is noisy at rest and smooths what happens within two fixes", typicalStep(t.time)))
	t.found.add("speed", "speed from positions", "no speed in the file")
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
