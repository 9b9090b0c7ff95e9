package notebook

import (
	"fmt"
	"html"
	"reflect"
	"strconv"
	"strings"
	"unicode/utf8"
)

const (
	maxRows    = 20 // a longer table is cut, with the number of rows below
	maxColumns = 24
)

// Grid is a table ready to be shown. Its plain form has aligned columns.
type Grid struct {
	// Header names the columns.
	Header []string
	// Rows holds the cells of each row; a short row is filled with blanks.
	Rows [][]any
	// Total is the number of rows there were before the grid was cut.
	Total int
	// Note is a line below the table, for example its source.
	Note string

	fields []string // of a table of structs, by which Only finds columns, too
}

// Table returns values as a table: a slice of structs (one row each, one
// column per field, its header the field's name in words or what its tag
// `frame:"name (unit)"` says), a slice of slices, a slice of maps, or a map (two
// columns). The header replaces the names of the columns, from the left.
// Anything else becomes a table of one cell.
func Table(values any, header ...string) Grid {
	g, ok := gridOf(reflect.ValueOf(values))
	if !ok {
		g = Grid{Header: []string{""}, Rows: [][]any{{values}}, Total: 1}
	}
	for i, h := range header {
		if i < len(g.Header) {
			g.Header[i] = h
		}
	}
	return g
}

// Columns returns a table of the given columns side by side, each a slice.
// Columns of different length are an error.
func Columns(header []string, columns ...any) (Grid, error) {
	if len(header) != len(columns) {
		return Grid{}, fmt.Errorf("table: %d names for %d columns", len(header), len(columns))
	}
	g := Grid{Header: header}
	for c, column := range columns {
		v := reflect.ValueOf(column)
		if v.Kind() != reflect.Slice && v.Kind() != reflect.Array {
			return Grid{}, fmt.Errorf("table: column %q is a %T, want a slice", header[c], column)
		}
		if c == 0 {
			g.Total = v.Len()
			g.Rows = make([][]any, min(v.Len(), maxRows))
		}
		if v.Len() != g.Total {
			return Grid{}, fmt.Errorf("table: column %q has %d values, column %q has %d", header[c], v.Len(), header[0], g.Total)
		}
		for i := range g.Rows {
			g.Rows[i] = append(g.Rows[i], valueOf(v.Index(i)))
		}
	}
	return g, nil
}

// tableOf returns the table of a value that is best shown as one.
func tableOf(v reflect.Value) (Grid, bool) {
	if !v.IsValid() {
		return Grid{}, false
	}
	switch v.Kind() {
	case reflect.Slice, reflect.Array, reflect.Map:
	default:
		return Grid{}, false
	}
	t, ok := structUnder(v.Type().Elem())
	if !ok || v.Len() == 0 || knowsNothing(t) || knowsItself(firstOf(v)) {
		return Grid{}, false
	}
	return gridOf(v)
}

func firstOf(v reflect.Value) reflect.Value {
	if v.Kind() != reflect.Map {
		return v.Index(0)
	}
	i := v.MapRange()
	i.Next()
	return i.Value()
}

func knowsItself(v reflect.Value) bool {
	if !v.CanInterface() {
		return false
	}
	_, ok := ownText(v)
	return ok
}

func gridOf(v reflect.Value) (Grid, bool) {
	if !v.IsValid() {
		return Grid{}, false
	}
	switch v.Kind() {
	case reflect.Slice, reflect.Array:
		return gridOfSlice(v)
	case reflect.Map:
		return gridOfMap(v), true
	}
	return Grid{}, false
}

func gridOfSlice(v reflect.Value) (Grid, bool) {
	t := v.Type().Elem()
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch t.Kind() {
	case reflect.Struct:
		if knowsNothing(t) {
			return Grid{}, false
		}
		return gridOfStructs(v, t), true
	case reflect.Slice, reflect.Array:
		g := Grid{Total: v.Len()}
		for i := range min(v.Len(), maxRows) {
			row := v.Index(i)
			for len(g.Header) < row.Len() {
				g.Header = append(g.Header, strconv.Itoa(len(g.Header)+1))
			}
			cells := make([]any, row.Len())
			for j := range cells {
				cells[j] = valueOf(row.Index(j))
			}
			g.Rows = append(g.Rows, cells)
		}
		return g, true
	case reflect.Map:
		return gridOfMaps(v), true
	}
	g := Grid{Header: []string{"value"}, Total: v.Len()}
	for i := range min(v.Len(), maxRows) {
		g.Rows = append(g.Rows, []any{valueOf(v.Index(i))})
	}
	return g, true
}

func knowsNothing(t reflect.Type) bool {
	columns, _ := columnsOf(t)
	return len(columns) == 0
}

// columnsOf lists the fields that become columns: the exported ones, or all
// where none is exported. The note tells of those for which there is no room.
func columnsOf(t reflect.Type) (columns []reflect.StructField, note string) {
	var exported, all []reflect.StructField
	for i := range t.NumField() {
		f := t.Field(i)
		if f.Name == "_" {
			continue
		}
		all = append(all, f)
		if f.IsExported() {
			exported = append(exported, f)
		}
	}
	if len(exported) > 0 {
		all = exported
	}
	if n := len(all); n > maxColumns {
		return all[:maxColumns], fmt.Sprintf("… %d more columns, %d in all", n-maxColumns, n)
	}
	return all, ""
}

func gridOfStructs(v reflect.Value, t reflect.Type) Grid {
	columns, note := columnsOf(t)
	g := Grid{Header: names(columns), Total: v.Len(), Note: note}
	for _, c := range columns {
		g.fields = append(g.fields, c.Name)
	}
	for i := range min(v.Len(), maxRows) {
		g.Rows = append(g.Rows, fieldsOf(v.Index(i), columns))
	}
	return g
}

// fieldsTable lists the exported fields of a struct, or of the one that v points
// to, one in a row.
func fieldsTable(v reflect.Value) (Grid, bool) {
	for v.Kind() == reflect.Pointer && !v.IsNil() {
		v = v.Elem()
	}
	if v.Kind() != reflect.Struct {
		return Grid{}, false
	}
	columns, note := columnsOf(v.Type())
	g := Grid{Header: []string{"", ""}, Note: note}
	for _, c := range columns {
		if !c.IsExported() {
			return Grid{}, false
		}
		text, _ := cellText(v.FieldByIndex(c.Index), func(x float64) string { return sameDecimals([]float64{x})(x) })
		g.Rows = append(g.Rows, []any{word(heading(c)), word(text)})
	}
	g.Total = len(g.Rows)
	return g, len(g.Rows) > 0
}

// word is a text that is shown as it is.
type word string

func (w word) String() string { return string(w) }

// structUnder returns the struct that a type is, or that it points to.
func structUnder(t reflect.Type) (reflect.Type, bool) {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	return t, t.Kind() == reflect.Struct
}

func names(columns []reflect.StructField) []string {
	list := make([]string, len(columns))
	for i, c := range columns {
		list[i] = heading(c)
	}
	return list
}

// fieldsOf returns one row; that of a nil pointer says so and is else empty.
func fieldsOf(row reflect.Value, columns []reflect.StructField) []any {
	for row.Kind() == reflect.Pointer && !row.IsNil() {
		row = row.Elem()
	}
	cells := make([]any, len(columns))
	if row.Kind() == reflect.Struct {
		read := reader(row)
		for j, c := range columns {
			cells[j] = read(valueOf(row.FieldByIndex(c.Index)))
		}
	} else if len(cells) > 0 {
		cells[0] = nilText
	}
	return cells
}

// nilText stands in a column of numbers too.
const nilText = "nil"

// gridOfMap makes two columns of a map, or one for each field where the
// values are structs.
func gridOfMap(v reflect.Value) Grid {
	g := Grid{Header: []string{"key", "value"}, Total: v.Len()}
	entries := entriesOf(v)
	t, apart := structUnder(v.Type().Elem())
	apart = apart && !knowsNothing(t) && v.Len() > 0 && !knowsItself(entries[0].value)
	var columns []reflect.StructField
	if apart {
		columns, g.Note = columnsOf(t)
		g.Header = append([]string{"key"}, names(columns)...)
	}
	for _, e := range entries[:min(len(entries), maxRows)] {
		row := []any{valueOf(e.key)}
		if apart {
			row = append(row, fieldsOf(e.value, columns)...)
		} else {
			row = append(row, valueOf(e.value))
		}
		g.Rows = append(g.Rows, row)
	}
	return g
}

func gridOfMaps(v reflect.Value) Grid {
	names := map[string]reflect.Value{}
	var keys []reflect.Value
	n := min(v.Len(), maxRows)
	for i := range n {
		for _, k := range v.Index(i).MapKeys() {
			if name := fmt.Sprint(k); !names[name].IsValid() {
				names[name] = k
				keys = append(keys, k)
			}
		}
	}
	sortKeys(keys)
	g := Grid{Total: v.Len()}
	for _, k := range keys {
		g.Header = append(g.Header, fmt.Sprint(k))
	}
	for i := range n {
		cells := make([]any, len(keys))
		for j, k := range keys {
			if c := v.Index(i).MapIndex(k); c.IsValid() {
				cells[j] = valueOf(c)
			} else {
				cells[j] = ""
			}
		}
		g.Rows = append(g.Rows, cells)
	}
	return g
}

// valueOf keeps a field that reflection may not hand out as a reflect.Value.
func valueOf(v reflect.Value) any {
	if v.CanInterface() {
		return v.Interface()
	}
	return v
}

// Display returns the table as HTML and as aligned text.
func (g Grid) Display() Bundle {
	cells, numeric := g.cells()
	return Bundle{MIMEText: g.text(cells, numeric), MIMEHTML: g.html(cells, numeric)}
}

// cells returns the text of each shown cell, and for each column whether all
// its cells are numbers and stand to the right.
func (g Grid) cells() (cells [][]string, numeric []bool) {
	numeric = make([]bool, len(g.Header))
	for j := range numeric {
		numeric[j] = len(g.Rows) > 0
	}
	formats := g.formats()
	for _, row := range g.Rows[:min(len(g.Rows), maxRows)] {
		line := make([]string, len(g.Header))
		for j := range line {
			if j >= len(row) {
				continue
			}
			var isNumber bool
			line[j], isNumber = cellText(row[j], formats[j])
			numeric[j] = numeric[j] && (isNumber || line[j] == "" || line[j] == nilText)
		}
		cells = append(cells, line)
	}
	return cells, numeric
}

// cellText is shorter than Text: strings without quotes, plain numbers by their
// column's format.
func cellText(v any, format func(float64) string) (text string, number bool) {
	rv, ok := v.(reflect.Value)
	if !ok {
		rv = reflect.ValueOf(v)
	}
	if !rv.IsValid() {
		return "", false
	}
	for rv.Kind() == reflect.Interface && !rv.IsNil() {
		rv = rv.Elem()
	}
	if rv.CanInterface() {
		if s, ok := ownText(rv); ok {
			s = cut(s, maxOwnPart)
			return s, isMeasure(s)
		}
	}
	switch rv.Kind() {
	case reflect.Float32, reflect.Float64:
		return format(rv.Float()), true
	case reflect.String:
		return shorten(rv.String(), 200), false
	case reflect.Bool:
		return strconv.FormatBool(rv.Bool()), false
	}
	p := printer{seen: map[visit]bool{}}
	return shorten(p.value(rv, 1, true), 200), rv.CanInt() || rv.CanUint()
}

// isMeasure tells a number with a unit from other text.
func isMeasure(s string) bool {
	s = strings.TrimLeft(s, "+-−")
	return s != "" && s[0] >= '0' && s[0] <= '9' && strings.Count(s, " ") <= 1 && !strings.Contains(s, ":")
}

func shorten(s string, n int) string {
	if utf8.RuneCountInString(s) <= n {
		return s
	}
	return string([]rune(s)[:n]) + "…"
}

func (g Grid) text(cells [][]string, numeric []bool) string {
	width := make([]int, len(g.Header))
	for j, h := range g.Header {
		width[j] = utf8.RuneCountInString(h)
		for i := range cells {
			cells[i][j] = strings.ReplaceAll(cells[i][j], "\n", " ")
			width[j] = max(width[j], utf8.RuneCountInString(cells[i][j]))
		}
	}
	var b strings.Builder
	line := func(cells []string) {
		var l strings.Builder
		for j, s := range cells {
			if j > 0 {
				l.WriteString("  ")
			}
			pad := strings.Repeat(" ", width[j]-utf8.RuneCountInString(s))
			if numeric[j] {
				l.WriteString(pad + s)
			} else {
				l.WriteString(s + pad)
			}
		}
		b.WriteString(strings.TrimRight(l.String(), " ") + "\n")
	}
	line(g.Header)
	for _, c := range cells {
		line(c)
	}
	if note := g.notes(len(cells)); note != "" {
		b.WriteString(note + "\n")
	}
	return strings.TrimRight(b.String(), "\n")
}

func (g Grid) notes(shown int) string {
	var notes []string
	if total := max(g.Total, len(g.Rows)); total > shown {
		notes = append(notes, fmt.Sprintf("… %d more rows, %d in all", total-shown, total))
	}
	if g.Note != "" {
		notes = append(notes, g.Note)
	}
	return strings.Join(notes, "\n")
}

func (g Grid) html(cells [][]string, numeric []bool) string {
	var b strings.Builder
	b.WriteString("<table>\n<thead><tr>")
	align := func(j int) string {
		if numeric[j] {
			return ` style="text-align:right"`
		}
		return ` style="text-align:left"`
	}
	for j, h := range g.Header {
		b.WriteString("<th" + align(j) + ">" + html.EscapeString(h) + "</th>")
	}
	b.WriteString("</tr></thead>\n<tbody>\n")
	for _, row := range cells {
		b.WriteString("<tr>")
		for j, s := range row {
			b.WriteString("<td" + align(j) + ">" + html.EscapeString(s) + "</td>")
		}
		b.WriteString("</tr>\n")
	}
	b.WriteString("</tbody>\n</table>")
	if note := g.notes(len(cells)); note != "" {
		b.WriteString("\n<p>" + strings.ReplaceAll(html.EscapeString(note), "\n", "<br>") + "</p>")
	}
	return b.String()
}
