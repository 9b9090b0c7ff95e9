package notebooks

import (
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/simulate"
)

// otherUnits are those that somebody who reads °F, mph and inHg does not want
// to read: a temperature in °C, a difference in K, a speed, a pressure.
var otherUnits = regexp.MustCompile(`°C|\bdegC\b|\d K\b|\bkelvin\b|km/h|\bhPa\b`)

// A campaign whose logs are in °F and mph, and whose pressures are stated in
// inHg, is read in them from the draft to the answer, without a word about it.
func TestUnitsOfTheFiles(t *testing.T) {
	exe, err := program()
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(scratch, "units")
	writeCampaign(t, dir, simulate.Demo(simulate.DemoSeed)[:4], []string{`"82 degC"`, `"180 degF"`})
	inOtherUnits(t, dir)
	all := ""
	for _, path := range []string{"11_compare_before_after.ipynb", "12_measure_own_car.ipynb"} {
		shown := everything(t, ranIn(t, exe, dir, path, "../testdata/demo/campaign.toml", "campaign.toml", "../testdata/demo", "."))
		for line := range strings.Lines(shown) {
			if otherUnits.MatchString(line) {
				t.Errorf("%s: %s", path, line)
			}
		}
		all += shown
	}
	heard(t, all, []string{"°F cooler with", "mph", "On road 37 to 59 mph", "may be off by 4 °F", "within 9 °F of the outside air", "| outside °F |", "creeps to 109 °F"}, nil)
}

// inOtherUnits writes the logs of a folder in °F and mph, and the pressures of
// its campaign in inHg. 1 mile is 1.609344 km, t °C are 1.8·t + 32 °F, and 1 inHg
// is 33.86389 hPa (NIST SP 811, 2008, B.8).
func inOtherUnits(t *testing.T, dir string) {
	t.Helper()
	path := filepath.Join(dir, "campaign.toml")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	stated := regexp.MustCompile(`pressure = "([0-9.]+) hPa"`)
	text := stated.ReplaceAllStringFunc(string(data), func(s string) string {
		hPa, err := strconv.ParseFloat(stated.FindStringSubmatch(s)[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		return `pressure = "` + strconv.FormatFloat(hPa/33.86389, 'f', 2, 64) + ` inHg"`
	})
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, pattern := range []string{"*.csv", "*.txt"} {
		paths, err := filepath.Glob(filepath.Join(dir, pattern))
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range paths {
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, []byte(converted(string(data))), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}

func converted(text string) string {
	lines := strings.Split(text, "\n")
	mark, decimal := ",", "."
	if strings.Contains(lines[0], ";") {
		mark, decimal = ";", ","
	}
	header := strings.Split(lines[0], mark)
	lines[0] = strings.NewReplacer("C]", "F]", "speed_kmh", "speed_mph").Replace(lines[0])
	for i, line := range lines[1:] {
		cells := strings.Split(line, mark)
		for j := range cells {
			if j >= len(header) {
				continue
			}
			tail := ""
			if strings.HasSuffix(cells[j], "\r") {
				cells[j], tail = strings.TrimSuffix(cells[j], "\r"), "\r"
			}
			x, err := strconv.ParseFloat(strings.Replace(cells[j], decimal, ".", 1), 64)
			switch {
			case err != nil:
			case strings.Contains(header[j], "C]"):
				cells[j] = strings.Replace(strconv.FormatFloat(1.8*x+32, 'f', 1, 64), ".", decimal, 1)
			case header[j] == "speed_kmh":
				cells[j] = strconv.FormatFloat(x/1.609344, 'f', 2, 64)
			}
			cells[j] += tail
		}
		lines[1+i] = strings.Join(cells, mark)
	}
	return strings.Join(lines, "\n")
}
