package campaign_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
)

func TestFullThrottle(t *testing.T) {
	c := open(t, valid+"[[drive.full-throttle]]\nfrom = \"100 s\"\nto = \"112 s\"\nwas = \"not full\"\n[[drive.full-throttle]]\nfrom = \"5 min\"\nto = \"310 s\"\nwas = \"full\"\n")
	d, err := c.Drive("open filters, first run")
	if err != nil {
		t.Fatal(err)
	}
	if f := d.FullThrottle; len(f) != 2 || f[0].Holds || !f[1].Holds || f[1].Interval.From != 300 {
		t.Errorf("stretches %+v", f)
	}
	for text, key := range map[string]string{
		"from = \"100 s\"\nto = \"90 s\"\nwas = \"full\"\n": "drive[1].full-throttle[1].to",
		"from = \"100 s\"\nto = \"110 s\"\n":                "drive[1].full-throttle[1].was",
		"from = \"100 s\"\nto = \"110 s\"\nwas = \"yes\"\n": "drive[1].full-throttle[1].was",
	} {
		_, err := campaign.Open(folder(t, valid+"[[drive.full-throttle]]\n"+text))
		var ps campaign.Problems
		if !errors.As(err, &ps) || !strings.Contains(ps[0].Key, key) {
			t.Errorf("%q: %v, want the key %s", text, err, key)
		}
	}
}
