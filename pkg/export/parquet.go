package export

import (
	"io"
	"math"
	"strconv"
	"strings"

	"github.com/parquet-go/parquet-go"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
	"github.com/bonnetbook/bonnetbook/internal/pathname"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Parquet writes the drive's channels on one time grid as a new Parquet
// file: a column "time" (UTC, milliseconds), "elapsed_s", and one optional
// double for each channel, its unit in the name ("intake_degC"). Drive,
// configuration, units, sources and repairs stand in the file's metadata.
//
// It fails as [CSV] does.
func Parquet(d *drive.Drive, path string, opts Options) error {
	t, err := newTable(d, opts)
	if err != nil {
		return err
	}
	group := parquet.Group{
		"time":      parquet.Timestamp(parquet.Millisecond),
		"elapsed_s": parquet.Leaf(parquet.DoubleType),
	}
	values := map[string][]float64{}
	for _, c := range t.columns {
		group[c.key] = parquet.Optional(parquet.Leaf(parquet.DoubleType))
		values[c.key] = c.values
	}
	config := []parquet.WriterOption{parquet.NewSchema("drive", group), parquet.Compression(&parquet.Snappy)}
	for _, m := range t.metadata() {
		config = append(config, parquet.KeyValueMetadata(m[0], m[1]))
	}
	return atomicfile.Create(pathname.Expand(path), 0o644, func(to io.Writer) error {
		w := parquet.NewGenericWriter[any](to, config...)
		if err := writeParquetRows(w, t, group, values); err != nil {
			return err
		}
		return w.Close()
	})
}

// writeParquetRows writes rows in the schema's order of columns, which is
// alphabetical.
func writeParquetRows(w *parquet.GenericWriter[any], t *table, group parquet.Group, values map[string][]float64) error {
	columns := parquet.NewSchema("drive", group).Columns()
	startMilli := t.drive.Start.UnixMilli()
	const batch = 1024
	rows := make([]parquet.Row, 0, batch)
	for i, s := range t.times {
		row := make(parquet.Row, len(columns))
		for k, path := range columns {
			switch name := path[0]; name {
			case "time":
				row[k] = parquet.Int64Value(startMilli+int64(math.Round(s*1e3))).Level(0, 0, k)
			case "elapsed_s":
				row[k] = parquet.DoubleValue(s).Level(0, 0, k)
			default:
				if v := values[name][i]; math.IsNaN(v) {
					row[k] = parquet.NullValue().Level(0, 0, k)
				} else {
					row[k] = parquet.DoubleValue(v).Level(0, 1, k)
				}
			}
		}
		rows = append(rows, row)
		if len(rows) == batch || i == len(t.times)-1 {
			if _, err := w.WriteRows(rows); err != nil {
				return err
			}
			rows = rows[:0]
		}
	}
	return nil
}

// metadata describes drive and channels for the file's footer.
func (t *table) metadata() [][2]string {
	d := t.drive
	all := [][2]string{
		{"drive", d.Name}, {"configuration", d.Configuration},
		{"start", d.Start.Format("2006-01-02T15:04:05.000Z07:00")},
		{"weather", d.Weather.Source},
	}
	if d.Weather.Pressure > 0 {
		all = append(all, [2]string{"pressure_hPa", strconv.FormatFloat(d.Weather.Pressure.Hectopascals(), 'f', 2, 64)})
	}
	for _, c := range t.columns {
		ch := d.Channels[c.role]
		all = append(all, [2]string{c.key + ".unit", c.unit.Symbol()})
		all = append(all, [2]string{c.key + ".source", ch.Device + ": " + ch.Source})
		if repairs := ch.RepairsIn(quantity.Preferred{}); len(repairs) > 0 { // a file is in SI units
			all = append(all, [2]string{c.key + ".repairs", strings.Join(repairs, "; ")})
		}
	}
	return all
}
