package repair

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Speed computes a speed from positions where the file has none: distance
// from the fix before to the fix after over the time between, so that it
// belongs to the middle; one-sided at both ends of a stretch. It does not
// bridge a gap longer than three usual steps and 10 s.
func Speed(t *table.Table) {
	lat, lon := t.Position()
	if lat < 0 || lon < 0 || t.Columns[lat].Own != nil {
		return
	}
	if i := slices.IndexFunc(t.Columns, func(c table.Column) bool { return c.Content == layout.HoldsSpeed && c.Present() > 0 }); i >= 0 {
		if t.Format == layout.GPX {
			checkSpeed(t, i, lat, lon)
		}
		return
	}
	a, b := t.Columns[lat].Values, t.Columns[lon].Values
	speed := make([]float64, len(t.Time))
	gap := max(10, 3*table.TypicalStep(t.Time))
	near := func(i, k int) bool { return t.Time[k]-t.Time[i] <= gap }
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
			speed[i] = table.Distance(a[from], b[from], a[to], b[to]) / (t.Time[to] - t.Time[from])
		}
		last = i
	}
	c := table.Column{Head: table.Head{Name: "speed from positions", Content: layout.HoldsSpeed, Unit: unit.MetrePerS,
		Reason: "computed: distance between the fixes before and after, over the time between"}, Values: speed, Derived: true}
	t.Columns = append(t.Columns, c)
	t.Warnings.Add(account.Derived, c.Name, fmt.Sprintf("no speed in the file: computed from the positions (one fix every %.3g s); it is noisy at rest and smooths what happens within two fixes", table.TypicalStep(t.Time)))
	t.Note("speed", "speed from positions", "no speed in the file")
}

// checkSpeed warns of a speed that is far from that between the positions:
// extensions of a track carry no unit, and not all write m/s.
func checkSpeed(t *table.Table, speed, lat, lon int) {
	v, a, b := t.Columns[speed].Values, t.Columns[lat].Values, t.Columns[lon].Values
	said, moved, n := 0.0, 0.0, 0
	for i := 1; i < len(v); i++ {
		dt := t.Time[i] - t.Time[i-1]
		d := table.Distance(a[i-1], b[i-1], a[i], b[i])
		mean := (v[i-1] + v[i]) / 2
		if dt <= 0 || dt > 10 || math.IsNaN(d+mean) || d/dt < 2 || d/dt > 100 {
			continue
		}
		said += mean * dt
		moved += d
		n++
	}
	if ratio := said / moved; n >= 20 && (ratio < 0.6 || ratio > 1.6) {
		t.Warnings.Add(estimate.Disagreement, t.Columns[speed].Name, fmt.Sprintf("read in m/s, as the schema says, but is %.2f times the speed between the positions (%.3g would be km/h, %.3g mph, %.3g kn)", ratio,
			unit.KmPerHour.FromSI(1), unit.MilesPerH.FromSI(1), unit.Knot.FromSI(1)))
	}
}
