package frame

import (
	"fmt"
	"io"
	"math"
	"os"
	"strings"
	"time"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/format"
)

// Keys of a Parquet file's metadata. The unit of a column, with its kind, is
// under "unit of " and its name.
const (
	orderKey = "order of columns"
	unitKey  = "unit of "
)

// WriteParquet writes the frame as a new Parquet file: each column optional
// under its own name, numbers as doubles in the unit in which they are shown,
// instants in UTC to the microsecond, a missing value as null. Units and the
// order of the columns stand in the file's metadata.
//
// It fails as [Frame.WriteCSV] does.
func (f *Frame) WriteParquet(path string) error {
	if f.err != nil {
		return f.err
	}
	group := parquet.Group{}
	columns := map[string]*column{}
	config := []parquet.WriterOption{parquet.Compression(&parquet.Snappy), parquet.KeyValueMetadata(orderKey, strings.Join(f.Names(), "\n"))}
	for _, c := range f.columns {
		group[c.name], columns[c.name] = parquet.Optional(c.node()), c
		if c.kind == Number {
			config = append(config, parquet.KeyValueMetadata(unitKey+c.name, written(c.unit)))
		}
	}
	schema := parquet.NewSchema("frame", group)
	return create(path, func(out io.Writer) error {
		w := parquet.NewGenericWriter[any](out, append(config, schema)...)
		ordered := schema.Columns() // in alphabetical order
		row := make(parquet.Row, len(ordered))
		for i := range f.rows {
			for k, p := range ordered {
				c := columns[p[0]]
				row[k] = parquet.NullValue().Level(0, 0, k)
				if c.has(i) {
					row[k] = c.parquet(i).Level(0, 1, k)
				}
			}
			if _, err := w.WriteRows([]parquet.Row{row}); err != nil {
				return err
			}
		}
		return w.Close()
	})
}

func (c *column) node() parquet.Node {
	switch c.kind {
	case Text:
		return parquet.String()
	case Instant:
		return parquet.Timestamp(parquet.Microsecond)
	}
	return parquet.Leaf(parquet.DoubleType)
}

func (c *column) parquet(row int) parquet.Value {
	switch c.kind {
	case Text:
		s, _ := c.text(row)
		return parquet.ByteArrayValue([]byte(s))
	case Instant:
		return parquet.Int64Value(c.at[row].UnixMicro())
	}
	return parquet.DoubleValue(c.unit.FromSI(c.num[row]))
}

// ReadParquet reads a Parquet file of plain columns: numbers (in the unit that
// the metadata of [Frame.WriteParquet] name, else plain), texts and instants.
// It fails where the file can't be read, a column is nested, repeated or of
// another type, or its unit is not known.
func ReadParquet(path string) (*Frame, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return nil, err
	}
	p, err := parquet.OpenFile(file, info.Size())
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	f := &Frame{}
	for k, field := range p.Schema().Fields() {
		c, err := readColumn(p, k, field)
		if err == nil {
			err = f.add(c)
		}
		if err != nil {
			return nil, fmt.Errorf("%s, column %q: %w", path, field.Name(), err)
		}
	}
	if order, ok := p.Lookup(orderKey); ok && len(f.columns) > 0 {
		if f = f.Select(strings.Split(order, "\n")...); f.err != nil {
			return nil, fmt.Errorf("%s: %w", path, f.err)
		}
	}
	return f, nil
}

func readColumn(p *parquet.File, k int, field parquet.Field) (*column, error) {
	if !field.Leaf() || field.Repeated() {
		return nil, fmt.Errorf("it is nested; write plain columns")
	}
	c := &column{name: field.Name()}
	if text, ok := p.Lookup(unitKey + c.name); ok {
		var err error
		if c.unit, _, err = unitOf(text); err != nil {
			return nil, err
		}
	}
	set, err := c.setter(field)
	if err != nil {
		return nil, err
	}
	for _, g := range p.RowGroups() {
		pages := g.ColumnChunks()[k].Pages()
		for {
			page, err := pages.ReadPage()
			if err == io.EOF {
				break
			}
			if err == nil {
				values := make([]parquet.Value, page.NumValues())
				var n int
				if n, err = page.Values().ReadValues(values); n == len(values) && err == io.EOF {
					err = nil
				}
				for _, v := range values[:n] {
					set(v)
				}
			}
			if err != nil {
				pages.Close()
				return nil, err
			}
		}
		if err := pages.Close(); err != nil {
			return nil, err
		}
	}
	return c, nil
}

// setter returns what appends one value to the column.
func (c *column) setter(field parquet.Field) (func(v parquet.Value), error) {
	kind := field.Type().Kind()
	var stamp *format.TimestampType
	if logical := field.Type().LogicalType(); logical != nil {
		stamp, _ = logical.Value.(*format.TimestampType)
	}
	switch {
	case stamp != nil && kind == parquet.Int64:
		c.kind = Instant
		unit := time.Nanosecond
		switch stamp.Unit.Value.(type) {
		case *format.MilliSeconds:
			unit = time.Millisecond
		case *format.MicroSeconds:
			unit = time.Microsecond
		}
		return func(v parquet.Value) {
			var at time.Time
			if !v.IsNull() {
				per := int64(time.Second / unit)
				whole := v.Int64() / per
				at = time.Unix(whole, (v.Int64()-whole*per)*int64(unit)).UTC()
			}
			c.at = append(c.at, at)
		}, nil
	case kind == parquet.ByteArray:
		c.kind = Text
		known := map[string]int32{}
		return func(v parquet.Value) {
			code := int32(-1)
			if !v.IsNull() {
				code = c.level(string(v.ByteArray()), known)
			}
			c.code = append(c.code, code)
		}, nil
	case kind == parquet.Double, kind == parquet.Float, kind == parquet.Int32, kind == parquet.Int64:
		return func(v parquet.Value) {
			x := math.NaN()
			switch {
			case v.IsNull():
			case kind == parquet.Double:
				x = v.Double()
			case kind == parquet.Float:
				x = float64(v.Float())
			case kind == parquet.Int32:
				x = float64(v.Int32())
			default:
				x = float64(v.Int64())
			}
			c.num = append(c.num, c.unit.ToSI(x))
		}, nil
	}
	return nil, fmt.Errorf("it holds %s; numbers, texts and timestamps can be read", field.Type())
}
