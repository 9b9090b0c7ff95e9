package drive

import (
	"errors"
	"fmt"
	"math"
	"os"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// ExportOptions are the settings of the exports; the zero value works.
type ExportOptions struct {
	// Step is the time between rows in seconds; 0 means the shortest step of
	// any channel.
	Step float64
	// Roles are the channels to write, in order; empty means all.
	Roles []Role
}

// exportTable is the drive on one even grid of times.
type exportTable struct {
	start   time.Time
	times   []float64
	columns []exportColumn
}

type exportColumn struct {
	role   Role
	unit   display
	name   string // for CSV, with unit: "intake (°C)"
	key    string // for Parquet: "intake_degC"
	values []float64
}

// exported resamples the channels onto one grid. No gap longer than MaxGap is
// bridged; a missing value stays missing.
func (d *Drive) exported(opts ExportOptions) (*exportTable, error) {
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
	t := &exportTable{start: d.Start, times: series.Grid(span, step)}
	for _, r := range roles {
		s := d.Channels[r].Series
		u := displayUnit(s.Dimension)
		v := s.Resample(t.times, math.Max(MaxGap, 0)).Value
		shown := make([]float64, len(v))
		for i, x := range v {
			shown[i] = u.from(x)
		}
		c := exportColumn{role: r, unit: u, name: string(r), key: strings.ReplaceAll(string(r), "-", "_"), values: shown}
		if u.symbol != "1" {
			c.name += " (" + u.symbol + ")"
			c.key += "_" + keyOfUnit(u.symbol)
		}
		t.columns = append(t.columns, c)
	}
	return t, nil
}

// keyOfUnit writes a unit in letters that any program takes as a column name.
func keyOfUnit(symbol string) string {
	return strings.NewReplacer("°C", "degC", "km/h", "km_h", "1/min", "rpm", "%", "percent", "/", "_", "³", "3", "²", "2").Replace(symbol)
}

// createNew opens a file for writing that must not exist yet.
func createNew(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, os.ErrExist) {
		return nil, fmt.Errorf("%s exists already and is left as it is; choose another name, or remove it first", path)
	}
	if err != nil {
		return nil, fmt.Errorf("export: %w", err)
	}
	return f, nil
}

// finish closes the file and removes it if it is incomplete.
func finish(f *os.File, err error) error {
	if e := f.Close(); err == nil {
		err = e
	}
	if err != nil {
		os.Remove(f.Name())
		return fmt.Errorf("export to %s: %w", f.Name(), err)
	}
	return nil
}
