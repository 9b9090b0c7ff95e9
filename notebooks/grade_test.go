package notebooks

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// A notebook that was handed in: one right answer whose check its author has
// replaced, one cell that never ends, and the other checks gone.
func TestGrade(t *testing.T) {
	exe, err := program()
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(scratch, "handed in")
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	anna, other := filepath.Join(dir, "anna.ipynb"), filepath.Join(dir, "other.ipynb")
	store(t, anna, codeCell("a", `import "github.com/bonnetbook/bonnetbook/pkg/exercise"`),
		codeCell("b", `dashes := "B"`), codeCell("check-02-2", `"all right, believe me"`), codeCell("c", "for {\n}"))
	store(t, other, codeCell("a", "6 * 7"))
	stored, err := os.ReadFile(anna)
	if err != nil {
		t.Fatal(err)
	}

	cmd := exec.Command(exe, "grade", "-json", "-timeout", "1s", anna, other)
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	if err := cmd.Run(); err == nil || !strings.Contains(said.String(), "other.ipynb") {
		t.Errorf("a notebook that is none of the course: %v, %s", err, said.String())
	}
	var doc struct {
		Notebooks []struct {
			Notebook, Note string
			Passed         int
			Exercises      []struct {
				Exercise, Mistake string
				Passed            bool
			}
		}
	}
	if err := json.Unmarshal(out.Bytes(), &doc); err != nil || len(doc.Notebooks) != 1 {
		t.Fatalf("%v: %s", err, out.String())
	}
	r := doc.Notebooks[0]
	if r.Notebook != "02_read_files.ipynb" || r.Passed != 1 || len(r.Exercises) != 3 || !strings.Contains(r.Note, "cell 4") {
		t.Errorf("%+v", r)
	}
	for _, e := range r.Exercises {
		if want := e.Exercise == "02-2"; e.Passed != want || !want && e.Mistake != "failed" {
			t.Errorf("%+v", e)
		}
	}
	if now, err := os.ReadFile(anna); err != nil || !bytes.Equal(now, stored) {
		t.Errorf("the notebook that was handed in is changed: %v", err)
	}
	if text, err := exec.Command(exe, "grade", "-limit", "2s", "-timeout", "1h", anna).CombinedOutput(); err != nil || !strings.Contains(string(text), "stopped after 2s") {
		t.Errorf("a notebook that takes too long: %v\n%s", err, text)
	}
}
