package export

import (
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Options are the settings of the exports. Start from DefaultOptions.
type Options struct {
	// Step is the time between rows in seconds; 0 means the shortest step of
	// any channel.
	Step float64
	// Roles are the channels to write, in order; empty means all.
	Roles []drive.Role
}

// DefaultOptions returns the settings that write every channel at the pace of
// the fastest one.
func DefaultOptions() Options { return Options{} }

// table is the drive on one even grid of times.
type table struct {
	drive   *drive.Drive
	times   []float64
	columns []column
}

type column struct {
	role   drive.Role
	unit   quantity.Unit
	name   string // for CSV, with unit: "intake (°C)"
	key    string // for Parquet: "intake_degC"
	values []float64
}

// newTable resamples the channels onto one grid. No gap longer than MaxGap is
// bridged; a missing value stays missing.
func newTable(d *drive.Drive, opts Options) (*table, error) {
	roles := opts.Roles
	if len(roles) == 0 {
		roles = d.RoleList()
	}
	if len(roles) == 0 {
		return nil, fmt.Errorf("drive %q has no channel to export", d.Name)
	}
	step := opts.Step
	for _, r := range roles {
		s, err := d.Channel(r)
		if err != nil {
			return nil, err
		}
		if own := s.Step(); opts.Step == 0 && own > 0 && (step == 0 || own < step) {
			step = own
		}
	}
	span := d.Interval()
	if !(step > 0) || span.Duration()/step > 50e6 {
		return nil, fmt.Errorf("drive %q: a step of %v s over %.0f s is not possible for an export", d.Name, step, span.Duration())
	}
	t := &table{drive: d, times: series.Grid(span, step)}
	for _, r := range roles {
		s := d.Channels[r].Series
		u := s.Dimension.Shown()
		v := s.Resample(t.times, drive.MaxGap).Value
		shown := make([]float64, len(v))
		for i, x := range v {
			shown[i] = u.FromSI(x)
		}
		c := column{role: r, unit: u, name: string(r), key: strings.ReplaceAll(string(r), "-", "_"), values: shown}
		if s.Dimension != series.Dimensionless {
			c.name += " (" + u.Symbol() + ")"
			c.key += "_" + keyOfUnit(u.Symbol())
		}
		t.columns = append(t.columns, c)
	}
	return t, nil
}

// keyOfUnit writes a unit in letters that any program takes as a column name.
func keyOfUnit(symbol string) string {
	return strings.NewReplacer("°C", "degC", "°", "deg", "%", "percent", "/", "_", "³", "3", "²", "2").Replace(symbol)
}
