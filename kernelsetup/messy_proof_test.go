//go:build proof

package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

var (
	messyFirst = flag.Int("firstseed", 1, "first seed of the folders")
	messySeeds = flag.Int("seeds", 20, "how many folders")
	messyStore = flag.Bool("store", false, "store the table in testdata")
)

// truthOf is what the writer of folders says of one, as far as it is used here.
type truthOf struct {
	Rig     string       `json:"rig"`
	Devices []trueDevice `json:"devices"`
	Drives  []struct {
		Name          string    `json:"name"`
		Configuration string    `json:"configuration"`
		Start         time.Time `json:"start_utc"`
		Files         []string  `json:"files"`
	} `json:"drives"`
	Files []struct {
		Path   string `json:"path"`
		Used   bool   `json:"used"`
		Device string `json:"device"`
	} `json:"files"`
	Change map[string]*float64 `json:"change_K"`
}

type trueDevice struct {
	Name       string            `json:"name"`
	Unit       string            `json:"unit"`
	DateLayout string            `json:"date_layout"`
	Columns    map[string]string `json:"columns"`
}

// devicesOf are the devices that wrote any of the files.
func (truth truthOf) devicesOf(files []string) (wrote []trueDevice) {
	for _, d := range truth.Devices {
		for _, f := range truth.Files {
			if f.Used && f.Device == d.Name && slices.Contains(files, f.Path) {
				wrote = append(wrote, d)
				break
			}
		}
	}
	return wrote
}

type draftedDrive struct {
	Name          string     `json:"name"`
	Start         *time.Time `json:"start"`
	Configuration string     `json:"configuration"`
	Files         []string   `json:"files"`
}

type draftDocument struct {
	Devices []struct {
		Name    string   `json:"name"`
		Files   []string `json:"files"`
		Columns []struct {
			Name string   `json:"name"`
			Role *string  `json:"role"`
			Min  *float64 `json:"min"`
		} `json:"columns"`
	} `json:"devices"`
	Drives    []draftedDrive `json:"drives"`
	Questions []struct {
		ID       string   `json:"id"`
		Kind     string   `json:"kind"`
		Subjects []string `json:"subjects"`
		Choices  []string `json:"choices"`
		Guess    *string  `json:"guess"`
	} `json:"questions"`
}

// messyRow is what came of one folder.
type messyRow struct {
	seed                                           int
	rig                                            string
	drives, right, ignored, answers, errors, looks int
	word, interval                                 string
	notes                                          []string
}

// A person with a folder as it lies: draft, the answers, draft -save, account,
// look, verdict, each once from the command line. Counted are drives that were
// grouped right, thermocouples that are neither used nor asked about, answers
// that had to be given, and commands that ended with an error.
func TestMessyFromTheCommandLine(t *testing.T) {
	home := t.TempDir()
	program, folders := filepath.Join(home, "bonnetbook"), filepath.Join(home, "folders")
	for _, command := range [][]string{{"build", "-o", program, "."},
		{"run", "../pkg/internal/judge/write", "-seed", fmt.Sprint(*messyFirst), "-n", fmt.Sprint(*messySeeds), "-o", folders}} {
		if out, err := exec.Command("go", command...).CombinedOutput(); err != nil {
			t.Fatalf("go %q: %v\n%s", command, err, out)
		}
	}
	t.Setenv("BONNETBOOK_CACHE", filepath.Join(home, "cache"))
	var b strings.Builder
	fmt.Fprintf(&b, "%d folders by internal/judge/write, seeds from %d on, through draft, draft -save, account, look and verdict.\n", *messySeeds, *messyFirst)
	fmt.Fprintf(&b, "Repeat: make messy-proof (or go test -tags proof -run TestMessyFromTheCommandLine ./kernelsetup -firstseed %d -seeds %d -store)\n\n", *messyFirst, *messySeeds)
	fmt.Fprintf(&b, "%4s  %-24s %6s %6s %8s %8s %7s %6s  %-15s %-24s\n", "seed", "rig", "drives", "right", "ignored", "answers", "errors", "looks", "verdict", "change, truth in K")
	var sum messyRow
	most := 0
	for i := range *messySeeds {
		r := messyCampaign(t, program, filepath.Join(folders, fmt.Sprintf("seed-%d", *messyFirst+i)))
		r.seed = *messyFirst + i
		fmt.Fprintf(&b, "%4d  %-24s %6d %6d %8d %8d %7d %6d  %-15s %-24s\n", r.seed, r.rig, r.drives, r.right, r.ignored, r.answers, r.errors, r.looks, r.word, r.interval)
		for _, n := range r.notes {
			fmt.Fprintf(&b, "      %s\n", n)
		}
		sum.drives, sum.right, sum.ignored, sum.errors, most = sum.drives+r.drives, sum.right+r.right, sum.ignored+r.ignored, sum.errors+r.errors, max(most, r.answers)
	}
	fmt.Fprintf(&b, "\n%d of %d drives grouped right (%.1f %%, 95 wanted), %d thermocouples ignored (0 wanted), at most %d answers (12 wanted), %.2f error runs a folder (1 allowed)\n",
		sum.right, sum.drives, 100*float64(sum.right)/float64(sum.drives), sum.ignored, most, float64(sum.errors)/float64(*messySeeds))
	t.Log("\n" + b.String())
	if *messyStore {
		if err := os.WriteFile(filepath.Join("testdata", "messy.txt"), []byte(b.String()), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if float64(sum.right) < 0.95*float64(sum.drives) || sum.ignored > 0 || most > 12 || sum.errors > *messySeeds {
		t.Error("a limit is missed")
	}
}

func messyCampaign(t *testing.T, program, folder string) messyRow {
	t.Helper()
	var truth truthOf
	data, err := os.ReadFile(filepath.Join(folder, "truth", "truth.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &truth); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(folder, "campaign")
	r := messyRow{rig: truth.Rig, drives: len(truth.Drives)}
	run := func(args ...string) []byte {
		command := exec.Command(program, args...)
		var errors bytes.Buffer
		command.Stderr = &errors
		out, err := command.Output()
		if err != nil {
			r.errors++
			r.notes = append(r.notes, args[0]+": "+strings.Join(strings.Fields(errors.String()), " "))
		}
		return out
	}
	var draft draftDocument
	if err := json.Unmarshal(run("draft", "-json", dir), &draft); err != nil {
		t.Fatal(err)
	}
	r.group(truth, draft)
	r.columns(truth, draft)
	save := []string{"draft", "-json", "-save"}
	for _, a := range answersTo(truth, draft) {
		save = append(save, "-answer", a)
		r.answers++
	}
	var saved draftDocument
	if err := json.Unmarshal(run(append(save, dir)...), &saved); err == nil && len(saved.Questions) > 0 {
		r.notes = append(r.notes, fmt.Sprintf("%d questions are left", len(saved.Questions)))
	}
	account := []string{"account", "-json"}
	for _, f := range truth.Files {
		if f.Used && !strings.HasSuffix(f.Path, ".zip") {
			account = append(account, filepath.Join(dir, f.Path))
		}
	}
	run(account...)
	var looks []any
	if err := json.Unmarshal(run("look", "-json", dir), &looks); err == nil {
		r.looks = len(looks)
	}
	var verdict struct {
		Sentence string `json:"sentence"`
		Primary  string `json:"primary"`
		Strata   []struct {
			ID     string   `json:"id"`
			Change *float64 `json:"change_K"`
			Low    *float64 `json:"low_K"`
			High   *float64 `json:"high_K"`
			Word   string   `json:"word"`
		} `json:"strata"`
	}
	judge := []string{"verdict", "-json", dir}
	if both := func(name string) bool {
		return slices.ContainsFunc(saved.Drives, func(d draftedDrive) bool { return d.Configuration == name })
	}; both("open") && both("duct") { // the truth is the duct's
		judge = append(judge, "-before", "open", "-after", "duct")
	}
	if err := json.Unmarshal(run(judge...), &verdict); err != nil {
		r.notes = append(r.notes, "verdict writes no document")
		return r
	}
	for _, s := range verdict.Strata {
		if s.ID != verdict.Primary {
			continue
		}
		r.word = s.Word
		if true0 := truth.Change[s.ID]; s.Change != nil && s.Low != nil && s.High != nil && true0 != nil {
			inside := ""
			if *true0 < *s.Low || *true0 > *s.High {
				inside = " (outside)"
			}
			r.interval = fmt.Sprintf("%.1f (%.1f to %.1f), %.1f%s", *s.Change, *s.Low, *s.High, *true0, inside)
		}
		if s.Word == "not comparable" {
			r.notes = append(r.notes, verdict.Sentence)
		}
	}
	return r
}

// group counts the drives whose files are those of the truth.
func (r *messyRow) group(truth truthOf, draft draftDocument) {
	for _, d := range truth.Drives {
		want := slices.Compact(slices.Sorted(slices.Values(d.Files)))
		if len(want) == 0 { // nothing recorded it
			r.drives--
			continue
		}
		if slices.ContainsFunc(draft.Drives, func(x draftedDrive) bool {
			return slices.Equal(slices.Compact(slices.Sorted(slices.Values(x.Files))), want)
		}) {
			r.right++
		} else {
			r.notes = append(r.notes, fmt.Sprintf("drive %s is not grouped as %q", d.Name, want))
		}
	}
}

// placeOf is where the probe of a column truly sat; empty where there is none.
func placeOf(truth truthOf, files []string, column string) string {
	for _, d := range truth.devicesOf(files) {
		for name, place := range d.Columns {
			if strings.ReplaceAll(name, " ", "_") == strings.ReplaceAll(column, " ", "_") {
				return place
			}
		}
	}
	return ""
}

// columns counts thermocouples that are neither used nor asked about.
func (r *messyRow) columns(truth truthOf, draft draftDocument) {
	for _, d := range draft.Devices {
		for _, c := range d.Columns {
			place := placeOf(truth, d.Files, c.Name)
			if place != "" && c.Role != nil && *c.Role == "ignore" && c.Min != nil {
				r.ignored++
				r.notes = append(r.notes, fmt.Sprintf("%s: %s (%s) is ignored", d.Name, c.Name, place))
			}
		}
	}
}

// rolesOf are what the owner answers for a place.
var rolesOf = map[string]string{"intake": "intake", "throat": "intake", "bay front": "engine-bay", "bay rear": "engine-bay", "grille": "ambient",
	"upper tank": "top-tank", "coolant": "coolant", "head": "cylinder-head", "oil": "oil"}

// configurationOf is what the owner remembers of a drive: of those that share
// most files with it (a log that is never cleared is in all) the nearest in time.
func configurationOf(truth truthOf, d draftedDrive) string {
	name, most, nearest := "before", 0, math.Inf(1)
	for _, x := range truth.Drives {
		shared, apart := 0, 0.0
		for _, f := range d.Files {
			if slices.Contains(x.Files, f) {
				shared++
			}
		}
		if d.Start != nil {
			apart = math.Abs(d.Start.Sub(x.Start).Seconds())
		}
		if shared > most || shared == most && shared > 0 && apart < nearest {
			name, most, nearest = x.Configuration, shared, apart
		}
	}
	return name
}

// answersTo answers each question as the owner would, who knows the truth:
// lists of drives, units and orders as the logger was set to, roles by where the
// probes sat.
func answersTo(truth truthOf, draft draftDocument) []string {
	var all []string
	for _, q := range draft.Questions {
		value := ""
		if q.Guess != nil {
			value = *q.Guess
		}
		switch q.Kind {
		case "configuration":
			lists := map[string][]string{}
			var names []string
			for i, d := range draft.Drives {
				name := configurationOf(truth, d)
				if lists[name] == nil {
					names = append(names, name)
				}
				lists[name] = append(lists[name], fmt.Sprint(i+1))
			}
			var parts []string
			for _, n := range names {
				parts = append(parts, strings.Join(lists[n], ",")+"="+n)
			}
			value = strings.Join(parts, ",")
		case "date_order", "unit":
			for _, d := range truth.devicesOf(q.Subjects) {
				value = d.Unit
				if q.Kind == "date_order" {
					value = map[bool]string{true: "dmy", false: "mdy"}[strings.Index(d.DateLayout, "02") < strings.Index(d.DateLayout, "01")]
				}
			}
		case "role":
			for _, s := range q.Subjects {
				device, column, _ := strings.Cut(s, ": ")
				for _, d := range draft.Devices {
					if d.Name != device || len(q.Subjects) > 1 {
						continue
					}
					if role, known := rolesOf[placeOf(truth, d.Files, column)]; known {
						value = role
					}
				}
			}
		}
		if value == "" && len(q.Choices) > 0 {
			value = q.Choices[0]
		}
		all = append(all, q.ID+"="+value)
	}
	return all
}
