package drive

import (
	"fmt"
	"math"
	"strings"
	"text/tabwriter"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Quality says what was recorded when by which device, what is missing, what
// was repaired, and what to check before the drive is trusted.
type Quality struct {
	Drive string
	// Span is the whole drive, in seconds after its start.
	Span series.Interval
	// Rows holds one row for each channel: first those that play a role, in
	// alphabetical order, then the spare ones.
	Rows   []QualityRow
	Clocks []DeviceClock
	Checks []Check
	Notes  []estimate.Warning
}

// QualityRow is the quality of one channel.
type QualityRow struct {
	Role   Role
	Spare  bool // another channel plays the role
	Device string
	Source string
	// Span runs from the channel's first to its last present value.
	Span series.Interval
	// Runs are the stretches without a gap longer than MaxGap, ascending; a
	// picture draws them as bars.
	Runs []series.Interval
	// Gaps are the stretches between them; what is missing before the first
	// and after the last value is not among them.
	Gaps []series.Interval
	// Step is the median time between samples in seconds.
	Step     float64
	Samples  int // rows with a time
	Missing  int // rows without a usable value
	Coverage float64
	// Low and High are the extreme values in the series' SI unit.
	Low, High   float64
	Units       quantity.Preferred // in which its text is written
	Dimension   series.Dimension
	Uncertainty float64
	Repairs     []string
	Warnings    []estimate.Warning
}

// Quality returns the drive's quality table. Cost is linear in the samples.
func (d *Drive) Quality() Quality {
	return Quality{Drive: d.Name, Span: d.Interval(), Clocks: d.Clocks, Checks: d.Checks(), Notes: d.Notes, Rows: d.QualityRows()}
}

// QualityRows returns the quality of each channel, as [Drive.Quality] has it.
func (d *Drive) QualityRows() []QualityRow {
	span := d.Interval()
	var rows []QualityRow
	for _, r := range d.RoleList() {
		rows = append(rows, d.qualityOf(d.Channels[r], span, false))
	}
	for _, c := range d.Others {
		rows = append(rows, d.qualityOf(c, span, true))
	}
	return rows
}

func (d *Drive) qualityOf(c *Channel, span series.Interval, spare bool) QualityRow {
	s := c.Series
	r := QualityRow{
		Role: c.Role, Spare: spare, Device: c.Device, Source: c.Source,
		Runs: s.Runs(MaxGap), Gaps: s.Gaps(MaxGap), Step: s.Step(),
		Samples: s.Len(), Missing: s.Len() - s.Present(),
		Dimension: s.Dimension, Uncertainty: c.Uncertainty,
		Repairs: c.RepairsIn(d.Units), Warnings: c.Warnings, Units: d.Units,
	}
	r.Low, r.High = s.MinMax(s.Interval())
	covered := 0.0
	for _, v := range r.Runs {
		covered += v.Duration()
	}
	if len(r.Runs) > 0 {
		r.Span = series.Interval{From: r.Runs[0].From, To: r.Runs[len(r.Runs)-1].To}
	}
	r.Coverage = covered / span.Duration()
	return r
}

// String returns the table, clocks, repairs, checks and notes as plain text.
func (q Quality) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Drive %q, %s\n", q.Drive, clockSpan(q.Span.Duration()))
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "role\tdevice\tfrom\tto\tevery\tsamples\tmissing\tgaps\tcovered\trange")
	for _, r := range q.Rows {
		role := string(r.Role)
		if r.Spare {
			role += " (spare)"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%.3g s\t%d\t%d\t%s\t%.0f %%\t%s\n", role, r.Device,
			clockSpan(r.Span.From), clockSpan(r.Span.To), r.Step, r.Samples, r.Missing, gapText(r.Gaps), 100*r.Coverage, r.rangeText())
	}
	w.Flush()
	section := func(title string, lines []string) {
		if len(lines) == 0 {
			return
		}
		fmt.Fprintf(&b, "%s\n", title)
		for _, l := range lines {
			fmt.Fprintf(&b, "  - %s\n", l)
		}
	}
	var sources, clocks, repairs, checks []string
	for _, r := range q.Rows {
		sources = append(sources, fmt.Sprintf("%s: %s", r.Role, r.Source))
	}
	for _, c := range q.Clocks {
		clocks = append(clocks, c.String())
	}
	for _, r := range q.Rows {
		for _, x := range r.Repairs {
			repairs = append(repairs, fmt.Sprintf("%s: %s", r.Role, x))
		}
		for _, x := range r.Warnings {
			checks = append(checks, about(string(r.Role), x).String())
		}
	}
	for _, c := range q.Checks {
		checks = append(checks, c.String())
	}
	section("Sources", sources)
	section("Clocks", clocks)
	section("Done to the values", repairs)
	section("Check before trusting it", checks)
	section("Notes", estimate.Texts(q.Notes))
	return b.String()
}

func gapText(gaps []series.Interval) string {
	if len(gaps) == 0 {
		return "none"
	}
	longest := 0.0
	for _, g := range gaps {
		longest = max(longest, g.Duration())
	}
	return fmt.Sprintf("%d (longest %.0f s)", len(gaps), longest)
}

func (r QualityRow) rangeText() string {
	if math.IsNaN(r.Low) {
		return "-"
	}
	u := r.Units.Of(r.Dimension)
	return fmt.Sprintf("%.4g to %.4g %s", u.FromSI(r.Low), u.FromSI(r.High), u)
}

// clockSpan writes seconds as minutes and seconds.
func clockSpan(t float64) string {
	sign := ""
	if t < 0 {
		sign, t = "-", -t
	}
	n := int(math.Round(t))
	if n >= 3600 {
		return fmt.Sprintf("%s%d:%02d:%02d", sign, n/3600, n/60%60, n%60)
	}
	return fmt.Sprintf("%s%d:%02d", sign, n/60, n%60)
}
