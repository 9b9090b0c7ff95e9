package notebooks

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/simulate"
)

// The notebook for one's own car runs to its end on what people have taped to
// what they drive, and says what is missing. The logs are those of the demo's
// simulator; what they are called makes the rig.
func TestRigs(t *testing.T) {
	exe, err := program()
	if err != nil {
		t.Fatal(err)
	}
	valley := simulate.Demo(simulate.DemoSeed)
	noRadiator := []string{`"top-tank"`, `"ignore"`, `"bottom-tank"`, `"ignore"`, `"radiator-air"`, `"ignore"`}
	for _, c := range []struct {
		name    string
		drives  []*simulate.DemoDrive
		replace []string
		without string   // the device whose files are not there
		say     []string // somewhere among the outputs
		not     []string // nowhere
	}{
		{name: "no radiator probe", drives: valley[:4], replace: noRadiator,
			say: []string{"[warm]", "top tank", "it is not known whether the engine was warm"}},
		{name: "no radiator probe, warm by a rule", drives: valley[:4], replace: append([]string{"[engine]", "[warm]\nafter = \"15 min\"\n\n[engine]"}, noRadiator...),
			say: []string{"warm by the rule 15 min after moving off", "stays closed, or opens late, is not noticed", "cooler"}},
		{name: "air-cooled twin", drives: valley[:4], replace: []string{"[engine]", "[warm]\nrole = \"cylinder-head\"\nabove = \"55 degC\"\n\n[engine]\ncooling = \"air\"\nintakes = 2", "thermostat = \"82 degC\"", "",
			"cylinders = 4", "cylinders = 2", `bore = "79 mm"`, "", `"top-tank"`, `"cylinder-head"`, `"bottom-tank"`, `"ignore"`, `"radiator-air"`, `"oil"`, `T2 = "intake"`, `T2 = "intake 1"`, `K1 = "intake"`, `K1 = "intake 2"`},
			say: []string{"no thermostat", "cylinder-head above 55.0 °C", "intake 1: ", "intake 2: "}, not: []string{"top tank"}},
		{name: "two intakes", drives: valley[:4], replace: []string{"carburettors = 1", "carburettors = 2\nintakes = 2", `T2 = "intake"`, `T2 = "intake 1"`, `K1 = "intake"`, `K1 = "intake 2"`},
			say: []string{"intake 1: ", "intake 2: ", "mean of 2 intake probes"}},
		{name: "injected, with its own intake sensor", drives: valley[:4], replace: []string{`carburettor = "constant-depression"`, `mixture = "injection"`, "carburettors = 1", "", `K1 = "intake"`, `K1 = "own intake sensor"`},
			say: []string{"own intake sensor", "cooler"}},
		{name: "motorcycle", drives: valley[:4], replace: []string{"mass = \"1120 kg\"", "mass = \"240 kg\"", "[engine]", "[warm]\ndistance = \"8 km\"\n\n[engine]\ncooling = \"air\"", "thermostat = \"82 degC\"", "",
			`"top-tank"`, `"ignore"`, `"engine-bay"`, `"ignore"`, `"bottom-tank"`, `"ignore"`, `"radiator-air"`, `"ignore"`},
			say: []string{"no thermostat", "8 km after moving off"}, not: []string{"top tank"}},
		{name: "no full throttle", drives: simulate.DemoOn(slowRoad(), 3)[:4], say: []string{"No power is measured"}},
		{name: "one drive a side", drives: valley[:2], say: []string{"not comparable"}},
		{name: "no phone", drives: valley[:4], without: "phone", say: []string{"record speed with a phone", "segments need a speed"}},
		{name: "no ambient probe, a weather value", drives: valley[:4], replace: []string{`T1 = "ambient"`, `T1 = "ignore"`, "humidity = ", "air-temperature = \"18 degC\"\nhumidity = "},
			say: []string{"no probe measured the outside air"}},
		{name: "no ambient probe, no weather value", drives: valley[:4], replace: []string{`T1 = "ambient"`, `T1 = "ignore"`},
			say: []string{"has no ambient channel", "ahead of the radiator"}},
		{name: "one configuration", drives: []*simulate.DemoDrive{valley[0], valley[2]}, say: []string{"can't be compared"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			dir := filepath.Join(scratch, "rigs", c.name)
			writeCampaign(t, dir, c.drives, c.replace)
			if c.without != "" {
				leaveOut(t, dir, c.without)
			}
			const path = "12_measure_own_car.ipynb"
			shown := everything(t, ranIn(t, exe, dir, path, "../testdata/demo/campaign.toml", "campaign.toml", "../testdata/demo", "."))
			heard(t, shown, c.say, c.not)
		})
	}
}

// leaveOut takes a device and its files out of a campaign's file.
func leaveOut(t *testing.T, dir, device string) {
	t.Helper()
	path := filepath.Join(dir, "campaign.toml")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	parts := strings.Split(string(data), "\n[[")
	parts = slices.DeleteFunc(parts, func(p string) bool {
		return strings.HasPrefix(p, "device]]") && strings.Contains(p, `name = "`+device+`"`) || strings.HasPrefix(p, "drive.file]]") && strings.Contains(p, `device = "`+device+`"`)
	})
	if err := os.WriteFile(path, []byte(strings.Join(parts, "\n[[")), 0o644); err != nil {
		t.Fatal(err)
	}
}

// The rigs that docs/RIGS.md works out run as they stand there: the campaign file
// and the cell are taken from the page; the logs are those of the demo's
// simulator, as above.
func TestWorkedRigs(t *testing.T) {
	exe, err := program()
	if err != nil {
		t.Fatal(err)
	}
	page, err := os.ReadFile("../docs/RIGS.md")
	if err != nil {
		t.Fatal(err)
	}
	drives := simulate.Demo(simulate.DemoSeed)[:4]
	for _, c := range []struct {
		title    string
		whole    bool // the notebook for one's own car runs on it, too
		say, not []string
	}{
		{title: "An air-cooled twin", say: []string{"oil above 45.0 °C", "intake 1: ", "intake 2: ", "cooler"}, not: []string{"top tank"}},
		{title: "A big six with two carburettors, in imperial units", whole: true, say: []string{"°F cooler", "top-tank"}, not: []string{" K cooler", " °C", " K (", "km/h"}},
	} {
		t.Run(c.title, func(t *testing.T) {
			t.Parallel()
			_, section, found := strings.Cut(string(page), "\n### "+c.title+"\n")
			section, _, _ = strings.Cut(section, "\n### ")
			blocks := regexp.MustCompile("(?ms)^```(toml|go)\n(.*?)^```$").FindAllStringSubmatch(section, -1)
			if !found || len(blocks) != 2 || blocks[0][1] != "toml" || blocks[1][1] != "go" {
				t.Fatalf("the section has no campaign file and cell: %q", blocks)
			}
			dir := filepath.Join(scratch, "worked rigs", c.title)
			writeCampaign(t, dir, drives, nil)
			path := filepath.Join(dir, "campaign.toml")
			whole, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			_, after, _ := strings.Cut(string(whole), "\n[[drive]]\n")
			if err := os.WriteFile(path, []byte(blocks[0][2]+"\n[[drive]]\n"+after), 0o644); err != nil {
				t.Fatal(err)
			}
			if c.whole {
				heard(t, everything(t, ranIn(t, exe, dir, "12_measure_own_car.ipynb", "../testdata/demo/campaign.toml", "campaign.toml", "../testdata/demo", ".")), c.say, c.not)
			}
			shown := ranCells(t, exe, dir, "import (\n. \"github.com/bonnetbook/bonnetbook/pkg/notebook\"\n\"github.com/bonnetbook/bonnetbook/pkg/verdict\"\n)", blocks[1][2])
			heard(t, shown, c.say, c.not)
		})
	}
}

// heard finds each text of say in what was shown, and none of not.
func heard(t *testing.T, shown string, say, not []string) {
	t.Helper()
	for _, s := range say {
		if !strings.Contains(shown, s) {
			t.Errorf("no word of %q:\n%s", s, shown)
		}
	}
	for _, s := range not {
		if strings.Contains(shown, s) {
			t.Errorf("it says %q:\n%s", s, shown)
		}
	}
}

// ranCells runs cells in a folder and returns the text of what they showed.
func ranCells(t *testing.T, exe, dir string, sources ...string) string {
	t.Helper()
	var cells []any
	for i, source := range sources {
		cells = append(cells, codeCell("c"+strconv.Itoa(i), source))
	}
	path, out := filepath.Join(dir, "rig.ipynb"), filepath.Join(dir, "ran", "rig.ipynb")
	store(t, path, cells...)
	if err := os.MkdirAll(filepath.Dir(out), 0o755); err != nil {
		t.Fatal(err)
	}
	run(t, limit, nil, exe, "run", "-q", "-o", out, path)
	return everything(t, read(t, out))
}
