package notebooks

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/exercise"
)

// An exercise stands in three cells: a text that asks, a stub with a place for
// the answer, and a line that checks. The metadata of the stub hold what makes
// the solution copy and what proves the check:
//
//	"bonnetbook": {"exercise": {
//	  "id": "01-1",
//	  "solution": "village := 30.0",
//	  "wrong": {"degrees Fahrenheit": "village := 54"}
//	}}
//
// "wrong" gives an answer for each mistake that the exercise knows.
type asked struct {
	ID, Solution string
	Wrong        map[string]string
}

// variant is one way to answer.
type variant struct {
	exercise asked
	// kind is "stub", "solution" or a mistake.
	kind string
}

const idOfVariant = "variant-"

// TestExercises proves each exercise three ways, by the cell that a learner
// runs: the solution passes, the stub fails with a hint, and each listed wrong
// answer fails with a message of its own.
func TestExercises(t *testing.T) {
	exe, err := program()
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]string{}
	for _, path := range all(t) {
		copied, variants := withAnswers(t, path)
		if len(variants) == 0 {
			continue
		}
		for _, v := range variants {
			if other := seen[v.exercise.ID]; other != "" && other != path {
				t.Errorf("%s and %s both have an exercise %s", other, path, v.exercise.ID)
			}
			seen[v.exercise.ID] = path
		}
		t.Run(path, func(t *testing.T) {
			t.Parallel()
			ran, said := ranCopy(t, exe, "answered", copied)
			judged := judgements(t, path, ran)
			if len(judged) != len(variants) {
				t.Fatalf("%s: %d judgements of %d answers\n%s", path, len(judged), len(variants), said)
			}
			compareVariants(t, variants, judged)
		})
	}
	if len(seen) < 15 {
		t.Errorf("%d exercises with a check, want 15 at least", len(seen))
	}
}

func compareVariants(t *testing.T, variants []variant, judged []exercise.Judgement) {
	t.Helper()
	says := map[string]string{} // who says it, by exercise and text
	for i, v := range variants {
		j := judged[i]
		if j.Exercise != v.exercise.ID {
			t.Errorf("%s is checked by %s", v.exercise.ID, j.Exercise)
		}
		want := v.kind
		switch v.kind {
		case "solution":
			want = ""
		case "stub":
			want = exercise.NotAnswered
		}
		if j.Mistake != want || j.Passed != (want == "") || j.Says == "" {
			t.Errorf("%s, %s: %+v", v.exercise.ID, v.kind, j)
		}
		key := j.Exercise + "\n" + j.Says
		if other, twice := says[key]; twice {
			t.Errorf("%s: %s and %s are told the same: %s", v.exercise.ID, v.kind, other, j.Says)
		}
		says[key] = v.kind
	}
}

// withAnswers writes a copy of the notebook in which, behind each exercise,
// the stub, all wrong answers and the solution stand, each with its check.
func withAnswers(t *testing.T, path string) (copied string, variants []variant) {
	t.Helper()
	var stub cell
	copied = widened(t, "answered", path, func(i int, c cell) (added []any) {
		asks := stub.Metadata.Bonnetbook.Exercise
		before, check := string(stub.Source), string(c.Source)
		if stub = c; asks == nil {
			return nil
		}
		e := *asks
		if c.Kind != "code" || strings.Contains(check, "\n") || !strings.HasPrefix(check, "exercise.") {
			t.Errorf("%s, %s: the cell below the stub is no line that checks: %q", path, e.ID, check)
		}
		if len(e.Wrong) < 3 || e.Solution == "" {
			t.Errorf("%s, %s: a solution and three wrong answers at least, got %d", path, e.ID, len(e.Wrong))
		}
		answer := func(kind, source string) {
			n := len(variants)
			added = append(added, codeCell(fmt.Sprint("answer-", n), source), codeCell(fmt.Sprint(idOfVariant, n), check))
			variants = append(variants, variant{e, kind})
		}
		answer("stub", before)
		for _, mistake := range slices.Sorted(maps.Keys(e.Wrong)) {
			answer(mistake, e.Wrong[mistake])
		}
		answer("solution", e.Solution)
		return added
	})
	return copied, variants
}

// What has letters to choose or to order, or a blank to fill, comes before what
// is to be found without: a beginner is not to start from nothing.
func TestClosedExercisesFirst(t *testing.T) {
	for _, path := range all(t) {
		cells, open := read(t, path).Cells, ""
		for i, c := range cells {
			e := c.Metadata.Bonnetbook.Exercise
			if e == nil {
				continue
			}
			asks := string(cells[i-1].Source) + "\n" + string(c.Source)
			switch closed := strings.Contains(asks, "\n- A: ") || strings.Contains(asks, "___"); {
			case !closed:
				open = e.ID
			case open != "":
				t.Errorf("%s: %s gives letters or a blank and stands behind %s, which gives nothing", path, e.ID, open)
			}
		}
	}
}

// judgements reads what the added checks said, in order.
func judgements(t *testing.T, path string, added file) []exercise.Judgement {
	t.Helper()
	added.Cells = slices.DeleteFunc(added.Cells, func(c cell) bool { return !strings.HasPrefix(c.ID, idOfVariant) })
	for _, c := range added.Cells {
		for _, o := range c.Outputs {
			if o.Kind == "error" {
				t.Errorf("%s: %s: %s\n%s", path, o.Name, o.Value, c.Source)
			}
		}
	}
	return judgementsOf(t, added)
}
