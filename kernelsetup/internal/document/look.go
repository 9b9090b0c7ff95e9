package document

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
	"github.com/bonnetbook/bonnetbook/pkg/warm"
)

// Look is what happened in one drive.
type Look struct {
	Schema        int           `json:"schema"`
	Drive         string        `json:"drive"`
	Configuration *string       `json:"configuration"`
	Start         *string       `json:"start"`
	Channels      []LookChannel `json:"channels"`
	Opening       Opening       `json:"opening"`
	Warm          Warm          `json:"warm"`
	Clocks        []LookClock   `json:"clocks"`
	Kinds         []Kind        `json:"kinds"`
	Checks        []Check       `json:"checks"`

	units quantity.Preferred // of the text; the document has its own
}

// LookChannel is a channel that plays a role; a spare one plays it beside
// another.
type LookChannel struct {
	Role  string `json:"role"`
	Name  string `json:"name"`
	Unit  string `json:"unit"`
	Spare bool   `json:"spare"`
	Min   Number `json:"min"`
	Max   Number `json:"max"`
}

// Opening is when the thermostat began to open.
type Opening struct {
	Outcome    string  `json:"outcome"`
	AtS        Number  `json:"at_s"`
	LowS       Number  `json:"low_s"`
	HighS      Number  `json:"high_s"`
	At         *string `json:"at"` // the instant of at_s, on the drive's clock
	Confidence *string `json:"confidence"`
	Why        string  `json:"why"`
}

// Warm is from when on the engine counts as warm, and by what: thermostat, rule
// or stated.
type Warm struct {
	Outcome string  `json:"outcome"`
	Basis   *string `json:"basis"`
	AtS     Number  `json:"at_s"`
	LowS    Number  `json:"low_s"`
	HighS   Number  `json:"high_s"`
	Why     string  `json:"why"`
}

// The words of the document.
var (
	warmths = map[warm.Outcome]string{warm.NotKnown: "not known", warm.Became: "became warm", warm.Never: "never warm", warm.AtStart: "warm at start"}
	bases   = map[warm.Basis]string{warm.ByThermostat: "thermostat", warm.ByRule: "rule", warm.ByHand: "stated", warm.ByLevel: "coolant level"}
)

func warmOf(s warm.State) Warm {
	w := Warm{Outcome: warmths[s.Outcome], AtS: unknown, LowS: unknown, HighS: unknown, Why: s.Reason}
	if s.Outcome != warm.NotKnown {
		w.Basis = told(bases[s.Basis])
	}
	if s.Outcome == warm.Became {
		w.AtS, w.LowS, w.HighS = Number(s.At), Number(s.Interval95.From), Number(s.Interval95.To)
	}
	return w
}

// Kind is a kind of driving.
type Kind struct {
	Kind    string `json:"kind"`
	Minutes Number `json:"minutes"`
	Settled Number `json:"settled_minutes"`
}

// Check is something to look at.
type Check struct {
	What string `json:"what"`
	Text string `json:"text"`
}

// outcomes are the words of the document.
var outcomes = map[thermostat.Outcome]string{thermostat.NotDecidable: "not decidable", thermostat.Opened: "opened", thermostat.NotReached: "not reached",
	thermostat.AlreadyOpen: "already open", thermostat.StuckOpen: "stuck open", thermostat.NoThermostat: "no thermostat"}

// LookOf makes the document of one drive; dateOpen says that the date can be
// read in two ways.
func LookOf(l verdict.Look, zones Zones, more []estimate.Warning, dateOpen bool) Look {
	d := l.Drive
	out := Look{Schema: Schema, units: d.Units, Drive: d.Name, Configuration: told(d.Configuration), Start: instant(d.Start), Channels: []LookChannel{}, Kinds: []Kind{}, Checks: []Check{},
		Opening: Opening{Outcome: outcomes[l.Opening.Outcome], AtS: unknown, LowS: unknown, HighS: unknown, Confidence: told(string(l.Opening.Confidence)), Why: l.Opening.Reason}, Warm: warmOf(l.Warm())}
	var opened time.Time // zero where nothing did, or the drive has no date
	if l.Opening.Outcome == thermostat.Opened {
		out.Opening.AtS, out.Opening.LowS, out.Opening.HighS = Number(l.Opening.Onset), Number(l.Opening.Interval95.From), Number(l.Opening.Interval95.To)
		if out.Start != nil {
			opened = d.Start.Add(time.Duration(l.Opening.Onset * 1e9))
		}
	}
	out.Opening.At, out.Clocks = instant(opened), clocksOf(d, opened, zones)
	if dateOpen {
		out.Start, out.Opening.At = nil, nil
	}
	for _, r := range d.RoleList() {
		out.Channels = append(out.Channels, lookChannel(d.Channels[r], false))
	}
	for _, c := range d.Others {
		out.Channels = append(out.Channels, lookChannel(c, true))
	}
	out.Kinds = kinds(l.Segments)
	for _, c := range append(append([]estimate.Warning(nil), more...), l.Checks...) {
		out.Checks = append(out.Checks, Check{string(c.Kind), c.String()})
	}
	return out
}

func lookChannel(c *drive.Channel, spare bool) LookChannel {
	unit := shown(c.Series.Dimension)
	out := LookChannel{Role: string(c.Role), Name: columnName(c), Unit: unit.Symbol(), Spare: spare, Min: unknown, Max: unknown}
	if c.Series.Present() > 0 {
		lo, hi := c.Series.MinMax(c.Series.Interval())
		out.Min, out.Max = Number(unit.FromSI(lo)), Number(unit.FromSI(hi))
	}
	return out
}

// columnName is the column as the file calls it, without the quotation marks
// and the word that name it in a text.
func columnName(c *drive.Channel) string {
	name := strings.TrimPrefix(c.Column, "column ")
	if plain, err := strconv.Unquote(name); err == nil {
		return plain
	}
	return cmp.Or(name, c.Series.Name)
}

func kinds(segments []segment.Segment) []Kind {
	all := []Kind{}
	for _, k := range segment.Kinds() {
		out := Kind{Kind: k.String()}
		for _, s := range segments {
			if s.Kind != k {
				continue
			}
			out.Minutes += Number(s.Interval.Duration() / 60)
			if s.Settled {
				out.Settled += Number(s.Interval.Duration() / 60)
			}
		}
		if out.Minutes > 0 {
			out.Minutes, out.Settled = tenths(out.Minutes), tenths(out.Settled)
			all = append(all, out)
		}
	}
	return all
}

func tenths(n Number) Number { return Number(math.Round(float64(n)*100) / 100) }

// NoLook is the document of a drive that could not be put together.
func NoLook(l drive.LeftOut) Look {
	return Look{Schema: Schema, Drive: l.Drive, Configuration: told(l.Configuration), Channels: []LookChannel{}, Clocks: []LookClock{}, Kinds: []Kind{},
		Opening: Opening{Outcome: outcomes[thermostat.NotDecidable], AtS: unknown, LowS: unknown, HighS: unknown, Why: "the drive could not be put together"},
		Warm:    Warm{Outcome: warmths[warm.NotKnown], AtS: unknown, LowS: unknown, HighS: unknown, Why: "the drive could not be put together"},
		Checks:  []Check{{"left out", l.String()}}}
}

// Text writes what happened for a person.
func (l Look) Text(w io.Writer) {
	fmt.Fprintf(w, "%s", l.Drive)
	if l.Configuration != nil {
		fmt.Fprintf(w, " (%s)", *l.Configuration)
	}
	if l.Start != nil {
		fmt.Fprintf(w, ", from %s", *l.Start)
	}
	fmt.Fprintln(w)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, c := range l.Channels {
		role := c.Role
		if c.Spare {
			role = "spare " + role
		}
		text := fmt.Sprintf("%s to %s %s", digits(c.Min), digits(c.Max), c.Unit)
		if dim, known := drive.Role(c.Role).Dimension(); known {
			text = spanText(l.units, dim, c.Min, c.Max)
		}
		fmt.Fprintf(t, "  %s\t%s\t%s\n", role, c.Name, text)
	}
	t.Flush()
	o := l.Opening
	fmt.Fprintf(w, "  thermostat: %s", o.Outcome)
	if o.AtS.Known() {
		fmt.Fprintf(w, " at %.0f s (95 %%: %.0f to %.0f s)", float64(o.AtS), float64(o.LowS), float64(o.HighS))
	}
	if o.Confidence != nil {
		fmt.Fprintf(w, ", confidence %s", *o.Confidence)
	}
	fmt.Fprintf(w, "\n    %s\n", strings.ReplaceAll(o.Why, "\n", " "))
	if text := l.openingText(); text != "" {
		fmt.Fprintf(w, "    %s\n", text)
	}
	if b := l.Warm.Basis; b != nil && *b != bases[warm.ByThermostat] {
		fmt.Fprintf(w, "  engine: %s", l.Warm.Outcome)
		if l.Warm.AtS.Known() {
			fmt.Fprintf(w, " at %.0f s", float64(l.Warm.AtS))
		}
		if l.Warm.HighS > l.Warm.LowS { // a rule by the clock has none
			fmt.Fprintf(w, " (95 %%: %.0f to %.0f s)", float64(l.Warm.LowS), float64(l.Warm.HighS))
		}
		fmt.Fprintf(w, ", %s: %s\n", *b, l.Warm.Why)
	}
	for _, k := range l.Kinds {
		fmt.Fprintf(w, "  %-13s %6.1f min, settled %.1f min\n", k.Kind, float64(k.Minutes), float64(k.Settled))
	}
	clockTexts(w, l.Clocks)
	for _, c := range l.Checks {
		fmt.Fprintf(w, "  check, %s: %s\n", c.What, strings.ReplaceAll(c.Text, "\n", "\n    "))
	}
}
