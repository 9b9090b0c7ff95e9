//go:build proof

package campaign_test

import (
	"flag"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/messy"
)

var (
	firstSeed = flag.Uint64("firstseed", 1, "first seed of the folders")
	seeds     = flag.Int("seeds", 20, "how many folders")
	keep      = flag.String("keep", "", "write the folders below this one and keep them")
	store     = flag.Bool("store", false, "store the table in testdata")
)

// What a folder's draft got right.
type drafted struct {
	seed                          uint64
	rig                           string
	drives, right, ignored, asked int
	left                          int // questions that are left once all are answered
	failed                        error
	notes                         []string
}

// Drafts of folders of the second model, with their truth beside them: drives
// grouped right, thermocouples that were ignored without a word, answers that a
// person has to give, and whether the draft is whole after these.
func TestDraftQuality(t *testing.T) {
	var b strings.Builder
	fmt.Fprintf(&b, "Drafts of %d folders by internal/judge/messy, seeds from %d on.\n", *seeds, *firstSeed)
	fmt.Fprintf(&b, "Repeat: go test -tags proof -run TestDraftQuality ./pkg/campaign -firstseed %d -seeds %d -store\n\n", *firstSeed, *seeds)
	fmt.Fprintf(&b, "%4s  %-24s %6s %6s %8s %8s %5s  %s\n", "seed", "rig", "drives", "right", "ignored", "answers", "left", "")
	drives, right, ignored, most, left := 0, 0, 0, 0, 0
	for i := range *seeds {
		d := draftOf(t, *firstSeed+uint64(i))
		note := ""
		if d.failed != nil {
			note = d.failed.Error()
		}
		fmt.Fprintf(&b, "%4d  %-24s %6d %6d %8d %8d %5d  %s\n", d.seed, d.rig, d.drives, d.right, d.ignored, d.asked, d.left, strings.ReplaceAll(note, "\n", " "))
		for _, n := range d.notes {
			t.Logf("seed %d: %s", d.seed, n)
		}
		drives, right, ignored, most, left = drives+d.drives, right+d.right, ignored+d.ignored, max(most, d.asked), left+d.left
	}
	fmt.Fprintf(&b, "\n%d of %d drives grouped right (%.1f %%, 95 wanted), %d thermocouples ignored (0 wanted), at most %d answers (12 wanted), %d questions left\n",
		right, drives, 100*float64(right)/float64(drives), ignored, most, left)
	t.Log("\n" + b.String())
	if *store {
		if err := os.WriteFile("testdata/draft_quality.txt", []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if float64(right) < 0.95*float64(drives) || ignored > 0 || most > 12 || left > 0 {
		t.Error("a limit is missed")
	}
}

func draftOf(t *testing.T, seed uint64) drafted {
	f, err := messy.Make(seed, "")
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "folder")
	if *keep != "" {
		dir = filepath.Join(*keep, fmt.Sprint(seed))
		os.RemoveAll(dir)
	}
	if err := f.Write(dir); err != nil {
		t.Fatal(err)
	}
	dir = filepath.Join(dir, "campaign")
	out := drafted{seed: seed, rig: f.Truth.Rig, drives: len(f.Truth.Drives)}
	s, err := campaign.Draft(dir)
	if err != nil {
		out.failed = err
		return out
	}
	out.asked = len(s.Questions)
	out.group(f.Truth, s)
	out.columns(f.Truth, s)
	answered, err := campaign.DraftWith(dir, campaign.DraftOptions{Answers: answersOf(f.Truth, s)})
	if err != nil {
		out.failed = err
		return out
	}
	out.left = len(answered.Questions)
	if len(answered.Needs) > 0 {
		out.failed = answered.Needs
	}
	return out
}

// group counts the drives whose files are exactly those of the truth.
func (d *drafted) group(truth messy.Truth, s *campaign.Sketch) {
	var found [][]string
	for _, x := range s.Drives {
		found = append(found, slices.Sorted(slices.Values(x.Files)))
	}
	for _, x := range truth.Drives {
		want := slices.Compact(slices.Sorted(slices.Values(x.Files)))
		if len(want) == 0 { // nothing recorded it
			d.drives--
			continue
		}
		if slices.ContainsFunc(found, func(f []string) bool { return slices.Equal(f, want) }) {
			d.right++
		} else {
			d.notes = append(d.notes, fmt.Sprintf("drive %s has %q, drafted are %q", x.Name, want, found))
		}
	}
}

// places says which roles are right for where a probe truly sat.
var places = map[string][]string{
	"intake": {"intake"}, "intake 2": {"intake"}, "throat": {"intake"}, "bay front": {"engine-bay"}, "bay rear": {"engine-bay"},
	"grille": {"ambient"}, "upper tank": {"top-tank"}, "coolant": {"coolant"}, "head": {"cylinder-head"}, "oil": {"oil"},
}

// columns counts thermocouples that are not used and not asked about.
func (d *drafted) columns(truth messy.Truth, s *campaign.Sketch) {
	for _, t := range truth.Devices {
		for label, place := range t.Columns {
			if place == "" {
				continue
			}
			for _, x := range s.Devices {
				for _, c := range x.Columns {
					if !sameLabel(c.Name, label) || !writtenBy(truth, t.Name, x.Files) {
						continue
					}
					if c.Role == "ignore" && c.Low == c.Low {
						d.ignored++
						d.notes = append(d.notes, fmt.Sprintf("%s: %s (%s) is ignored", x.Name, c.Name, place))
					}
					if c.Role != "ignore" && c.Low == c.High { // a number of the channel's name read as its values
						d.ignored++
						d.notes = append(d.notes, fmt.Sprintf("%s: %s (%s) never changes", x.Name, c.Name, place))
					}
					if right, known := places[place]; known && c.Role != "?" && c.Role != "ignore" && !slices.Contains(right, c.Role) {
						d.notes = append(d.notes, fmt.Sprintf("%s: %s (%s) is taken for %s", x.Name, c.Name, place, c.Role))
					} else if !known {
						d.notes = append(d.notes, "no role known for place "+place)
					}
				}
			}
		}
	}
}

func sameLabel(a, b string) bool {
	return strings.ReplaceAll(a, " ", "_") == strings.ReplaceAll(b, " ", "_")
}

func writtenBy(truth messy.Truth, device string, files []string) bool {
	for _, f := range truth.Files {
		if f.Used && f.Device == device && slices.Contains(files, f.Path) {
			return true
		}
	}
	return false
}

// answersOf answers each question as the owner would, who knows the truth.
func answersOf(truth messy.Truth, s *campaign.Sketch) []campaign.DraftAnswer {
	var all []campaign.DraftAnswer
	for _, q := range s.Questions {
		value := q.Guess
		switch q.Kind {
		case campaign.AskConfiguration:
			var parts []string
			for i, d := range s.Drives {
				parts = append(parts, fmt.Sprintf("%d=%s", i+1, configurationOf(truth, d)))
			}
			value = strings.Join(parts, ",")
		case campaign.AskDateOrder:
			value = "mdy"
			for _, f := range q.Subjects {
				for _, t := range truth.Devices {
					if writtenBy(truth, t.Name, []string{f}) && strings.Index(t.DateLayout, "02") < strings.Index(t.DateLayout, "01") {
						value = "dmy"
					}
				}
			}
		case campaign.AskUnit:
			for _, f := range q.Subjects {
				for _, t := range truth.Devices {
					if writtenBy(truth, t.Name, []string{f}) {
						value = t.Unit
					}
				}
			}
		}
		if value == "" && len(q.Choices) > 0 {
			value = q.Choices[0]
		}
		all = append(all, campaign.DraftAnswer{ID: q.ID, Value: value})
	}
	return all
}

func configurationOf(truth messy.Truth, d campaign.DraftDrive) string {
	for _, x := range truth.Drives {
		for _, f := range d.Files {
			if slices.Contains(x.Files, f) {
				return path.Base(x.Configuration)
			}
		}
	}
	return "before"
}
