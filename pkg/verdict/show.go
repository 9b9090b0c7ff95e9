package verdict

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// String returns the table of differences, then power, what was left out and
// what to know before the answer is trusted.
func (a *Answer) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Rise of the intake over ambient, %q against %q\n", a.Before, a.After)
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	if !slices.ContainsFunc(a.Differences, anyDrive) {
		b.WriteString("No kind of driving can be compared; the reasons follow.\n")
	} else {
		fmt.Fprintln(w, "driving\tbefore\tafter\tchange\tinterval\tdrives\tverdict")
	}
	for _, d := range a.Differences {
		if !anyDrive(d) {
			continue
		}
		interval := "-"
		if v := d.Change.Interval; v.Known() && d.Verdict != compare.NotComparable {
			interval = fmt.Sprintf("%s (%.3g %%)", d.Units.Span(quantity.KindTemperatureDifference, "%.1f", v.Low, v.High), 100*v.Level)
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%d + %d\t%v\n", d.Stratum, told(d.Units, "%.1f", d.Before.Rise.Value), told(d.Units, "%.1f", d.After.Rise.Value),
			told(d.Units, "%+.1f", d.Change.Value), interval, d.Before.Drives, d.After.Drives, d.Verdict)
	}
	w.Flush()
	if len(a.Power.Worths) > 0 {
		b.WriteString(Power{Worths: a.Power.Worths}.String() + "\n")
	}
	var probes []string
	for _, c := range a.Intakes {
		probes = append(probes, c.String())
	}
	section(&b, "Each intake probe", probes)
	section(&b, "Left out", leftOutTexts(a.LeftOut))
	section(&b, "Before you trust it", estimate.Texts(a.Warnings))
	return strings.TrimRight(b.String(), "\n")
}

// anyDrive reports whether a drive of either side has the stratum.
func anyDrive(d compare.Difference) bool { return d.Before.Drives+d.After.Drives > 0 }

// told writes a difference in K; "-" where it is not known.
func told(units quantity.Preferred, verb string, difference float64) string {
	if math.IsNaN(difference) {
		return "-"
	}
	return units.Say(quantity.KindTemperatureDifference, verb, difference)
}

func section(b *strings.Builder, title string, lines []string) {
	if len(lines) == 0 {
		return
	}
	fmt.Fprintln(b, title)
	for _, l := range lines {
		fmt.Fprintf(b, "  - %s\n", strings.ReplaceAll(l, "\n", "\n    "))
	}
}

func leftOutTexts(all []drive.LeftOut) []string {
	var texts []string
	for _, l := range all {
		texts = append(texts, l.String())
	}
	return texts
}

// DriveRow is one drive of the campaign in a table.
type DriveRow struct {
	Drive          string
	Configuration  string
	Used           bool
	Thermostat     string
	Warm           string  // how the engine got warm, in few words
	SettledMinutes float64 `frame:"settled (min)"`
	Remark         string  // why it was left out, or counts nowhere
}

// Drives lists the drives: those used, then those left out.
func (a *Answer) Drives() []DriveRow {
	var all []DriveRow
	for _, r := range a.Runs {
		row := DriveRow{Drive: r.Drive.Name, Configuration: r.Drive.Configuration, Used: true,
			Thermostat: r.Opening.Outcome.String(), Warm: r.warmth(), SettledMinutes: math.Round(r.settledMinutes())}
		for _, w := range a.Warnings {
			if w.Kind == NothingCounts && w.Subject == r.Drive.Name {
				row.Used, row.Remark = false, w.Text
			}
		}
		all = append(all, row)
	}
	for _, l := range a.LeftOut {
		all = append(all, DriveRow{Drive: l.Drive, Configuration: l.Configuration, Thermostat: "-", Warm: "-", SettledMinutes: math.NaN(), Remark: fmt.Sprintf("while %v: %v", l.Step, l.Why)})
	}
	return all
}
