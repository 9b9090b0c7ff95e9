package campaign_test

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// A file whose header says °C over numbers in °F is named, by the draft and by
// the drives of the campaign; the demo as it is names none. t °C are 1.8·t + 32
// °F (NIST SP 811, 2008, B.8).
func TestFileUnlikeItsSiblings(t *testing.T) {
	t.Parallel()
	from, dir := filepath.Join("..", "..", "testdata", "demo"), t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(from)); err != nil {
		t.Fatal(err)
	}
	unlike := func() (remarks []string) {
		s, err := campaign.Draft(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range s.Remarks {
			remarks = append(remarks, r.Subject+": "+string(r.Kind))
		}
		return remarks
	}
	if r := unlike(); len(r) > 0 {
		t.Errorf("the demo as it is: %q", r)
	}
	path := filepath.Join(dir, "duct-2-logger-a.csv")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(data), "\n")
	for i, line := range lines[1:] {
		cells := strings.Split(line, ",")
		for j := 2; j < len(cells); j++ {
			if x, err := strconv.ParseFloat(cells[j], 64); err == nil {
				cells[j] = strconv.FormatFloat(1.8*x+32, 'f', 1, 64)
			}
		}
		lines[1+i] = strings.Join(cells, ",")
	}
	if err := os.WriteFile(path, []byte(strings.Join(lines, "\n")), 0o600); err != nil {
		t.Fatal(err)
	}
	c, err := campaign.Open(filepath.Join(dir, "campaign.toml"))
	if err != nil {
		t.Fatal(err)
	}
	set, err := c.Gather("cold-air duct")
	if err != nil {
		t.Fatal(err)
	}
	var n []string
	for _, d := range set.Drives {
		for _, x := range d.Notes {
			if x.Kind == drive.DoubtedByRest || x.Kind == drive.UnlikeOthers {
				n = append(n, d.Name+", "+x.Subject)
			}
		}
	}
	r := unlike()
	if strings.Join(r, "; ") != "duct-2-logger-a.csv: unit" || strings.Join(n, "; ") != "cold-air duct, second run, logger A" {
		t.Errorf("%q, %q", r, n)
	}
}
