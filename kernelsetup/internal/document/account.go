package document

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// File is what became of one file.
type File struct {
	Schema   int       `json:"schema"`
	File     string    `json:"file"`
	Error    *string   `json:"error"` // why it can't be read
	Sessions []Session `json:"sessions"`
}

// Session is what a device wrote between one switching on and the next.
type Session struct {
	Start     *string `json:"start"`
	ZoneKnown bool    `json:"zone_known"`
	// Lines is how many lines of the file belong to it, Read how many were kept.
	Lines     int        `json:"lines"`
	Read      int        `json:"read"`
	Rejected  []Rejected `json:"rejected"`
	Channels  []Channel  `json:"channels"`
	Warnings  []string   `json:"warnings"`
	Questions []string   `json:"questions"`

	units quantity.Preferred // of the text; the document has its own
}

// Rejected is a line that was not used.
type Rejected struct {
	Line int    `json:"line"`
	Why  string `json:"why"`
}

// Channel is one column.
type Channel struct {
	Name     string `json:"name"`
	Quantity string `json:"quantity"`
	// Unit is that of the file's numbers as understood, Shown that of the
	// numbers here.
	Unit     *string `json:"unit"`
	Shown    string  `json:"shown_unit"`
	Readings int     `json:"readings"`
	Missing  int     `json:"missing"`
	First    Number  `json:"first"`
	Last     Number  `json:"last"`
	Min      Number  `json:"min"`
	Max      Number  `json:"max"`
	// FromS and ToS are the first and the last reading after the start.
	FromS Number `json:"from_s"`
	ToS   Number `json:"to_s"`

	asWritten string // between what the numbers lie, in a unit that is not known
	dimension series.Dimension
}

// AccountFor reads a file and accounts for every row of it.
func AccountFor(path string) File {
	f := File{Schema: Schema, File: path, Sessions: []Session{}}
	ways, err := recording.OpenWays(path, recording.DefaultOptions())
	if err != nil {
		text := err.Error()
		f.Error = &text
		return f
	}
	for _, r := range ways[0].Recording.Sessions() {
		f.Sessions = append(f.Sessions, session(r, ways[0].Asked))
	}
	return f
}

func session(r *recording.Recording, asked []recording.Asked) Session {
	s := Session{ZoneKnown: r.ZoneKnown, Lines: r.Account.Lines, Read: r.Account.Read, Rejected: []Rejected{},
		Channels: []Channel{}, Warnings: list(estimate.Texts(r.Warnings)), Questions: []string{}}
	s.units = drive.UnitsOf(r)
	open := map[string]bool{}
	for _, q := range asked {
		open[q.Key] = true
		s.Questions = append(s.Questions, q.Error())
	}
	if r.Dated && !open["date_order"] {
		s.Start = instant(r.Start)
	}
	for _, x := range r.Account.Rejects {
		s.Rejected = append(s.Rejected, Rejected{x.Line, x.Reason})
	}
	for _, c := range r.Columns {
		unknownUnit := c.Dimension == series.Temperature && open["temperature_unit"] || c.Dimension == series.Speed && open["speed_unit"]
		s.Channels = append(s.Channels, channel(c, unknownUnit))
	}
	return s
}

func channel(c *recording.Column, unitOpen bool) Channel {
	unit := shown(c.Dimension)
	out := Channel{Name: c.Name, Quantity: c.Dimension.String(), Shown: unit.Symbol(), dimension: c.Dimension, Readings: c.Series.Present(),
		First: unknown, Last: unknown, Min: unknown, Max: unknown, FromS: unknown, ToS: unknown}
	out.Missing = c.Series.Len() - out.Readings
	if c.Unit != "" && !unitOpen {
		out.Unit = &c.Unit
	}
	for i, v := range c.Series.Value {
		if math.IsNaN(v) {
			continue
		}
		at := Number(c.Series.Time[i])
		if !out.FromS.Known() {
			out.FromS, out.First = at, Number(unit.FromSI(v))
		}
		out.ToS, out.Last = at, Number(unit.FromSI(v))
	}
	if out.Readings > 0 {
		lo, hi := c.Series.MinMax(c.Series.Interval())
		out.Min, out.Max = Number(unit.FromSI(lo)), Number(unit.FromSI(hi))
	}
	if unitOpen { // numbers in an unknown unit would look like °C
		out.asWritten = asWritten(c)
		out.First, out.Last, out.Min, out.Max = unknown, unknown, unknown, unknown
	}
	return out
}

// asWritten is between what the numbers of a column lie as the file has them,
// empty where that can't be said.
func asWritten(c *recording.Column) string {
	if c.Series.Present() == 0 {
		return ""
	}
	part, symbol, cut := strings.Cut(c.Unit, " ") // "0.1 °C": counts of a part of a degree
	each, err := strconv.ParseFloat(part, 64)
	if !cut || err != nil {
		symbol, each = c.Unit, 1
	}
	unit, err := quantity.Lookup(c.Dimension, symbol)
	if err != nil {
		return ""
	}
	lo, hi := c.Series.MinMax(c.Series.Interval())
	return fmt.Sprintf("%.6g to %.6g", unit.FromSI(lo)/each, unit.FromSI(hi)/each)
}

// mostRejected is how many rejected lines the text lists one by one.
const mostRejected = 20

// Text writes the account for a person.
func (f File) Text(w io.Writer) {
	if f.Error != nil {
		fmt.Fprintf(w, "%s\n  can't be read: %s\n", f.File, *f.Error)
		return
	}
	fmt.Fprintf(w, "%s\n", f.File)
	for i, s := range f.Sessions {
		indent := "  "
		if len(f.Sessions) > 1 {
			fmt.Fprintf(w, "  session %d of %d\n", i+1, len(f.Sessions))
			indent = "    "
		}
		s.text(w, indent)
	}
}

func (s Session) text(w io.Writer, indent string) {
	start := "no date"
	if s.Start != nil {
		start = "from " + startText(*s.Start, s.ZoneKnown)
	}
	fmt.Fprintf(w, "%s%s: %d lines, %d read, %d rejected\n", indent, start, s.Lines, s.Read, len(s.Rejected))
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, c := range s.Channels {
		unit := "unit not known"
		if c.Unit != nil {
			unit = "read as " + *c.Unit
		}
		span := "no reading"
		if c.Readings > 0 {
			values := spanText(s.units, c.dimension, c.Min, c.Max)
			if !c.Min.Known() {
				values = c.asWritten
			}
			span = fmt.Sprintf("%s\t%s to %s s", values, digits(c.FromS), digits(c.ToS))
		}
		fmt.Fprintf(t, "%s  %s\t%s, %s\t%d readings, %d missing\t%s\n", indent, c.Name, c.Quantity, unit, c.Readings, c.Missing, span)
	}
	t.Flush()
	for i, x := range s.Rejected {
		if i == mostRejected {
			fmt.Fprintf(w, "%s  … and %d rejected lines more; -json lists all\n", indent, len(s.Rejected)-i)
			break
		}
		fmt.Fprintf(w, "%s  rejected: line %d: %s\n", indent, x.Line, x.Why)
	}
	for _, x := range s.Warnings {
		fmt.Fprintf(w, "%s  check: %s\n", indent, x)
	}
	for _, x := range s.Questions {
		fmt.Fprintf(w, "%s  question: %s\n", indent, x)
	}
}

func startText(rfc string, zone bool) string {
	at, err := time.Parse(time.RFC3339Nano, rfc)
	if err != nil {
		return rfc
	}
	text := at.Format("2006-01-02 15:04:05")
	if zone {
		return text + " UTC"
	}
	return text + " (time zone not known)"
}

func digits(n Number) string {
	if !n.Known() {
		return "?"
	}
	s := fmt.Sprintf("%.1f", float64(n))
	return strings.TrimSuffix(s, ".0")
}

// Failed reports whether a file could not be read.
func Failed(files []File) bool {
	return slices.ContainsFunc(files, func(f File) bool { return f.Error != nil })
}
