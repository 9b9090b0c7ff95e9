package simulate

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"time"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Units says where a text export names the unit of its temperatures.
type Units int

// The places of a unit.
const (
	UnitsInHeader Units = iota // T1 [°C]
	UnitsInColumn              // 21.4;C
	UnitsNowhere
)

// Encoding is how characters become bytes.
type Encoding int

// The encodings that exports of loggers and spreadsheets use.
const (
	UTF8 Encoding = iota
	UTF8BOM
	UTF16LE
	UTF16BE
	Windows1252
)

// Layout is the shape of a text export. The zero value is not usable; start
// from one of Layouts.
type Layout struct {
	Name         string
	Delimiter    string
	DecimalComma bool
	// DateTime is a Go time layout. Where it holds Delimiter, date and time
	// become two columns. Empty writes elapsed seconds.
	DateTime  string
	Unix      bool // seconds since 1970 instead of DateTime
	Units     Units
	Degrees   string // "C" or "F"
	Header    bool
	Preamble  []string
	Quoted    bool
	Encoding  Encoding
	LineEnd   string
	Open      string // what an open circuit prints as
	Decimals  int
	PadFields int // width of space-aligned fields, 0 for none
}

// Layouts returns one layout of every shape that loggers of this kind write.
func Layouts() []Layout {
	base := Layout{Delimiter: ",", DateTime: "2006-01-02,15:04:05", Header: true, Degrees: "C", LineEnd: "\n", Open: "OL", Decimals: 1}
	with := func(name string, change func(*Layout)) Layout {
		l := base
		l.Name = name
		change(&l)
		return l
	}
	return []Layout{
		with("comma, year first", func(l *Layout) {}),
		with("semicolon, decimal comma, day first", func(l *Layout) {
			l.Delimiter, l.DecimalComma, l.DateTime = ";", true, "02.01.2006;15:04:05"
			l.Encoding, l.LineEnd, l.Open = Windows1252, "\r\n", "----"
		}),
		with("tab, unit columns, 12-hour", func(l *Layout) {
			l.Delimiter, l.DateTime, l.Units, l.LineEnd = "\t", "01/02/2006\t03:04:05 PM", UnitsInColumn, "\r\n"
		}),
		with("Fahrenheit, quoted", func(l *Layout) { l.Degrees, l.Quoted, l.DateTime = "F", true, "2006-01-02 15:04:05" }),
		with("UTF-16 little endian, tab", func(l *Layout) { l.Delimiter, l.Encoding, l.LineEnd = "\t", UTF16LE, "\r\n" }),
		with("UTF-16 big endian", func(l *Layout) { l.Encoding, l.DateTime = UTF16BE, "02.01.2006 15:04:05" }),
		with("byte order mark, preamble", func(l *Layout) {
			l.Encoding, l.Preamble = UTF8BOM, []string{"Temperature record", "Interval 2 s", ""}
		}),
		with("no header, unit columns", func(l *Layout) { l.Header, l.Units = false, UnitsInColumn }),
		with("old Mac line ends, colon milliseconds", func(l *Layout) { l.LineEnd, l.DateTime = "\r", "2006-01-02 15:04:05.000" }),
		with("Unix seconds", func(l *Layout) { l.Unix = true }),
		with("elapsed seconds", func(l *Layout) { l.DateTime = "" }),
		with("space aligned", func(l *Layout) {
			l.Delimiter, l.PadFields, l.DateTime, l.Units = " ", 12, "2006-01-02 15:04:05", UnitsInHeader
		}),
	}
}

// Row is one reading: the logger's own clock, and values in kelvin with NaN
// for an open circuit.
type Row struct {
	Clock  time.Time
	Values []float64
}

// Write returns the file that a logger with this layout writes for the rows.
// names are the channels' names.
//
// It fails for a layout or an encoding that can't be written.
func (l Layout) Write(names []string, rows []Row) ([]byte, error) {
	var b bytes.Buffer
	for _, p := range l.Preamble {
		b.WriteString(p + l.LineEnd)
	}
	if l.Header {
		l.line(&b, l.header(names))
	}
	var first time.Time
	if len(rows) > 0 {
		first = rows[0].Clock
	}
	for _, r := range rows {
		l.line(&b, l.fields(r, first))
	}
	return l.encode(b.Bytes())
}

func (l Layout) header(names []string) []string {
	var f []string
	switch {
	case l.Unix:
		f = append(f, "Unix time")
	case l.DateTime == "":
		f = append(f, "Elapsed [s]")
	case strings.Contains(l.DateTime, l.Delimiter):
		f = append(f, "Date", "Time")
	default:
		f = append(f, "Date and time")
	}
	for _, n := range names {
		switch l.Units {
		case UnitsInHeader:
			f = append(f, fmt.Sprintf("%s [°%s]", n, l.Degrees))
		case UnitsInColumn:
			f = append(f, n, "Unit")
		default:
			f = append(f, n)
		}
	}
	return f
}

func (l Layout) fields(r Row, first time.Time) []string {
	var f []string
	switch {
	case l.Unix:
		f = append(f, strconv.FormatInt(r.Clock.Unix(), 10))
	case l.DateTime == "":
		f = append(f, strconv.FormatFloat(r.Clock.Sub(first).Seconds(), 'f', 1, 64))
	default:
		f = append(f, strings.Split(r.Clock.Format(l.DateTime), l.Delimiter)...)
	}
	for _, k := range r.Values {
		f = append(f, l.value(k))
		if l.Units == UnitsInColumn {
			f = append(f, l.Degrees)
		}
	}
	return f
}

func (l Layout) value(kelvin float64) string {
	if kelvin != kelvin {
		return l.Open
	}
	s := strconv.FormatFloat(quantity.KindTemperature.Unit(l.Degrees).FromSI(kelvin), 'f', l.Decimals, 64)
	if l.DecimalComma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
}

func (l Layout) line(b *bytes.Buffer, fields []string) {
	for i, f := range fields {
		if i > 0 {
			b.WriteString(l.Delimiter)
		}
		switch {
		case l.Quoted:
			b.WriteString(`"` + f + `"`)
		case l.PadFields > 0:
			fmt.Fprintf(b, "%-*s", l.PadFields, strings.ReplaceAll(f, " ", ""))
		default:
			b.WriteString(f)
		}
	}
	b.WriteString(l.LineEnd)
}

func (l Layout) encode(text []byte) ([]byte, error) {
	var t transform.Transformer
	switch l.Encoding {
	case UTF8:
		return text, nil
	case UTF8BOM:
		return append([]byte("\xef\xbb\xbf"), text...), nil
	case UTF16LE:
		t = unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder()
	case UTF16BE:
		t = unicode.UTF16(unicode.BigEndian, unicode.UseBOM).NewEncoder()
	case Windows1252:
		t = charmap.Windows1252.NewEncoder()
	default:
		return nil, fmt.Errorf("simulate: unknown encoding %d", l.Encoding)
	}
	out, _, err := transform.Bytes(t, text)
	return out, err
}
