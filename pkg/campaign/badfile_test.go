package campaign_test

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
)

// A drive with a file that cannot be used gives one error that names the
// campaign's line, the drive and the file, and says what to do.
func TestUnusableFiles(t *testing.T) {
	logger, _ := logs(600)
	lines := strings.Split(strings.TrimSpace(logger), "\n")
	open := lines[:1:1]
	for _, l := range lines[1:] {
		open = append(open, strings.Join(append(strings.Split(l, ",")[:2], "OL", "OL", "OL", "OL"), ","))
	}
	for _, c := range []struct{ what, text string }{
		{"empty", ""},
		{"binary", "\x7fELF\x02\x01\x01" + strings.Repeat("\x00\x01\xfe", 400)},
		{"open circuit", strings.Join(open, "\n")},
		{"a letter", "Dear reader,\nthis is no log at all.\nYours\n"},
	} {
		path := folder(t, valid)
		write(t, filepath.Dir(path), "open-1-a.csv", c.text)
		k, err := campaign.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		d, err := k.Drive("open filters, first run")
		if err == nil || d != nil {
			t.Errorf("%s: no error", c.what)
			continue
		}
		t.Logf("%s: %v", c.what, err)
		for _, want := range []string{"campaign.toml:38", "open filters, first run", "open-1-a.csv"} {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %q does not name %q", c.what, err, want)
			}
		}
	}
}

// TestOverlappingPieces refuses to join pieces of one recording that cover the
// same time, and names the drive's line, both files and what to do.
func TestOverlappingPieces(t *testing.T) {
	logger, _ := logs(600)
	lines := strings.SplitAfter(logger, "\n")
	for _, c := range []struct {
		from int // line where the second piece begins
		says []string
	}{
		{151, nil},
		{141, []string{"campaign.toml:38", "open filters, first run", "first.csv", "second.csv", "18 s before", "keep them apart"}},
	} {
		path := folder(t, with(t, `path = "open-1-a.csv"`, `path = ["first.csv", "second.csv"]`))
		head, tail := strings.Join(lines[:151], ""), lines[0]+strings.Join(lines[c.from:], "")
		write(t, filepath.Dir(path), "first.csv", head)
		write(t, filepath.Dir(path), "second.csv", tail)
		k, err := campaign.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		d, err := k.Drive("open filters, first run")
		if c.says == nil {
			if err != nil || d.Channels["intake"].Series.Len() != 300 {
				t.Errorf("pieces that meet: %v", err)
			}
			continue
		}
		if err == nil {
			t.Errorf("overlapping pieces were joined")
			continue
		}
		for _, want := range c.says {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%q does not say %q", err, want)
			}
		}
	}
}
