package document

import (
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Draft is a campaign as it is proposed from a folder.
type Draft struct {
	Schema    int             `json:"schema"`
	Files     []DraftFile     `json:"files"`
	Devices   []DraftDevice   `json:"devices"`
	Drives    []DraftDrive    `json:"drives"`
	Questions []DraftQuestion `json:"questions"`
	Remarks   []DraftRemark   `json:"remarks"`
	Saved     *string         `json:"saved"` // the file that was written

	units quantity.Preferred // of the text; the document has its own
}

// DraftFile is one file of the folder.
type DraftFile struct {
	Path string `json:"path"`
	Used bool   `json:"used"`
	Why  string `json:"why"`
}

// DraftDevice is what wrote some of the files.
type DraftDevice struct {
	Name    string        `json:"name"`
	Files   []string      `json:"files"`
	Clock   DraftClock    `json:"clock"`
	Columns []DraftColumn `json:"columns"`
}

// DraftClock is how the device's clock stands to the others'.
type DraftClock struct {
	OffsetS Number `json:"offset_s"`
	LowS    Number `json:"low_s"`
	HighS   Number `json:"high_s"`
	ZoneH   Number `json:"zone_h"`
}

// DraftColumn is a column of a device; Role is null while it is not decided.
type DraftColumn struct {
	Name string  `json:"name"`
	Role *string `json:"role"`
	// Spare says that another column of the device plays the role.
	Spare bool   `json:"spare"`
	Sure  bool   `json:"sure"`
	Min   Number `json:"min"`
	Max   Number `json:"max"`
	Unit  string `json:"unit"`

	dimension series.Dimension
	written   string // its range where the unit is asked
}

// DraftDrive is one drive; Configuration is null while it is not told.
type DraftDrive struct {
	Name          string   `json:"name"`
	Start         *string  `json:"start"`
	End           *string  `json:"end"`
	Configuration *string  `json:"configuration"`
	Files         []string `json:"files"`
}

// DraftQuestion is something to be answered by -answer ID=VALUE.
type DraftQuestion struct {
	ID       string   `json:"id"`
	Kind     string   `json:"kind"`
	Subjects []string `json:"subjects"`
	Text     string   `json:"text"`
	Choices  []string `json:"choices"`
	Guess    *string  `json:"guess"`
}

// DraftRemark is a file that is unlike the others of its device.
type DraftRemark struct {
	What string `json:"what"` // unit, exchanged, constant or rate
	File string `json:"file"`
	Text string `json:"text"`
}

// DraftOf makes the document of a draft; optional also lists what the verdict
// can do without.
func DraftOf(s *campaign.Sketch, optional bool, saved string) Draft {
	d := Draft{Schema: Schema, Files: []DraftFile{}, Devices: []DraftDevice{}, Drives: []DraftDrive{}, Questions: []DraftQuestion{}, Remarks: []DraftRemark{}, Saved: told(saved), units: s.Units}
	for _, f := range s.Files {
		d.Files = append(d.Files, DraftFile{f.Path, f.Used, f.Why})
	}
	for _, x := range s.Devices {
		c := x.Clock
		out := DraftDevice{Name: x.Name, Files: list(x.Files), Columns: []DraftColumn{},
			Clock: DraftClock{Number(c.Offset), Number(c.Low), Number(c.High), Number(c.ZoneHours)}}
		for _, k := range x.Columns {
			unit := shown(k.Dimension)
			out.Columns = append(out.Columns, DraftColumn{Name: k.Name, Role: decided(k.Role), Spare: k.Spare, Sure: k.Sure,
				Min: Number(unit.FromSI(k.Low)), Max: Number(unit.FromSI(k.High)), Unit: unit.Symbol(), dimension: k.Dimension, written: k.Written})
		}
		d.Devices = append(d.Devices, out)
	}
	for _, x := range s.Drives {
		d.Drives = append(d.Drives, DraftDrive{x.Name, instant(x.Start), instant(x.End), decided(x.Configuration), list(x.Files)})
	}
	for _, r := range s.Remarks {
		d.Remarks = append(d.Remarks, DraftRemark{string(r.Kind), r.Subject, r.Text})
	}
	questions := s.Questions
	if optional {
		questions = append(append([]campaign.DraftQuestion(nil), questions...), s.Optional...)
	}
	for _, q := range questions {
		d.Questions = append(d.Questions, DraftQuestion{q.ID, string(q.Kind), list(q.Subjects), q.Text, list(q.Choices), told(q.Guess)})
	}
	return d
}

// decided is a text, nil where it is still a question.
func decided(s string) *string {
	if s == campaign.Undecided {
		return nil
	}
	return &s
}

// told is a text, nil where it is empty.
func told(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// Text writes the draft for a person.
func (d Draft) Text(w io.Writer) {
	fmt.Fprintln(w, "Files")
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, f := range d.Files {
		use := "used"
		if !f.Used {
			use = "not used"
		}
		fmt.Fprintf(t, "  %s\t%s\t%s\n", f.Path, use, strings.ReplaceAll(f.Why, "\n", " "))
	}
	t.Flush()
	fmt.Fprintln(w, "Devices")
	for _, x := range d.Devices {
		fmt.Fprintf(w, "  %s, %d files, %s\n", x.Name, len(x.Files), x.Clock)
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		for _, c := range x.Columns {
			role, span := "?", "no reading"
			if c.Role != nil {
				role = *c.Role
			}
			if c.Spare {
				role = "spare " + role
			}
			if !c.Sure {
				role += " (not sure)"
			}
			if c.Min.Known() {
				span = spanText(d.units, c.dimension, c.Min, c.Max)
			} else if c.written != "" {
				span = c.written + ", in a unit that is asked below"
			}
			fmt.Fprintf(t, "    %s\t%s\t%s\n", c.Name, role, span)
		}
		t.Flush()
	}
	fmt.Fprintln(w, "Drives")
	t = tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for i, x := range d.Drives {
		configuration := "?"
		if x.Configuration != nil {
			configuration = *x.Configuration
		}
		fmt.Fprintf(t, "  %d\t%s\t%s\t%s\n", i+1, x.Name, configuration, strings.Join(x.Files, ", "))
	}
	t.Flush()
	if len(d.Remarks) > 0 {
		fmt.Fprintln(w, "Files to look at")
	}
	for _, r := range d.Remarks {
		fmt.Fprintf(w, "  %s: %s\n", r.File, r.Text)
	}
	if len(d.Questions) == 0 {
		fmt.Fprintln(w, "Nothing is left open.")
	} else {
		fmt.Fprintln(w, "Questions, to be answered with -answer ID=VALUE")
	}
	for _, q := range d.Questions {
		fmt.Fprintf(w, "  %s\n    %s\n", q.ID, q.Text)
		if len(q.Choices) > 0 {
			fmt.Fprintf(w, "    one of: %s\n", strings.Join(q.Choices, ", "))
		}
		if q.Guess != nil {
			fmt.Fprintf(w, "    probably: %s\n", *q.Guess)
		}
	}
}

// String says what is known of the clock.
func (c DraftClock) String() string {
	text := "its clock's offset is not known"
	if c.OffsetS.Known() {
		text = fmt.Sprintf("clock %+.0f s (%.0f to %.0f s)", float64(c.OffsetS), float64(c.LowS), float64(c.HighS))
		if c.OffsetS == 0 && c.LowS == 0 && c.HighS == 0 {
			text = "the clock that the others are measured by"
		}
	}
	if c.ZoneH.Known() {
		text += fmt.Sprintf(", %+.0f h from UTC", math.Round(float64(c.ZoneH))+0) // no -0
	}
	return text
}
