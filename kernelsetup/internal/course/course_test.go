package course

import (
	"bytes"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
)

// What the course holds is what the repository does: every notebook, every log.
func TestFiles(t *testing.T) {
	files, err := Files()
	if err != nil {
		t.Fatal(err)
	}
	for pattern, folder := range map[string]string{"../../../notebooks/[0-9]*.ipynb": Notebooks, "../../../testdata/demo/*": Logs + "/demo"} {
		there, err := filepath.Glob(pattern)
		if err != nil || len(there) < 12 {
			t.Fatal(pattern, there, err)
		}
		for _, p := range there {
			if strings.Contains(p, ".executed.") {
				continue
			}
			got, ok := files[path.Join(folder, filepath.Base(p))]
			if !ok {
				t.Errorf("%s is not in the course", p)
			}
			if want, _ := os.ReadFile(p); folder != Notebooks && !bytes.Equal(got, want) {
				t.Errorf("%s has another content in the course", p)
			}
		}
	}
}

// The packs come unpacked, each with its campaign file; the documents and the
// first page lead to files that are there.
func TestPacksAndDocuments(t *testing.T) {
	files, err := Files()
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"barn", "mill", "quay"} {
		if len(files[path.Join(Logs, "packs", name, "campaign.toml")]) == 0 {
			t.Errorf("pack %s has no campaign file", name)
		}
	}
	links := regexp.MustCompile(`\]\(([^)#:]+)\)`).FindAllSubmatch(files[FirstPage], -1)
	if len(links) < 2 {
		t.Errorf("the first page has links %q", links)
	}
	for _, m := range links {
		if len(files[string(m[1])]) == 0 {
			t.Errorf("the first page leads to %s, which is not in the course", m[1])
		}
	}
}

// A learner's copy tells no solution; the solution copy has them all and
// differs in nothing else.
func TestCopies(t *testing.T) {
	files, err := Files()
	if err != nil {
		t.Fatal(err)
	}
	solved := 0
	for name, data := range files {
		if path.Dir(name) != Solutions {
			continue
		}
		source, err := nbformat.ReadFile("../../../notebooks/" + path.Base(name))
		if err != nil {
			t.Fatal(err)
		}
		learner := read(t, files[path.Join(Notebooks, path.Base(name))])
		solution := read(t, data)
		if len(learner.Cells) != len(source.Cells) || len(solution.Cells) != len(source.Cells) {
			t.Fatalf("%s: cells are missing from a copy", name)
		}
		for i, c := range source.Cells {
			want := c.Source()
			if e, ok, err := exerciseOf(c); err != nil {
				t.Errorf("%s, cell %d: %v", name, i+1, err)
			} else if ok {
				want = e.Solution
				solved++
				if strings.Contains(string(files[path.Join(Notebooks, path.Base(name))]), strings.ReplaceAll(want, `"`, `\"`)) {
					t.Errorf("%s: the learner's copy holds the solution %q", name, want)
				}
			}
			if got := solution.Cells[i].Source(); got != want {
				t.Errorf("%s, cell %d: the solution copy has %q, want %q", name, i+1, got, want)
			}
			if got := learner.Cells[i].Source(); got != c.Source() {
				t.Errorf("%s, cell %d: the learner's copy has %q, want %q", name, i+1, got, c.Source())
			}
			if learner.Cells[i].Metadata(own) != nil || solution.Cells[i].Metadata(own) != nil {
				t.Errorf("%s, cell %d: a copy holds our own metadata", name, i+1)
			}
		}
	}
	if solved == 0 {
		t.Error("no exercise in the course")
	}
}

func read(t *testing.T, data []byte) *nbformat.Notebook {
	t.Helper()
	n, err := nbformat.Read(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func TestSolveRefusesAnExerciseWithoutSolution(t *testing.T) {
	const text = `{"nbformat":4,"nbformat_minor":5,"metadata":{},"cells":[{"cell_type":"code","id":"a","execution_count":null,"outputs":[],"source":[],"metadata":{"bonnetbook":{"exercise":{"id":"1"}}}}]}`
	if _, err := solve(read(t, []byte(text))); err == nil {
		t.Error("no error")
	}
}

// Nothing of the user's is replaced, and a call that was cut off goes on.
func TestWriteReplacesNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "Kurs für Ännchen")
	all, err := Files()
	if err != nil {
		t.Fatal(err)
	}
	w, err := Write(dir)
	if err != nil || w.New != len(all) || w.Same != 0 {
		t.Fatalf("%+v, %v; want %d files", w, err, len(all))
	}
	written, err := filepath.Glob(filepath.Join(dir, Notebooks, "*.ipynb"))
	if err != nil || len(written) < 12 {
		t.Fatalf("notebooks %q, %v", written, err)
	}
	lost := filepath.Join(dir, Logs, "demo", "campaign.toml")
	if err := os.Remove(lost); err != nil {
		t.Fatal(err)
	}
	if w, err := Write(dir); err != nil || w.New != 1 || w.Same != len(all)-1 {
		t.Errorf("the second time: %+v, %v", w, err)
	}
	mine := written[0]
	if err := os.WriteFile(mine, []byte("my work"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(lost); err != nil {
		t.Fatal(err)
	}
	if _, err := Write(dir); err == nil || !strings.Contains(err.Error(), mine) {
		t.Errorf("over somebody's work: %v", err)
	}
	if data, _ := os.ReadFile(mine); string(data) != "my work" {
		t.Errorf("somebody's work is now %q", data)
	}
	if _, err := os.Stat(lost); !os.IsNotExist(err) {
		t.Error("something was written all the same")
	}
}

// What is there may be no folder, a link that leads nowhere, a folder in place
// of a file: all of it stays.
func TestWriteIntoWhatIsThere(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, []byte("x"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Write(file); err == nil || !strings.Contains(err.Error(), file) {
		t.Errorf("into a file: %v", err)
	}
	folder := filepath.Join(dir, "folder")
	if err := os.MkdirAll(filepath.Join(folder, FirstPage), 0o755); err != nil {
		t.Fatal(err)
	}
	if _, err := Write(folder); err == nil || !strings.Contains(err.Error(), FirstPage) {
		t.Errorf("over a folder: %v", err)
	}
	links := filepath.Join(dir, "links")
	if err := os.MkdirAll(links, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("nowhere", filepath.Join(links, FirstPage)); err != nil {
		t.Skip(err)
	}
	if _, err := Write(links); err == nil || !strings.Contains(err.Error(), "leads nowhere") {
		t.Errorf("over a link: %v", err)
	}
	if entries, err := os.ReadDir(links); err != nil || len(entries) != 1 {
		t.Errorf("%v, %v", entries, err)
	}
}
