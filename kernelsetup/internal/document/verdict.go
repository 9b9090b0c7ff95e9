package document

import (
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

// Verdict is the answer.
type Verdict struct {
	Schema   int       `json:"schema"`
	Sentence string    `json:"sentence"`
	Before   string    `json:"before"`
	After    string    `json:"after"`
	Primary  string    `json:"primary"`
	DeltaK   Number    `json:"delta_K"`
	Strata   []Stratum `json:"strata"`
	// Intakes is the primary kind of driving for each of several intake probes.
	Intakes []Intake `json:"intakes"`
	// WarmBasis is by what the engine counts as warm, where that is not the
	// thermostat's opening in every drive.
	WarmBasis *string     `json:"warm_basis"`
	Power     Power       `json:"power"`
	Drives    []Driven    `json:"drives"`
	Flaws     []Flaw      `json:"flaws"`
	Influence []Influence `json:"influence"`
	// Pulls are the stretches that count as full throttle, and those that may have
	// been at it; each can be confirmed or rejected in the campaign.
	Pulls []Pull `json:"pulls"`
	Next  []Next `json:"next"`
	Stop  Stop   `json:"stop"`
	// Others are the campaign's other configurations against the same first one;
	// only where there are three or more and none was named. The intervals of all
	// hold together.
	Others []Verdict `json:"others,omitempty"`

	clauses []string // of the sentence

	units quantity.Preferred // of the text and the page; the document has its own
}

// Stop answers whether the drives are enough for somebody who asks after each.
type Stop struct {
	Stop  bool   `json:"stop"`
	Look  int    `json:"look"`
	Looks int    `json:"looks"`
	Level Number `json:"level"`
	Text  string `json:"text"`
}

// Stratum is one kind of driving.
type Stratum struct {
	ID           string   `json:"id"`
	Name         string   `json:"name"`
	ChangeK      Number   `json:"change_K"`
	LowK         Number   `json:"low_K"`
	HighK        Number   `json:"high_K"`
	Level        Number   `json:"level"`
	Word         string   `json:"word"`
	Basis        *string  `json:"basis"`
	DrivesBefore int      `json:"drives_before"`
	DrivesAfter  int      `json:"drives_after"`
	RiseBefore   Rise     `json:"rise_before"`
	RiseAfter    Rise     `json:"rise_after"`
	Budget       []Share  `json:"budget"` // null where it is not known
	Flaws        []string `json:"flaws"`  // their kinds
}

// Intake is what one of several intake probes says.
type Intake struct {
	Role    string `json:"role"`
	ChangeK Number `json:"change_K"`
	LowK    Number `json:"low_K"`
	HighK   Number `json:"high_K"`
}

// Rise is the intake's temperature above the outside air.
type Rise struct {
	ValueK Number `json:"value_K"`
	LowK   Number `json:"low_K"`
	HighK  Number `json:"high_K"`
}

// Share is what one source contributes to the variance of the change.
type Share struct {
	Source string `json:"source"`
	Share  Number `json:"share"`
	label  string // for the page
}

// Percent is a change of power.
type Percent struct {
	Low  Number `json:"low_percent"`
	High Number `json:"high_percent"`
}

// PowerPart is one of the things that a change of power is made of.
type PowerPart struct {
	Name string `json:"name"`
	Percent
}

// Power is what the change is worth at full throttle. BeforeDuct is without
// what the duct costs in pressure, which is known only where the campaign states it.
type Power struct {
	Percent
	BeforeDuct   Percent     `json:"before_duct"`
	Parts        []PowerPart `json:"parts"`
	Extrapolated bool        `json:"extrapolated"`
	Basis        *string     `json:"basis"`
}

// Driven is one drive of the campaign.
type Driven struct {
	Name          string  `json:"name"`
	Configuration string  `json:"configuration"`
	Used          bool    `json:"used"`
	Why           *string `json:"why"`
	// What it shows in the primary kind of driving.
	Start    *string `json:"start"`
	RiseK    Number  `json:"rise_K"`
	AmbientC Number  `json:"ambient_C"`
}

// Flaw is what makes the comparison less than fair.
type Flaw struct {
	Kind string `json:"kind"`
	Text string `json:"text"`
	// Blocks says that nothing may be concluded for it.
	Blocks bool `json:"blocks"`
}

// Influence is the change without one drive.
type Influence struct {
	Drive         string `json:"drive"`
	ChangeWithout Number `json:"change_K_without"`
	Odd           bool   `json:"odd"`
}

// Pull is a stretch at full throttle.
type Pull struct {
	Drive  string `json:"drive"`
	FromS  Number `json:"from_s"` // after the start of the drive
	ToS    Number `json:"to_s"`
	Counts bool   `json:"counts"`
	// Basis is one of "stated", "throttle" and "acceleration"; Likely the probability
	// by acceleration, else null.
	Basis  string `json:"basis"`
	Likely Number `json:"likely"`
	// Soaked: the bay still gave off the heat of a stop, so that it is compared with
	// nothing.
	Soaked bool `json:"heat_soak"`
	text   string
}

// Next is what to do next.
type Next struct {
	Do  string `json:"do"`
	Why string `json:"why"`
}

// VerdictOf makes the document of a judgement.
func VerdictOf(j verdict.Judgement) Verdict {
	v := Verdict{Schema: Schema, Sentence: j.Sentence(), Before: j.Before, After: j.After, Primary: string(j.Primary), DeltaK: Number(j.Delta.Kelvins()),
		Strata: []Stratum{}, Intakes: []Intake{}, WarmBasis: told(j.WarmBasis), Drives: []Driven{}, Flaws: []Flaw{}, Influence: []Influence{}, Pulls: []Pull{}, Next: []Next{}, units: j.Units, clauses: j.Clauses()}
	for _, s := range j.Strata {
		v.Strata = append(v.Strata, stratum(s))
	}
	for _, i := range j.Intakes {
		c := i.Difference.Change
		low, high := limits(c.Interval, i.Difference.Before.Drives, i.Difference.After.Drives)
		v.Intakes = append(v.Intakes, Intake{string(i.Role), Number(c.Value), low, high})
	}
	v.Power = power(j)
	for _, d := range j.Drives {
		out := Driven{Name: d.Drive, Configuration: d.Configuration, Used: d.Used, Why: told(d.Remark), RiseK: unknown, AmbientC: unknown}
		for _, p := range j.Points {
			if p.Drive == d.Drive {
				out.Start, out.RiseK, out.AmbientC = instant(p.Start), Number(p.Rise.Kelvins()), Number(p.Ambient.Celsius())
			}
		}
		v.Drives = append(v.Drives, out)
	}
	for _, f := range j.Flaws {
		v.Flaws = append(v.Flaws, Flaw{string(f.Kind), f.Text, f.Blocks})
	}
	for _, i := range j.Influence {
		v.Influence = append(v.Influence, Influence{i.Drive, Number(i.Delta), i.Odd})
	}
	for _, p := range j.Pulls {
		v.Pulls = append(v.Pulls, pull(p))
	}
	for _, n := range j.Next {
		v.Next = append(v.Next, Next{n.Do, n.Why})
	}
	v.Stop = Stop{j.Stop.Stop, j.Stop.Look, j.Stop.Looks, Number(j.Stop.Level), j.StopText()}
	return v
}

func pull(p verdict.Pull) Pull {
	out := Pull{Drive: p.Drive, FromS: Number(p.Interval.From), ToS: Number(p.Interval.To), Counts: !p.Brisk && !p.Rejected && !p.Soaked,
		Basis: "acceleration", Likely: Number(p.Likely), Soaked: p.Soaked, text: p.String()}
	switch {
	case p.Stated:
		out.Basis, out.Likely = "stated", unknown
	case p.Seen:
		out.Basis, out.Likely = "throttle", unknown
	}
	return out
}

func stratum(s verdict.StratumJudgement) Stratum {
	low, high := limits(s.Change.Interval, s.DrivesBefore, s.DrivesAfter)
	out := Stratum{ID: string(s.ID), Name: s.Name, ChangeK: Number(s.Change.Value), LowK: low, HighK: high,
		Level: Number(s.Change.Interval.Level), Word: string(s.Word), Basis: told(s.Change.Basis.String()), DrivesBefore: s.DrivesBefore, DrivesAfter: s.DrivesAfter,
		RiseBefore: rise(s.Before, s.DrivesBefore), RiseAfter: rise(s.After, s.DrivesAfter), Flaws: []string{}}
	if !out.LowK.Known() || !out.HighK.Known() {
		out.Level = unknown // no interval, no level
	}
	if !s.Change.Known() {
		out.Basis = nil
	}
	sum := 0.0
	for _, c := range s.Change.Contributions {
		sum += c.Effect * c.Effect
	}
	for _, c := range s.Change.Contributions {
		if sum > 0 && out.Level.Known() {
			out.Budget = append(out.Budget, Share{c.Source.String(), Number(c.Effect * c.Effect / sum), strings.TrimSuffix(c.Source.ID, ", "+out.ID)})
		}
	}
	for _, f := range s.Flaws {
		out.Flaws = append(out.Flaws, string(f.Kind))
	}
	return out
}

// OneEach reports whether each side has one drive, so that there is no interval.
func (s Stratum) OneEach() bool { return compare.OneEach(s.DrivesBefore, s.DrivesAfter) }

// limits are those of the interval of a change; one drive a side has none.
func limits(v estimate.Interval, before, after int) (low, high Number) {
	if compare.OneEach(before, after) {
		return unknown, unknown
	}
	return Number(v.Low), Number(v.High)
}

// rise is that of some drives; one is its own mean, and has no interval.
func rise(e estimate.Estimate, drives int) Rise {
	if drives < 2 {
		return Rise{Number(e.Value), unknown, unknown}
	}
	return Rise{Number(e.Value), Number(e.Interval.Low), Number(e.Interval.High)}
}

// percent is an interval of shares.
func percent(v estimate.Interval) Percent { return Percent{Number(100 * v.Low), Number(100 * v.High)} }

func power(j verdict.Judgement) Power {
	none := Percent{unknown, unknown}
	p := Power{Percent: none, BeforeDuct: none, Parts: []PowerPart{}}
	low, high, ok := j.PowerRange()
	if low, high, predicted := j.PredictedRange(); !ok && predicted {
		w := j.Power.Predicted
		p.BeforeDuct = percent(w.BeforeDuct.Interval)
		p.Percent, p.Extrapolated = percent(estimate.Interval{Low: low, High: high}), true
		p.Basis = told("predicted from part throttle by how the rise of these drives follows load and air flow, not measured; mixture included; " + verdict.Ducted(*w))
		return p
	}
	if !ok {
		p.Basis = told("full throttle can't be compared")
		for _, w := range j.Power.Warnings {
			if w.Kind == verdict.NoFullThrottle || w.Kind == verdict.PowerNotKnown {
				p.Basis = told(w.String())
				break
			}
		}
		return p
	}
	p.Percent = percent(estimate.Interval{Low: low, High: high})
	w := j.Power.Worths[0]
	p.BeforeDuct = percent(w.BeforeDuct.Interval)
	mixture := "mixture, unadjusted and not measured"
	if w.Budget.Lambda.Measured {
		mixture = "mixture, unadjusted"
	}
	p.Parts = append(p.Parts, PowerPart{"temperature of the intake air", percent(w.Power.Interval)}, PowerPart{mixture, percent(w.Mixture.Interval)})
	for _, part := range w.Budget.Parts {
		p.Parts = append(p.Parts, PowerPart{"only not known: " + part.Source.ID, percent(part.Alone)})
	}
	p.Extrapolated = w.Effect.Extrapolated
	p.Basis = told(fmt.Sprintf("%d drives with full throttle, over the standards, the interval of the change, the mixture's place and the weather; %s", w.Difference.Before.Drives+w.Difference.After.Drives, verdict.Ducted(w)))
	return p
}

// span writes from where to where the power is.
func (p Power) span() string {
	return quantity.Numbers("%+.1f to %+.1f %%", float64(p.Low), float64(p.High))
}

// extrapolation says where the power is one.
func (p Power) extrapolation() string {
	if p.Extrapolated {
		return ", extrapolated"
	}
	return ""
}

// Text writes the verdict for a person.
func (v Verdict) Text(w io.Writer) {
	fmt.Fprintf(w, "%s\n\n", v.Sentence)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "driving\t%s\t%s\tchange\tinterval\tdrives\t\n", v.Before, v.After)
	for _, s := range v.Strata {
		if s.DrivesBefore+s.DrivesAfter == 0 {
			continue
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%d + %d\t%s\n", s.Name, v.difference(s.RiseBefore.ValueK, "%.1f"), v.difference(s.RiseAfter.ValueK, "%.1f"), v.difference(s.ChangeK, "%+.1f"), v.interval(s),
			s.DrivesBefore, s.DrivesAfter, s.Word)
	}
	t.Flush()
	section(w, "Each intake probe", len(v.Intakes), func(i int) string {
		p := v.Intakes[i]
		text := p.Role + ": " + v.difference(p.ChangeK, "%+.1f")
		if p.LowK.Known() && p.HighK.Known() {
			text += " (" + v.units.Span(quantity.KindTemperatureDifference, "%.1f", float64(p.LowK), float64(p.HighK)) + ")"
		}
		return text
	})
	if v.Power.Low.Known() {
		fmt.Fprintf(w, "Power at full throttle: %s%s (%s)\n", v.Power.span(), v.Power.extrapolation(), *v.Power.Basis)
	} else {
		fmt.Fprintf(w, "Power: %s\n", *v.Power.Basis)
	}
	section(w, "What makes it less than fair", len(v.Flaws), func(i int) string {
		blocks := ""
		if v.Flaws[i].Blocks {
			blocks = ", nothing may be concluded"
		}
		return v.Flaws[i].Kind + blocks + ": " + v.Flaws[i].Text
	})
	section(w, "Full throttle, to be confirmed or rejected in the campaign", len(v.Pulls), func(i int) string { return v.Pulls[i].text })
	section(w, "Drives", len(v.Drives), func(i int) string {
		d := v.Drives[i]
		text := fmt.Sprintf("%s (%s)", d.Name, d.Configuration)
		if d.Used {
			return text + ", used"
		}
		if d.Why != nil {
			text += ", not used: " + *d.Why
		}
		return text
	})
	section(w, "Without one drive", len(v.Influence), func(i int) string {
		x := v.Influence[i]
		odd := ""
		if x.Odd {
			odd = ", far from the others"
		}
		return fmt.Sprintf("%s: %s%s", x.Drive, v.difference(x.ChangeWithout, "%+.1f"), odd)
	})
	section(w, "Next", len(v.Next), func(i int) string { return v.Next[i].Do + ", because " + v.Next[i].Why })
	if v.Stop.Text != "" {
		fmt.Fprintf(w, "May I stop now? %s\n", v.Stop.Text)
	}
	for _, other := range v.Others {
		fmt.Fprintf(w, "\n\n")
		other.Text(w)
	}
	if s, ok := v.primary(); ok && len(v.Others) > 0 && s.Level.Known() {
		fmt.Fprintf(w, "\n\nEach interval is one of %.3g %%, so that all hold together.\n", 100*float64(s.Level))
	}
}

func (v Verdict) interval(s Stratum) string {
	if s.OneEach() {
		return "none: one drive a side"
	}
	if !s.LowK.Known() || !s.HighK.Known() {
		return "-"
	}
	return v.units.Span(quantity.KindTemperatureDifference, "%.1f", float64(s.LowK), float64(s.HighK)) + fmt.Sprintf(" (%.3g %%)", 100*float64(s.Level))
}

// difference says a number of kelvins in the unit that is wanted.
func (v Verdict) difference(n Number, verb string) string {
	if !n.Known() {
		return "-"
	}
	return v.units.Say(quantity.KindTemperatureDifference, verb, float64(n))
}

// temperature says a number of °C in the unit that is wanted.
func (v Verdict) temperature(n Number, verb string) string {
	if !n.Known() {
		return "-"
	}
	return v.units.Say(quantity.KindTemperature, verb, quantity.Celsius(float64(n)).Kelvin())
}

func section(w io.Writer, title string, n int, line func(int) string) {
	if n == 0 {
		return
	}
	fmt.Fprintln(w, title)
	for i := range n {
		fmt.Fprintf(w, "  - %s\n", strings.ReplaceAll(line(i), "\n", "\n    "))
	}
}

// DefaultStrata lists the IDs of the usual kinds of driving.
func DefaultStrata() []string {
	var all []string
	for _, s := range compare.DefaultStrata() {
		all = append(all, string(s.Identity()))
	}
	return all
}

// finite returns the known numbers.
func finite(all ...Number) []float64 {
	var out []float64
	for _, n := range all {
		if n.Known() {
			out = append(out, float64(n))
		}
	}
	return out
}

// ends returns the least and the greatest of numbers, with room around them.
func ends(x []float64) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, v := range x {
		low, high = min(low, v), max(high, v)
	}
	room := max(1, 0.08*(high-low))
	return low - room, high + room
}
