package arrowipc

import (
	"errors"
	"fmt"
	"io"
	"math"
	"time"
	"unicode/utf8"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Read reads the columns of size bytes in the IPC file or stream format, which
// it tells apart. Buffers may be compressed by LZ4 or zstd. The notes say what
// was assumed.
//
// It fails with [ErrDamaged] where the data are cut off or contradict
// themselves, with [ErrType] where a column is nested or of another type, and
// where its unit is not known or it unpacks to more than 1 GB.
func Read(r io.ReaderAt, size int64) (columns []*vector.Column, notes []string, err error) {
	defer func() {
		// What the guard does not look at, such as the text of a description.
		if p := recover(); p != nil {
			columns, notes, err = nil, nil, damaged("%v", p)
		}
	}()
	src, err := sourceOf(r, size)
	if err != nil {
		return nil, nil, err
	}
	targets := make([]*target, src.schema.NumFields())
	for k, field := range src.schema.Fields() {
		if targets[k], err = newTarget(field); err != nil {
			return nil, nil, err
		}
	}
	for {
		batch, err := src.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, nil, known(err)
		}
		for k, t := range targets {
			if err := t.add(batch.Column(k)); err != nil {
				return nil, nil, fmt.Errorf("column %q: %w", t.Name, err)
			}
		}
	}
	for _, t := range targets {
		columns = append(columns, t.Column)
		notes = append(notes, t.noted()...)
	}
	return columns, append(notes, src.notes()...), nil
}

// target is a column that grows batch by batch.
type target struct {
	*vector.Column
	known   map[string]int32
	rounded int
	notes   []string
}

func newTarget(field arrow.Field) (*target, error) {
	t := &target{Column: &vector.Column{Name: field.Name}, known: map[string]int32{}}
	switch typ := field.Type.(type) {
	case *arrow.TimestampType:
		t.Kind = vector.Instant
		if typ.TimeZone == "" {
			t.notes = append(t.notes, t.Name+": times without a zone, read as UTC")
		}
	case *arrow.Date32Type, *arrow.Date64Type:
		t.Kind = vector.Instant
		t.notes = append(t.notes, t.Name+": dates, read as 0:00 UTC")
	case *arrow.DurationType:
		t.Unit = quantity.KindDuration.Shown()
	case *arrow.Int8Type, *arrow.Int16Type, *arrow.Int32Type, *arrow.Int64Type, *arrow.Uint8Type, *arrow.Uint16Type,
		*arrow.Uint32Type, *arrow.Uint64Type, *arrow.Float16Type, *arrow.Float32Type, *arrow.Float64Type:
		return t, t.readUnit(field.Metadata)
	default:
		t.Kind = vector.Text
	}
	return t, nil
}

// readUnit takes the unit from a field's metadata. Another program may mean
// something else by "unit": what is not known is noted, unless the kind of
// quantity is there, too.
func (t *target) readUnit(m arrow.Metadata) error {
	text, _ := m.GetValue(unitKey)
	kind, stated := m.GetValue(kindKey)
	if stated {
		text += ", " + kind
	}
	u, assumed, err := vector.UnitOf(text)
	switch {
	case err != nil && stated:
		return fmt.Errorf("column %q: %w", t.Name, err)
	case err != nil:
		t.notes = append(t.notes, fmt.Sprintf("%s: read as plain numbers: %v", t.Name, err))
	case assumed:
		t.notes = append(t.notes, fmt.Sprintf("%s: %s read as a temperature, not as a difference", t.Name, u.Symbol()))
	}
	if err == nil {
		t.Unit = u
	}
	return nil
}

func (t *target) noted() []string {
	if t.rounded > 0 {
		return append(t.notes, fmt.Sprintf("%s: %s beyond 2^53 rounded", t.Name, vector.Count(t.rounded, "whole number")))
	}
	return t.notes
}

// add appends the values of a batch.
func (t *target) add(a arrow.Array) error {
	if err := whole(a); err != nil {
		return err
	}
	if t.plainNumbers(a) {
		return nil
	}
	switch a := a.(type) {
	case *array.Duration:
		numbers(t, a, a.Values(), a.DataType().(*arrow.DurationType).Unit.Multiplier().Seconds())
	case *array.Timestamp:
		return instants(t, a, a.Values(), a.DataType().(*arrow.TimestampType).Unit.Multiplier())
	case *array.Date32:
		const day = 24 * time.Hour
		return instants(t, a, a.Values(), day)
	case *array.Date64:
		return instants(t, a, a.Values(), time.Millisecond)
	case *array.Boolean:
		return t.texts(a, func(i int) string { return fmt.Sprint(a.Value(i)) })
	case *array.Null:
		return t.texts(a, nil)
	case array.StringLike:
		return t.texts(a, a.Value)
	case *array.Dictionary:
		return t.encoded(a)
	default:
		return fmt.Errorf("%s: %w", a.DataType(), ErrType)
	}
	return nil
}

// plainNumbers appends numbers that are no times; false: they are something else.
func (t *target) plainNumbers(a arrow.Array) bool {
	switch a := a.(type) {
	case *array.Float64:
		numbers(t, a, a.Values(), 1)
	case *array.Float32:
		numbers(t, a, a.Values(), 1)
	case *array.Float16:
		for i, v := range a.Values() {
			t.number(a, i, float64(v.Float32()))
		}
	case *array.Int8:
		numbers(t, a, a.Values(), 1)
	case *array.Int16:
		numbers(t, a, a.Values(), 1)
	case *array.Int32:
		numbers(t, a, a.Values(), 1)
	case *array.Int64:
		numbers(t, a, a.Values(), 1)
	case *array.Uint8:
		numbers(t, a, a.Values(), 1)
	case *array.Uint16:
		numbers(t, a, a.Values(), 1)
	case *array.Uint32:
		numbers(t, a, a.Values(), 1)
	case *array.Uint64:
		numbers(t, a, a.Values(), 1)
	default:
		return false
	}
	return true
}

// whole sees that a column has as many bytes as its rows need: the module's
// slices reach into the bytes behind.
func whole(a arrow.Array) error {
	buffers, rows := a.Data().Buffers(), a.Len()
	if rows == 0 || a.DataType().ID() == arrow.NULL {
		return nil
	}
	bits := 0
	switch typ := a.DataType().(type) {
	case *arrow.DictionaryType:
		bits = typ.IndexType.(arrow.FixedWidthDataType).BitWidth()
	case *arrow.StringViewType:
		bits = 128
	case arrow.FixedWidthDataType:
		bits = typ.BitWidth()
	}
	const perByte = 8
	if buffers[1] == nil || int64(buffers[1].Len())*perByte < int64(bits)*int64(rows) {
		return damaged("its values are fewer than its %d rows", rows)
	}
	if a.Data().NullN() > 0 && (buffers[0] == nil || buffers[0].Len()*perByte < rows) {
		return damaged("it does not say which of its %d rows are missing", rows)
	}
	return nil
}

// numbers appends numbers that are held in steps of a unit's.
func numbers[T ~int8 | ~int16 | ~int32 | ~int64 | ~uint8 | ~uint16 | ~uint32 | ~uint64 | ~float32 | ~float64](t *target, a arrow.Array, all []T, step float64) {
	for i, v := range all {
		t.number(a, i, float64(v)*step)
	}
}

func (t *target) number(a arrow.Array, i int, v float64) {
	const exact = 1 << 53 // doubles hold all whole numbers up to here
	if a.IsNull(i) {
		v = math.NaN()
	}
	if arrow.IsInteger(a.DataType().ID()) && math.Abs(v) >= exact {
		t.rounded++
	}
	t.Num = append(t.Num, t.Unit.ToSI(v))
}

func instants[T ~int32 | ~int64](t *target, a arrow.Array, all []T, step time.Duration) error {
	for i, v := range all {
		var at time.Time
		if !a.IsNull(i) {
			if per := int64(time.Second / step); per > 0 {
				seconds := int64(v) / per
				at = time.Unix(seconds, (int64(v)-seconds*per)*int64(step)).UTC()
			} else {
				at = time.Unix(int64(v)*int64(step/time.Second), 0).UTC()
			}
			if y := at.Year(); y < 1 || y > 9999 {
				return damaged("row %d is a time in the year %d", len(t.At)+1, y)
			}
		}
		t.At = append(t.At, at)
	}
	return nil
}

func (t *target) texts(a arrow.Array, value func(i int) string) error {
	for i := range a.Len() {
		code := int32(-1)
		if value != nil && a.IsValid(i) {
			var err error
			if code, err = t.code(value(i)); err != nil {
				return err
			}
		}
		t.Code = append(t.Code, code)
	}
	return nil
}

// code returns the code of a text, which it copies out of the batch's memory.
func (t *target) code(s string) (int32, error) {
	if k, ok := t.known[s]; ok {
		return k, nil
	}
	if !utf8.ValidString(s) {
		return 0, damaged("row %d is no text in UTF-8: %q", len(t.Code)+1, s)
	}
	return t.Level(string([]byte(s)), t.known), nil
}

// encoded appends texts that stand in a dictionary.
func (t *target) encoded(a *array.Dictionary) error {
	words, ok := a.Dictionary().(array.StringLike)
	if !ok {
		return fmt.Errorf("dictionary of %s: %w", a.Dictionary().DataType(), ErrType)
	}
	if err := whole(words); err != nil {
		return err
	}
	codes := make([]int32, words.Len())
	for i := range codes {
		if codes[i] = -1; words.IsValid(i) {
			var err error
			if codes[i], err = t.code(words.Value(i)); err != nil {
				return err
			}
		}
	}
	for i := range a.Len() {
		code := int32(-1)
		if a.IsValid(i) {
			k := a.GetValueIndex(i)
			if k < 0 || k >= len(codes) {
				return damaged("row %d is text %d of %d", len(t.Code)+1, k+1, len(codes))
			}
			code = codes[k]
		}
		t.Code = append(t.Code, code)
	}
	return nil
}
