package campaign_test

import (
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// A key under a name that it had, or with its words joined otherwise, counts;
// the name to write is told with the line.
func TestOtherNamesOfKeys(t *testing.T) {
	text := with(t, `time-zone = "UTC"`, `zone = "+02:00"`)
	text = strings.Replace(text, `clock-offset = "12.5 s"`, `clock_offset = "12.5 s"`, 1)
	c := open(t, text)
	if z := c.Devices[0].Layout.Zone; z != "+02:00" {
		t.Errorf("zone %q", z)
	}
	if x := c.Entries[0].Files[1].ClockOffset; x != 12.5 {
		t.Errorf("clock offset %v", x)
	}
	if len(c.Remarks) != 2 || !estimate.Has(c.Remarks, campaign.RenamedKey) {
		t.Fatalf("remarks %v", c.Remarks)
	}
	for i, want := range []string{"campaign.toml:26: device[1].zone is accepted, but its name is time-zone", "clock_offset is accepted, but its name is clock-offset"} {
		if s := c.Remarks[i].String(); !strings.Contains(s, want) || !strings.Contains(c.String(), s) {
			t.Errorf("remark %q, want %q", s, want)
		}
	}
	if c := open(t, valid); len(c.Remarks) != 0 {
		t.Errorf("remarks on a file without other names: %v", c.Remarks)
	}
}

// Both names at once: which counts is not guessed.
func TestBothNamesOfAKey(t *testing.T) {
	path := folder(t, with(t, `time-zone = "UTC"`, "time-zone = \"UTC\"\nzone = \"+02:00\""))
	if _, err := campaign.Open(path); err == nil || !strings.Contains(err.Error(), "device[1].zone: this key is not known here") {
		t.Errorf("error %v", err)
	}
}
