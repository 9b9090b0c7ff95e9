package verdict_test

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

// From drives that are open and on one clock to the sentence: thermostat,
// stretches, rises, comparison. The demo has six drives.
func BenchmarkVerdictOnOpenedDrives(b *testing.B) {
	c, err := campaign.Open("../../testdata/demo/campaign.toml")
	if err != nil {
		b.Fatal(err)
	}
	set, err := c.Gather()
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		a, err := verdict.OfDrives(set, verdict.Question{Before: "open filters", After: "cold-air duct"})
		if err != nil {
			b.Fatal(err)
		}
		_ = a.Judge(campaign.InPlace).Sentence()
	}
}
