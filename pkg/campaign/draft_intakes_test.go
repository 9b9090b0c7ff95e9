package campaign_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// intakeLog is a log of an air-cooled twin with columns of these names; the first
// probe reads 30 °C and each further one 4 K more.
func intakeLog(columns ...string) string {
	var b strings.Builder
	b.WriteString("Time")
	for _, c := range columns {
		fmt.Fprintf(&b, ",%s (°C)", c)
	}
	b.WriteString(",Cyl head (°C)\n")
	start := time.Date(2026, 5, 3, 9, 0, 0, 0, time.UTC)
	for i := range 300 {
		b.WriteString(start.Add(time.Duration(2*i) * time.Second).Format("2006-01-02 15:04:05"))
		for k := range columns {
			fmt.Fprintf(&b, ",%.1f", 30+4*float64(k)+float64(i%3-1)/10)
		}
		fmt.Fprintf(&b, ",%.1f\n", 20+120*(1-math.Exp(-float64(i)/100)))
	}
	return b.String()
}

// Two intakes of one engine are two intake probes in the draft where the columns'
// names say so, in five languages, or the engine has as many; a second probe in one
// place, and one that is said to be a spare, stays beside the first. What is drafted
// opens, and its intake is the mean of the probes.
func TestDraftTellsIntakesApart(t *testing.T) {
	for _, c := range []struct {
		columns, roles string
		engine         string
	}{
		{"Intake left|Intake right", "intake 1|intake 2", ""},
		{"Right carb|Left carb", "intake 2|intake 1", ""},
		{"T1 air filter L|T2 air filter R", "intake 1|intake 2", ""},
		{"carb front|carb rear", "intake 1|intake 2", ""},
		{"carb1|carb2", "intake 1|intake 2", ""},
		{"cylinder 1 intake|cylinder 2 intake", "intake 1|intake 2", ""},
		{"Ansaugluft links|Ansaugluft rechts", "intake 1|intake 2", ""},
		{"Vergaser vorn|Vergaser hinten", "intake 1|intake 2", ""},
		{"filtre gauche|filtre droit", "intake 1|intake 2", ""},
		{"carburateur 1|carburateur 2", "intake 1|intake 2", ""},
		{"filtro izquierdo|filtro derecho", "intake 1|intake 2", ""},
		{"admisión delantera|admisión trasera", "intake 1|intake 2", ""},
		{"filtro sx|filtro dx", "intake 1|intake 2", ""},
		{"aspirazione anteriore|aspirazione posteriore", "intake 1|intake 2", ""},
		{"primo filtro|secondo filtro", "intake 1|intake 2", ""},
		{"Intake left|Intake right|Intake spare", "intake 1|intake 2|spare intake 1", ""},
		{"Intake|Air box", "intake 1|intake 2", "intakes=2,cooling=air"},
		// One intake.
		{"Intake|Second intake", "intake|spare intake", ""},
		{"Intake|Spare intake", "intake|spare intake", ""},
		{"T1 intake|T2 intake", "intake|spare intake", ""},
		{"Ansaugluft|Ansaugluft Ersatz", "intake|spare intake", ""},
		{"filtre|filtre de secours", "intake|spare intake", ""},
		{"filtro|filtro de reserva", "intake|spare intake", ""},
		{"filtro|filtro di riserva", "intake|spare intake", ""},
		{"carb front|carb left", "intake|spare intake", ""},
		{"Intake 1|Intake 2", "intake|spare intake", "intakes=1"},
	} {
		dir := t.TempDir()
		columns := strings.Split(c.columns, "|")
		write(t, dir, "drive.csv", intakeLog(columns...))
		options := campaign.DraftOptions{Answers: []campaign.DraftAnswer{{ID: "configuration", Value: "open"}}}
		if c.engine != "" {
			options.Answers = append(options.Answers, campaign.DraftAnswer{ID: "engine", Value: c.engine})
		}
		s, err := campaign.DraftWith(dir, options)
		if err != nil {
			t.Errorf("%s: %v", c.columns, err)
			continue
		}
		var roles []string
		for _, col := range s.Devices[0].Columns[:len(columns)] {
			role := col.Role
			if col.Spare {
				role = "spare " + role
			}
			roles = append(roles, role)
		}
		if got := strings.Join(roles, "|"); got != c.roles {
			t.Errorf("%s: %q, want %q", c.columns, got, c.roles)
			continue
		}
		saved, err := s.Save()
		if err != nil {
			t.Errorf("%s: %v", c.columns, err)
			continue
		}
		opened, err := campaign.Open(saved.Path)
		if err != nil {
			t.Errorf("%s: %v\n%s", c.columns, err, s.Text)
			continue
		}
		d, err := opened.Drive(opened.DriveNames()[0])
		if err != nil {
			t.Errorf("%s: %v", c.columns, err)
			continue
		}
		want := 30.0
		if strings.Contains(c.roles, "intake 2") {
			want = 32
		}
		in := d.Channels[drive.Intake].Series
		if got := in.Median(in.Interval()) - 273.15; math.Abs(got-want) > 0.3 {
			t.Errorf("%s: the intake is %.1f °C, want %.1f", c.columns, got, want)
		}
		// A second draft keeps what the file says.
		if again, err := campaign.Draft(dir); err != nil || again.Text != s.Text {
			t.Errorf("%s: drafted again: %v\n%s", c.columns, err, again.Text)
		}
	}
}
