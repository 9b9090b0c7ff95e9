package messy

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"time"
	"unicode/utf16"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/instrument"
)

// layout is how one logger writes its rows.
type layout struct {
	Shape      string // a name for the truth, see shapes
	lang       language
	sep        string
	comma      bool   // decimal comma
	Date, Hour string // Go layouts
	Fahrenheit bool
	Open       string // what an open circuit looks like
	Encoding   string // utf-8, utf-8 with mark, windows-1252, utf-16
	crlf       bool
	fileName   func(first time.Time, n int) string
	Extension  string
}

// The shapes of logger files, described by what they look like.
const (
	withPreamble = "preamble, then date and clock columns"
	numbered     = "numbered rows, date and clock columns"
	oneStamp     = "one column of ISO stamps"
	elapsed      = "start in the preamble, seconds elapsed"
	longRows     = "one row a channel and moment"
	fixedWidth   = "blank-separated columns"
)

var shapes = []string{withPreamble, numbered, oneStamp, elapsed, longRows, fixedWidth}

// drawLayout draws how a logger writes. Only combinations that some reader
// could take apart: a decimal comma never meets a comma between columns.
func drawLayout(rng *rand.Rand) layout {
	pick := func(of ...string) string { return of[rng.IntN(len(of))] }
	l := layout{Shape: shapes[rng.IntN(len(shapes))], lang: languages[rng.IntN(len(languages))]}
	l.sep = pick(";", "\t", ",")
	l.comma = l.sep != "," && rng.IntN(2) == 0
	l.Date = pick("02/01/2006", "02.01.2006", "01-02-2006", "01/02/2006", "2006-01-02", "2006/01/02")
	l.Hour = pick("15:04:05", "15:04:05", "03:04:05 PM")
	l.Fahrenheit = rng.IntN(6) == 0
	l.Open = pick("OL", "", "----", "9999", "+9.9E+37", "NaN", "open")
	l.Encoding = pick("utf-8", "utf-8", "utf-8 with mark", "windows-1252", "utf-16")
	l.crlf = rng.IntN(2) == 0
	l.Extension = pick(".csv", ".CSV", ".txt", ".log")
	switch rng.IntN(3) {
	case 0:
		l.fileName = func(_ time.Time, n int) string { return fmt.Sprintf("LOG%04d", n) }
	case 1:
		l.fileName = func(at time.Time, _ int) string { return at.Format("TC_0102_1504") }
	default:
		l.fileName = func(at time.Time, n int) string { return at.Format("20060102") + fmt.Sprintf("-%d", n) }
	}
	if l.Shape == fixedWidth {
		l.sep, l.comma, l.Hour = " ", false, "15:04:05"
		if l.Open == "" {
			l.Open = "OL"
		}
	}
	return l
}

// header is what stands before the rows.
func (l *layout) header(w *bytes.Buffer, rec *instrument.Recording, serial int) {
	unit := "°C"
	if l.Fahrenheit {
		unit = "°F"
	}
	line := func(s ...string) { w.WriteString(strings.Join(s, l.sep)); w.WriteByte('\n') }
	var names []string
	for _, c := range rec.Channels {
		name := c.Label
		if l.Shape == fixedWidth {
			name = strings.ReplaceAll(name, " ", "_")
		}
		names = append(names, name)
	}
	switch l.Shape {
	case withPreamble:
		line(fmt.Sprintf("Logger %dCH-TC", len(names)), fmt.Sprintf("SN %d", serial))
		line("Interval", fmt.Sprintf("%g s", step(rec)))
		if l.Fahrenheit || serial%2 == 0 {
			line("Unit", unit)
		}
		line("")
		line(append([]string{l.lang.date, l.lang.clock}, names...)...)
	case numbered:
		if l.Fahrenheit {
			for i := range names {
				names[i] += " (" + unit + ")"
			}
		}
		line(append([]string{l.lang.no, l.lang.date, l.lang.clock}, names...)...)
	case oneStamp:
		for i := range names {
			names[i] += " [" + unit + "]"
		}
		line(append([]string{l.lang.date + " " + l.lang.clock}, names...)...)
	case elapsed:
		at := rec.Stamps[0]
		line("Start", at.Format(l.Date)+" "+at.Format(l.Hour))
		line("Unit", unit)
		line(append([]string{"s"}, names...)...)
	case longRows:
		line(l.lang.date+" "+l.lang.clock, "channel", "value", "unit")
	case fixedWidth:
		if l.Fahrenheit {
			w.WriteString("# unit " + unit + "\n")
		}
		line(append([]string{l.lang.date, l.lang.clock}, names...)...)
	}
}

func step(rec *instrument.Recording) float64 {
	if len(rec.Stamps) < 2 {
		return 0
	}
	return rec.Stamps[1].Sub(rec.Stamps[0]).Seconds()
}

// rows writes rows from to to.
func (l *layout) rows(w *bytes.Buffer, rec *instrument.Recording, from, to int) {
	unit := "°C"
	if l.Fahrenheit {
		unit = "°F"
	}
	for i := from; i < to; i++ {
		at := rec.Stamps[i]
		var head []string
		switch l.Shape {
		case numbered:
			head = []string{fmt.Sprint(i + 1), at.Format(l.Date), at.Format(l.Hour)}
		case oneStamp:
			head = []string{at.Format("2006-01-02T15:04:05")}
		case elapsed:
			head = []string{l.number(at.Sub(rec.Stamps[0]).Seconds(), 0)}
		case longRows:
			for _, c := range rec.Channels {
				w.WriteString(strings.Join([]string{at.Format(l.Date + " " + l.Hour), c.Label, l.temperature(c.Values[i]), unit}, l.sep) + "\n")
			}
			continue
		default:
			head = []string{at.Format(l.Date), at.Format(l.Hour)}
		}
		for _, c := range rec.Channels {
			x := l.temperature(c.Values[i])
			if l.Shape == fixedWidth {
				x = fmt.Sprintf("%7s", x)
			}
			head = append(head, x)
		}
		w.WriteString(strings.Join(head, l.sep))
		w.WriteByte('\n')
	}
}

func (l *layout) temperature(c float64) string {
	if math.IsNaN(c) {
		return l.Open
	}
	if l.Fahrenheit {
		c = c*1.8 + 32
	}
	return l.number(c, 1)
}

func (l *layout) number(x float64, digits int) string {
	s := fmt.Sprintf("%.*f", digits, x)
	if l.comma {
		s = strings.ReplaceAll(s, ".", ",")
	}
	return s
}

// encode turns a text into the layout's bytes.
func (l *layout) encode(text string) []byte {
	if l.crlf {
		text = strings.ReplaceAll(text, "\n", "\r\n")
	}
	switch l.Encoding {
	case "utf-8 with mark":
		return append([]byte("\xef\xbb\xbf"), text...)
	case "windows-1252": // the letters used here lie where Latin-1 has them
		var out []byte
		for _, r := range text {
			out = append(out, byte(r))
		}
		return out
	case "utf-16":
		out := []byte{0xff, 0xfe}
		for _, u := range utf16.Encode([]rune(text)) {
			out = append(out, byte(u), byte(u>>8))
		}
		return out
	}
	return []byte(text)
}
