package verdict_test

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/pack"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

// Each pack of the workshop tells its surprise to who looks, and names the drive
// that has it; the other drives are not named. The keys in docs/TEACHING.md say
// where.
func TestPacks(t *testing.T) {
	for _, p := range pack.All() {
		t.Run(p.Name, func(t *testing.T) {
			t.Parallel()
			a := opened(t, p)
			if len(a.Runs) != 2*p.Sides {
				t.Fatalf("%d of %d drives are used: %v", len(a.Runs), 2*p.Sides, a.LeftOut)
			}
			j := a.Judge(campaign.InPlace)
			odd := a.Runs[p.Odd].Drive.Name
			switch p.Surprise {
			case pack.Swapped:
				namedBy(t, j, verdict.FlawRoles, odd)
			case pack.Rain:
				namedBy(t, j, verdict.FlawOutlier, odd)
			case pack.HourOff:
				hourOff(t, a, odd)
			}
			saysItself(t, p, odd)
		})
	}
}

// opened writes a pack's files and answers their campaign.
func opened(t *testing.T, p pack.Pack) *verdict.Answer {
	t.Helper()
	dir := t.TempDir()
	files, err := p.Files()
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range files {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	a, err := verdict.Open(filepath.Join(dir, "campaign.toml"), verdict.Question{})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// namedBy wants flaws of a kind, all of them on one drive.
func namedBy(t *testing.T, j verdict.Judgement, kind verdict.FlawKind, drive string) {
	t.Helper()
	named := slices.DeleteFunc(slices.Clone(j.Flaws), func(f verdict.Flaw) bool { return f.Kind != kind })
	if len(named) == 0 {
		t.Errorf("nothing is said of %q: %v", drive, j.Flaws)
	}
	for _, f := range named {
		if !strings.Contains(f.Text, drive) {
			t.Errorf("%s says of another drive than %q: %s", kind, drive, f.Text)
		}
	}
}

// hourOff wants the second logger's clock an hour ahead in one drive, and within
// half a minute in the others.
func hourOff(t *testing.T, a *verdict.Answer, drive string) {
	t.Helper()
	for _, r := range a.Runs {
		want := 0.0
		if r.Drive.Name == drive {
			want = -3600
		}
		for _, c := range r.Drive.Clocks {
			if strings.HasPrefix(c.String(), "logger B") && !(math.Abs(c.Result.Offset-want) < 30) {
				t.Errorf("%s: %v, want about %.0f s", r.Drive.Name, c, want)
			}
		}
	}
}

// saysItself wants the key in the guide.
func saysItself(t *testing.T, p pack.Pack, drive string) {
	t.Helper()
	guide, err := os.ReadFile("../../docs/TEACHING.md")
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(guide)) {
		if strings.HasPrefix(line, "| `"+p.Name+"` ") {
			if !strings.Contains(line, drive) {
				t.Errorf("the guide's key of %s does not name %q: %s", p.Name, drive, line)
			}
			return
		}
	}
	t.Errorf("the guide has no key of %s", p.Name)
}
