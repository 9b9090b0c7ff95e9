package file

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/format"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
	"github.com/bonnetbook/bonnetbook/internal/pathname"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
)

// Keys of a Parquet file's metadata. The unit of a column, with its kind, is
// under "unit of " and its name.
const (
	orderKey = "order of columns"
	unitKey  = "unit of "
)

// WriteParquet writes columns of equal length as [frame.Frame.WriteParquet]
// says. It fails where the file exists or can't be written.
func WriteParquet(path string, all []*vector.Column, rows int) error {
	group := parquet.Group{}
	columns := map[string]*vector.Column{}
	config := []parquet.WriterOption{parquet.Compression(&parquet.Snappy)}
	var order []string
	for _, c := range all {
		group[c.Name], columns[c.Name] = parquet.Optional(node(c)), c
		order = append(order, c.Name)
		if c.Kind == vector.Number {
			config = append(config, parquet.KeyValueMetadata(unitKey+c.Name, vector.Written(c.Unit)))
		}
	}
	schema := parquet.NewSchema("frame", group)
	config = append(config, parquet.KeyValueMetadata(orderKey, strings.Join(order, "\n")), schema)
	return atomicfile.Create(pathname.Expand(path), 0o644, func(out io.Writer) error {
		w := parquet.NewGenericWriter[any](out, config...)
		ordered := schema.Columns() // in alphabetical order
		row := make(parquet.Row, len(ordered))
		for i := range rows {
			for k, p := range ordered {
				c := columns[p[0]]
				row[k] = parquet.NullValue().Level(0, 0, k)
				if c.Has(i) {
					row[k] = valueOf(c, i).Level(0, 1, k)
				}
			}
			if _, err := w.WriteRows([]parquet.Row{row}); err != nil {
				return err
			}
		}
		return w.Close()
	})
}

func node(c *vector.Column) parquet.Node {
	switch c.Kind {
	case vector.Text:
		return parquet.String()
	case vector.Instant:
		return parquet.Timestamp(parquet.Microsecond)
	}
	return parquet.Leaf(parquet.DoubleType)
}

func valueOf(c *vector.Column, row int) parquet.Value {
	switch c.Kind {
	case vector.Text:
		s, _ := c.Text(row)
		return parquet.ByteArrayValue([]byte(s))
	case vector.Instant:
		return parquet.Int64Value(c.At[row].UnixMicro())
	}
	return parquet.DoubleValue(c.Unit.FromSI(c.Num[row]))
}

// ReadParquet reads columns as [frame.ReadParquet] says, which also says when it
// fails. The order is that in which they were written, empty where unknown.
func ReadParquet(path string) (columns []*vector.Column, order []string, err error) {
	file, size, err := openSized(path)
	if err != nil {
		return nil, nil, err
	}
	defer file.Close()
	p, err := parquet.OpenFile(file, size)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", path, err)
	}
	for k, field := range p.Schema().Fields() {
		c, err := readColumn(p, k, field)
		if err != nil {
			return nil, nil, fmt.Errorf("%s, column %q: %w", path, field.Name(), err)
		}
		columns = append(columns, c)
	}
	if text, ok := p.Lookup(orderKey); ok {
		order = strings.Split(text, "\n")
	}
	return columns, order, nil
}

func readColumn(p *parquet.File, k int, field parquet.Field) (*vector.Column, error) {
	if !field.Leaf() || field.Repeated() {
		return nil, fmt.Errorf("it is nested; write plain columns")
	}
	c := &vector.Column{Name: field.Name()}
	if text, ok := p.Lookup(unitKey + c.Name); ok {
		var err error
		if c.Unit, _, err = vector.UnitOf(text); err != nil {
			return nil, err
		}
	}
	set, err := setter(c, field)
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
func setter(c *vector.Column, field parquet.Field) (func(v parquet.Value), error) {
	kind := field.Type().Kind()
	var stamp *format.TimestampType
	if logical := field.Type().LogicalType(); logical != nil {
		stamp, _ = logical.Value.(*format.TimestampType)
	}
	switch {
	case stamp != nil && kind == parquet.Int64:
		c.Kind = vector.Instant
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
			c.At = append(c.At, at)
		}, nil
	case kind == parquet.ByteArray:
		c.Kind = vector.Text
		known := map[string]int32{}
		return func(v parquet.Value) {
			code := int32(-1)
			if !v.IsNull() {
				code = c.Level(string(v.ByteArray()), known)
			}
			c.Code = append(c.Code, code)
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
			c.Num = append(c.Num, c.Unit.ToSI(x))
		}, nil
	}
	return nil, fmt.Errorf("it holds %s; numbers, texts and timestamps can be read", field.Type())
}
