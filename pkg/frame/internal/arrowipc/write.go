package arrowipc

import (
	"io"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/ipc"
	"github.com/apache/arrow-go/v18/arrow/memory"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// batchRows is how many rows are written at a time.
const batchRows = 1 << 16

var (
	textType    = &arrow.DictionaryType{IndexType: arrow.PrimitiveTypes.Int32, ValueType: arrow.BinaryTypes.String}
	instantType = &arrow.TimestampType{Unit: arrow.Microsecond, TimeZone: "UTC"}
)

// Write writes columns of equal length in the IPC file format, not compressed:
// numbers as float64 in the unit of their column, which the field's metadata
// name, texts by a dictionary, instants in UTC to the microsecond, a missing
// value as null. It fails where out does.
func Write(out io.Writer, columns []*vector.Column, rows int) error {
	fields := make([]arrow.Field, len(columns))
	texts := make([]*wording, len(columns))
	for k, c := range columns {
		fields[k] = arrow.Field{Name: c.Name, Nullable: true, Type: typeOf(c), Metadata: unitOf(c)}
		switch c.Kind {
		case vector.Text:
			texts[k] = wordingOf(c)
		}
	}
	schema := arrow.NewSchema(fields, nil)
	w, err := ipc.NewFileWriter(out, ipc.WithSchema(schema))
	if err != nil {
		return err
	}
	for from := 0; from == 0 || from < rows; from += batchRows {
		to := min(from+batchRows, rows)
		batch := make([]arrow.Array, len(columns))
		for k, c := range columns {
			batch[k] = arrayOf(c, texts[k], from, to)
		}
		if err := w.Write(array.NewRecordBatch(schema, batch, int64(to-from))); err != nil {
			return err
		}
	}
	return w.Close()
}

func typeOf(c *vector.Column) arrow.DataType {
	switch c.Kind {
	case vector.Text:
		return textType
	case vector.Instant:
		return instantType
	}
	return arrow.PrimitiveTypes.Float64
}

// unitOf returns what the metadata say of the unit, nothing for plain numbers.
func unitOf(c *vector.Column) arrow.Metadata {
	u := c.Unit
	if c.Kind != vector.Number || u.Spelling() == "" && u.Kind() == quantity.KindNumber {
		return arrow.Metadata{}
	}
	return arrow.NewMetadata([]string{unitKey, kindKey}, []string{u.Spelling(), u.Kind().String()})
}

// wording are the texts of a column that occur: a filtered frame keeps the
// others to itself.
type wording struct {
	all  arrow.Array
	code map[string]int32
}

func wordingOf(c *vector.Column) *wording {
	b := array.NewStringBuilder(memory.DefaultAllocator)
	w := &wording{code: map[string]int32{}}
	for k, s := range c.Used() {
		b.Append(s)
		w.code[s] = int32(k)
	}
	w.all = b.NewArray()
	return w
}

func arrayOf(c *vector.Column, texts *wording, from, to int) arrow.Array {
	switch c.Kind {
	case vector.Text:
		b := array.NewInt32Builder(memory.DefaultAllocator)
		for i := from; i < to; i++ {
			if s, ok := c.Text(i); ok {
				b.Append(texts.code[s])
			} else {
				b.AppendNull()
			}
		}
		return array.NewDictionaryArray(textType, b.NewArray(), texts.all)
	case vector.Instant:
		b := array.NewTimestampBuilder(memory.DefaultAllocator, instantType)
		for i := from; i < to; i++ {
			if c.Has(i) {
				b.Append(arrow.Timestamp(c.At[i].UnixMicro()))
			} else {
				b.AppendNull()
			}
		}
		return b.NewArray()
	}
	b := array.NewFloat64Builder(memory.DefaultAllocator)
	for i := from; i < to; i++ {
		if c.Has(i) {
			b.Append(c.Unit.FromSI(c.Num[i]))
		} else {
			b.AppendNull()
		}
	}
	return b.NewArray()
}
