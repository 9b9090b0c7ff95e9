//go:build unix

package verdict_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/simulate"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

// From files that nobody has opened to the sentence: three files a drive, read,
// put on one clock, cut and compared. The limit is 60 s for 200 drives with progress;
// what it took stands in testdata/speed.txt.
func BenchmarkVerdictOnFiles(b *testing.B) {
	const campaigns = 4
	dir := b.TempDir()
	var text strings.Builder
	for k := range campaigns { // other seeds, so that no drive is a copy of another
		files, err := simulate.CampaignFiles(simulate.Demo(simulate.DemoSeed + uint64(k)))
		if err != nil {
			b.Fatal(err)
		}
		replaced := []string{}
		for name, data := range files {
			if name == "campaign.toml" {
				continue
			}
			other := fmt.Sprintf("%d-%s", k, name)
			replaced = append(replaced, name, other)
			if err := os.WriteFile(filepath.Join(dir, other), data, 0o644); err != nil {
				b.Fatal(err)
			}
		}
		replaced = append(replaced, " run\"", fmt.Sprintf(" run of %d\"", k+1))
		head, drives, _ := strings.Cut(string(files["campaign.toml"]), "[[drive]]")
		if k == 0 {
			text.WriteString(head)
		}
		text.WriteString(strings.NewReplacer(replaced...).Replace("[[drive]]" + drives))
	}
	path := filepath.Join(dir, "campaign.toml")
	if err := os.WriteFile(path, []byte(text.String()), 0o644); err != nil {
		b.Fatal(err)
	}
	begun, drives := rusageSeconds(b), 0
	for b.Loop() {
		a, err := verdict.Open(path, verdict.Question{})
		if err != nil {
			b.Fatal(err)
		}
		drives = len(a.Runs)
	}
	b.ReportMetric((rusageSeconds(b)-begun)/float64(b.N)/float64(drives), "cpu-s/drive")
	b.ReportMetric(float64(drives), "drives")
}
