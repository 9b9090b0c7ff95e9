package notebooks

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/simulate"
)

// slowRoad has no stretch at full throttle, and nothing that looks like one.
func slowRoad() []simulate.Leg {
	legs := simulate.ValleyRoad()
	for i := range legs {
		legs[i].Speed, legs[i].FullThrottle = min(legs[i].Speed, 14), false
	}
	return legs
}

// The notebooks that open a campaign run to their end on what people are likely
// to have; 11 and 12 say what is missing.
func TestIncompleteCampaigns(t *testing.T) {
	exe, err := program()
	if err != nil {
		t.Fatal(err)
	}
	valley := simulate.Demo(simulate.DemoSeed)
	for _, c := range []struct {
		name    string
		drives  []*simulate.DemoDrive
		replace []string // in the campaign file
		empty   string   // a log that holds nothing
		says    string   // somewhere among the outputs of notebook 11
	}{
		{name: "no full throttle", drives: simulate.DemoOn(slowRoad(), 3)[:4], says: "No power is measured"},
		{name: "no radiator probe", drives: valley[:4], says: "top tank",
			replace: []string{`"top-tank"`, `"ignore"`, `"bottom-tank"`, `"ignore"`, `"engine-bay"`, `"ignore"`, `"radiator-air"`, `"ignore"`}},
		{name: "one drive each", drives: valley[:2], says: "not comparable"},
		{name: "one side only", drives: valley[:1], says: "nothing can be compared"},
		{name: "an empty log", drives: valley, empty: "duct-2-phone.csv", says: "duct-2-phone.csv"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			dir := filepath.Join(scratch, "campaigns", c.name)
			writeCampaign(t, dir, c.drives, c.replace)
			if c.empty != "" {
				if err := os.WriteFile(filepath.Join(dir, c.empty), nil, 0o644); err != nil {
					t.Fatal(err)
				}
			}
			for _, path := range []string{"01_see_first_drive.ipynb", "05_find_thermostat.ipynb", "06_cut_segments.ipynb", "07_trace_heat.ipynb",
				"08_estimate_power.ipynb", "11_compare_before_after.ipynb", "12_measure_own_car.ipynb"} {
				ran := ranIn(t, exe, dir, path, "../testdata/demo/campaign.toml", "campaign.toml", "../testdata/demo", ".")
				if shown := everything(t, ran); path > "11" && !strings.Contains(shown, c.says) {
					t.Errorf("%s shows no word of %q:\n%s", path, c.says, shown)
				}
			}
		})
	}
}

// The first version's notebook, too, goes on with five drives of six, and
// shows which is missing.
func TestFirstVersionWithABadLog(t *testing.T) {
	exe, err := program()
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(scratch, "campaigns", "first version")
	writeCampaign(t, dir, simulate.Demo(simulate.DemoSeed), nil)
	if err := os.WriteFile(filepath.Join(dir, "duct-2-phone.csv"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	ran := ranIn(t, exe, dir, filepath.Join("testdata", "first", "11_compare_before_after.ipynb"), "../testdata/demo/campaign.toml", "campaign.toml")
	if shown := everything(t, ran); !strings.Contains(shown, "1 of 6 drives left out") || !strings.Contains(shown, "duct-2-phone.csv") {
		t.Errorf("the drive left out is not shown:\n%s", shown)
	}
}

func writeCampaign(t *testing.T, dir string, drives []*simulate.DemoDrive, replace []string) {
	t.Helper()
	copies := slices.Clone(drives)
	for i, d := range copies {
		stated := *d
		stated.ClocksStated = true
		copies[i] = &stated
	}
	files, err := simulate.CampaignFiles(copies)
	if err != nil {
		t.Fatal(err)
	}
	files["campaign.toml"] = []byte(strings.NewReplacer(replace...).Replace(string(files["campaign.toml"])))
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	for name, data := range files {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// everything returns the text of all outputs.
func everything(t *testing.T, f file) string {
	t.Helper()
	var b strings.Builder
	for _, c := range f.code() {
		for _, o := range c.Outputs {
			data, err := json.Marshal(o.Data["text/plain"])
			if err != nil {
				t.Fatal(err)
			}
			var s text
			if json.Unmarshal(data, &s) == nil {
				b.WriteString(string(s) + "\n")
			}
		}
	}
	return b.String()
}

// A cell with Save that is kept does not break Run all: the second time it
// says that the file is there, and what differs.
func TestKeptSave(t *testing.T) {
	exe, err := program()
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(scratch, "campaigns", "kept save")
	writeCampaign(t, dir, simulate.Demo(simulate.DemoSeed)[:1], nil)
	if err := os.Remove(filepath.Join(dir, "campaign.toml")); err != nil {
		t.Fatal(err)
	}
	here := filepath.Join(dir, "save.ipynb")
	store(t, here, codeCell("a", `import "github.com/bonnetbook/bonnetbook/pkg/campaign"`), codeCell("b", "draft, err := campaign.Draft(\".\")\nerr"), codeCell("c", "draft.Save()"))
	for i, want := range []string{"is written", "exists already"} {
		out := filepath.Join(dir, "ran", string(rune('a'+i))) + "/"
		run(t, limit, nil, exe, "run", "-q", "-o", out, here) // fails where a cell does
		if shown := everything(t, read(t, filepath.Join(out, "save.ipynb"))); !strings.Contains(shown, want) {
			t.Errorf("run %d shows no %q:\n%s", i+1, want, shown)
		}
	}
}
