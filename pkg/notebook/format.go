package notebook

import (
	"bytes"
	"fmt"
	"image"
	"io"
	"reflect"
	"strings"
	"time"
)

// Format returns the forms in which a value is shown:
//
//   - a Displayer decides for itself;
//   - a slice or map of structs becomes a table, a picture a picture, a
//     gonum plot a PNG and an SVG, a matrix its numbers in rows;
//   - a struct with exported fields has their names beside their values in a page;
//   - an error and a fmt.Stringer, such as a quantity with its unit, become
//     their text;
//   - everything else is written as Go would, long ones cut with their count.
func Format(v any) Bundle {
	return formatSafely(v)
}

// formatSafely shows a value whose own method panics by its fields instead.
func formatSafely(v any) (b Bundle) {
	defer func() {
		if r := recover(); r != nil {
			b = TextBundle(fmt.Sprintf("%T whose display panicked: %v", v, r))
		}
	}()
	if isNilPointer(v) {
		return TextBundle(Text(v))
	}
	if d, ok := v.(Displayer); ok {
		return d.Display().withText(typeName(reflect.TypeOf(v)))
	}
	switch v := v.(type) {
	case error, fmt.Stringer, time.Time:
		if m, ok := v.(image.Image); ok {
			return formatImage(m)
		}
		return TextBundle(Text(v))
	case image.Image:
		return formatImage(v)
	}
	if m, ok := v.(matrix); ok {
		return formatMatrix(m)
	}
	rv := reflect.ValueOf(v)
	if b, ok := formatPlot(rv); ok {
		return b
	}
	if t, ok := tableOf(rv); ok {
		return t.Display()
	}
	b = TextBundle(Text(v))
	if t, ok := fieldsTable(rv); ok {
		b[MIMEHTML] = t.Display()[MIMEHTML]
	}
	return b
}

func isNilPointer(v any) bool {
	rv := reflect.ValueOf(v)
	return !rv.IsValid() || rv.Kind() == reflect.Pointer && rv.IsNil()
}

// formatPlot draws anything with gonum plot's method
// WriterTo(width, height vg.Length, format string) (io.WriterTo, error),
// without depending on that package.
func formatPlot(v reflect.Value) (Bundle, bool) {
	if !v.IsValid() {
		return nil, false
	}
	method := v.MethodByName("WriterTo")
	if !method.IsValid() {
		return nil, false
	}
	t := method.Type()
	if t.NumIn() != 3 || t.In(0).Kind() != reflect.Float64 || t.In(2).Kind() != reflect.String ||
		t.NumOut() != 2 || !t.Out(0).Implements(reflect.TypeFor[io.WriterTo]()) {
		return nil, false
	}
	const width, height = 576, 360 // points; eight inches by five
	draw := func(format string) ([]byte, error) {
		out := method.Call([]reflect.Value{
			reflect.ValueOf(float64(width)).Convert(t.In(0)),
			reflect.ValueOf(float64(height)).Convert(t.In(1)),
			reflect.ValueOf(format).Convert(t.In(2)),
		})
		if err, ok := out[1].Interface().(error); ok && err != nil {
			return nil, err
		}
		var buf bytes.Buffer
		_, err := out[0].Interface().(io.WriterTo).WriteTo(&buf)
		return buf.Bytes(), err
	}
	png, err := draw("png")
	if err != nil {
		return TextBundle("plot that cannot be drawn: " + err.Error()), true
	}
	b := PNG(png).Display()
	b[MIMEText] = strings.Replace(b.Text(), "picture", "plot", 1)
	return b, true
}
