package help_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/help"
)

// between completes at the bar in a text.
func between(a *help.Assistant, text string) (matches []string, written []string) {
	cursor := strings.IndexByte(text, '|')
	source := text[:cursor] + text[cursor+1:]
	c := a.Complete(source, cursor)
	for _, m := range c.Matches {
		matches = append(matches, m.Text)
		written = append(written, source[:c.Start]+m.Text+source[c.End:])
	}
	return matches, written
}

// Between quotes stand the names that a variable knows, the constants of a
// text's type, and files.
func TestNamesBetweenQuotes(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "open.csv"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	a := assistant(t, dir, "use bonnetbook",
		"c := &campaign.Campaign{Configurations: []campaign.Configuration{{Name: \"open filters\"}, {Name: \"duct\"}}, Entries: []campaign.Entry{{Name: \"open, first\", Configuration: \"open filters\"}, {Name: \"duct, first\", Configuration: \"duct\"}}}\nd := &drive.Drive{}\nf := frame.FromStructs([]struct{ Coolant float64 }{{1}})\nvar none *campaign.Campaign\nhidden := campaign.Campaign{}",
		"type angry struct{}\nfunc (*angry) NamesFor(string) []string { panic(1) }\nmad := &angry{}")
	for _, c := range []struct {
		text string
		want string // all of them, or those that must be among them
		all  bool
		last string // what the first one makes of the text
	}{
		{`c.Drive("|")`, "open, first|duct, first", true, `c.Drive("open, first")`},
		{`d := Must(c.Drive("op|`, "open, first", true, `d := Must(c.Drive("open, first`},
		{`d := Must(c.Drive("op|en"))`, "open, first", true, `d := Must(c.Drive("open, first"))`},
		{`all := Must(c.Drives("open filters", "|"))`, "open filters|duct", true, ""},
		{"before := \"open|\"", "open filters|open, first|open.csv", true, "before := \"open filters\""},
		{"before := `du|`", "duct|duct, first", true, ""},
		{`campaign.Open("op|")`, "open.csv|open filters|open, first", true, `campaign.Open("open.csv")`},
		{`campaign.Open("./op|")`, "open.csv", true, `campaign.Open("./open.csv")`},
		{`d.Channels["in|"]`, "intake", true, `d.Channels["intake"]`},
		{`d.Channels["|"]`, "intake|ambient|engine-bay|top-tank", false, ""},
		{`roles := []drive.Role{"am|"}`, "ambient", true, ""},
		{`f.WriteCSV("op|")`, "open.csv", true, ""},
		{`f.WriteCSV("cool|")`, "", true, ""},
		{`none.Drive("zz|")`, "", true, ""},
		{`mad.Drive("zz|")`, "", true, ""},
	} {
		got, written := between(a, c.text)
		want := strings.Split(c.want, "|")
		if c.want == "" {
			want = nil
		}
		switch {
		case c.all && !slices.Equal(got, want):
			t.Errorf("%s: %q, want %q", c.text, got, want)
		case !c.all:
			for _, w := range want {
				if !slices.Contains(got, w) {
					t.Errorf("%s: no %q in %q", c.text, w, got)
				}
			}
		}
		if c.last != "" && (len(written) == 0 || written[0] != c.last) {
			t.Errorf("%s becomes %q, want %q", c.text, written, c.last)
		}
	}
}
