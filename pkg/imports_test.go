package pkg_test

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"path"
	"slices"
	"strings"
	"testing"
)

// allowed says which packages of pkg/ each package may import: dependencies
// point one way. The reasons are in DEVELOPERS.md. Besides there are
// atomicfile and pathname, which stand outside: the kernel needs them, too.
var allowed = map[string]string{
	"internal":    "quantity series drive recording", // spelling, specificpower, parallel, ambientlaw and place (where a probe sits) import nothing; proving, published, nonsense and reallog are for tests
	"quantity":    "",
	"series":      "quantity",
	"estimate":    "quantity",
	"uncertainty": "quantity estimate",
	"regression":  "",
	"changepoint": "quantity estimate regression",
	"sensor":      "quantity series estimate uncertainty",
	"air":         "quantity series estimate uncertainty",
	"fuel":        "quantity estimate",
	"engine":      "quantity series estimate air fuel",
	"duct":        "quantity series estimate air engine uncertainty",
	"roadload":    "quantity series estimate air engine uncertainty",
	"recording":   "quantity series estimate internal atomicfile pathname",
	"clock":       "quantity series estimate regression recording internal",
	"drive":       "quantity series estimate recording clock sensor internal atomicfile",
	"export":      "quantity series drive internal atomicfile pathname",
	"weather":     "quantity series estimate drive air",
	"campaign":    "quantity series estimate recording clock drive sensor air engine fuel weather internal atomicfile pathname",
	"simulate":    "quantity series",
	"warm":        "quantity series estimate drive thermostat",
	"segment":     "quantity series estimate regression drive thermostat warm changepoint internal",
	"thermostat":  "quantity series estimate regression drive changepoint internal",
	"heat":        "quantity series estimate regression drive thermostat warm segment internal",
	"contrast":    "internal",
	"compare":     "quantity series estimate contrast drive segment air engine uncertainty internal",
	"plan":        "quantity series estimate drive compare segment thermostat uncertainty",
	"verdict":     "quantity series estimate recording clock drive campaign thermostat warm segment heat contrast compare plan air engine fuel weather internal",
	"notebook":    "quantity internal pathname",
	"ask":         "series recording campaign notebook",
	"scene":       "notebook internal atomicfile pathname", // knows nothing of cars
	"chart":       "quantity series estimate sensor drive thermostat warm segment compare clock duct engine heat notebook internal scene",
	"exercise":    "quantity air engine roadload recording sensor clock thermostat compare notebook segment heat frame",
	"frame":       "quantity series estimate drive thermostat segment chart notebook internal atomicfile pathname",
}

// Readers know no physics, physics knows no files, nothing knows the kernel,
// and only scene (and notebook, which shows values) draws.
func TestImportsPointOneWay(t *testing.T) {
	cmd := exec.Command("go", "list", "-json=ImportPath,Imports", "./...")
	out, err := cmd.Output()
	if err != nil {
		t.Skipf("go list: %v", err)
	}
	const module = "github.com/bonnetbook/bonnetbook/"
	dec := json.NewDecoder(strings.NewReader(string(out)))
	for {
		var p struct {
			ImportPath string
			Imports    []string
		}
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		own := strings.TrimPrefix(p.ImportPath, module+"pkg/")
		subject, _, _ := strings.Cut(own, "/")
		if own == p.ImportPath {
			continue // pkg itself, which holds only this test
		}
		may, known := allowed[subject]
		if !known {
			t.Errorf("package %s is not in the table: say what it may import", own)
		}
		for _, i := range p.Imports {
			rest, ours := strings.CutPrefix(i, module)
			if !ours {
				if strings.HasPrefix(i, "gonum.org/v1/plot") && subject != "scene" && subject != "notebook" {
					t.Errorf("%s imports %s: only scene draws", own, i)
				}
				continue
			}
			target, inPkg := strings.CutPrefix(rest, "pkg/")
			if rest == "internal/atomicfile" || rest == "internal/pathname" {
				target, inPkg = path.Base(rest), true
			}
			if !inPkg {
				t.Errorf("%s imports %s: nothing in pkg/ knows the kernel", own, i)
				continue
			}
			target, _, _ = strings.Cut(target, "/")
			if target != subject && !slices.Contains(strings.Fields(may), target) {
				t.Errorf("%s imports %s: allowed are %q (DEVELOPERS.md, \"Dependencies point one way\")", own, target, may)
			}
		}
	}
}

// The judge of every claim about coverage shares nothing with what it judges:
// only tests import it and the package that hands its drives to them, and it
// imports nothing of ours.
func TestOnlyTestsImportTheJudge(t *testing.T) {
	const proving = "github.com/bonnetbook/bonnetbook/pkg/internal/proving"
	const published = "github.com/bonnetbook/bonnetbook/pkg/internal/published" // numbers of other programs, for tests
	const nonsense = "github.com/bonnetbook/bonnetbook/pkg/internal/nonsense"   // numbers that can't be, for tests
	const reallog = "github.com/bonnetbook/bonnetbook/pkg/internal/reallog"     // logs of real cars, for tests
	const judge = "github.com/bonnetbook/bonnetbook/pkg/internal/judge"
	within := func(path string) bool { return path == judge || strings.HasPrefix(path, judge+"/") }
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}}{{range .Imports}} {{.}}{{end}}`, "./...").Output()
	if err != nil {
		t.Skipf("go list: %v", err)
	}
	const mutant = "github.com/bonnetbook/bonnetbook/internal/mutant" // inputs changed at random, for tests
	for line := range strings.Lines(string(out)) {
		paths := strings.Fields(line)
		for _, i := range paths[1:] {
			switch {
			case i == proving, i == published, i == nonsense, i == reallog, i == mutant, !within(paths[0]) && within(i) && paths[0] != proving:
				t.Errorf("%s imports %s: only tests may", paths[0], i)
			case within(paths[0]) && !within(i) && strings.HasPrefix(i, "github.com/bonnetbook/"):
				t.Errorf("%s imports %s: the judge stands alone", paths[0], i)
			}
		}
	}
}
