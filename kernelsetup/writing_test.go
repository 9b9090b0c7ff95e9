package main

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// notebookText is a notebook with a title, a question and one cell.
func notebookText(title, code string) string {
	return fmt.Sprintf(`{"cells":[
 {"cell_type":"markdown","id":"a","metadata":{},"source":%q},
 {"cell_type":"code","id":"b","execution_count":null,"metadata":{},"outputs":[],"source":%q}
],"metadata":{},"nbformat":4,"nbformat_minor":5}`, "# "+title+"\n\n**What is "+title+"?**\n\nMore.", code)
}

// writeFiles writes files below a folder, and the folders they need.
func writeFiles(t *testing.T, home string, files map[string]string) {
	t.Helper()
	for name, text := range files {
		path := filepath.Join(home, name)
		os.MkdirAll(filepath.Dir(path), 0o755)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func textOf(t *testing.T, elem ...string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(elem...))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func namesIn(t *testing.T, elem ...string) (names []string) {
	t.Helper()
	entries, err := os.ReadDir(filepath.Join(elem...))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

// inOrder reports whether text holds all parts, one behind the other.
func inOrder(text string, parts ...string) bool {
	for _, p := range parts {
		_, behind, found := strings.Cut(text, p)
		if !found {
			return false
		}
		text = behind
	}
	return true
}

func TestReportOfSeveralNotebooks(t *testing.T) {
	home, run := bare(t)
	writeFiles(t, home, map[string]string{
		"b/drive.ipynb":   notebookText("second & last", `"from b"`),
		"a/drive.ipynb":   notebookText("first", `"from a"`),
		"index.ipynb":     notebookText("third", `"from index"`),
		"a/drive-2.ipynb": notebookText("fourth", `panic("boom")`),
	})
	call := []string{"report", "-o", "new/folder", "b/drive.ipynb", "a/drive.ipynb", "index.ipynb", "a/drive-2.ipynb", "./a/drive.ipynb"}
	for range 2 { // what it wrote itself it replaces
		status, out, bad := run(call...)
		if status != 1 || !strings.Contains(bad, "boom") {
			t.Errorf("status %d\n%s%s", status, out, bad)
		}
		for _, told := range []string{"a/drive.ipynb goes to new/folder/drive-3.html", "index.ipynb goes to new/folder/index-2.html", "named twice"} {
			if !strings.Contains(bad, told) {
				t.Errorf("not told that %s:\n%s", told, bad)
			}
		}
	}
	folder := filepath.Join(home, "new", "folder")
	want := []string{"drive-2.html", "drive-3.html", "drive.html", "index-2.html", "index.html"}
	if got := namesIn(t, folder); !slices.Equal(got, want) {
		t.Errorf("written: %q, want %q", got, want)
	}
	for name, says := range map[string]string{"drive.html": "from b", "drive-3.html": "from a", "index-2.html": "from index", "drive-2.html": "boom"} {
		if page := textOf(t, folder, name); !strings.Contains(page, says) || !strings.Contains(page, `<a href="index.html">`) {
			t.Errorf("%s does not say %q or does not link the index", name, says)
		}
	}
	if index := textOf(t, folder, "index.html"); !inOrder(index,
		`<a href="drive.html">second &amp; last</a>`, "What is second &amp; last?",
		`<a href="drive-3.html">first</a>`, "What is first?", `<a href="index-2.html">third</a>`,
		`<a href="drive-2.html">fourth</a>`, "What is fourth?", "boom") {
		t.Errorf("index:\n%s", index)
	}
}

func TestReportOfOneNotebook(t *testing.T) {
	home, run := bare(t)
	writeFiles(t, home, map[string]string{"n.ipynb": notebookText("n", "6 * 7"), "there/mine.txt": "mine"})
	for out, page := range map[string]string{
		"deep/page.html": "deep/page.html", "there": "there/n.html", "made/": "made/n.html", "": "n.html",
	} {
		args := []string{"report", "-q", "n.ipynb"}
		if out != "" {
			args = append(args, "-o", out)
		}
		if status, _, bad := run(args...); status != 0 || bad != "" {
			t.Errorf("-o %q: status %d\n%s", out, status, bad)
		}
		if !strings.Contains(textOf(t, home, page), ">42<") {
			t.Errorf("-o %q: no answer in %s", out, page)
		}
	}
	if got := namesIn(t, home, "there"); !slices.Equal(got, []string{"mine.txt", "n.html"}) {
		t.Errorf("in the folder: %q", got)
	}
}

// What another hand wrote is never replaced, nothing runs before that is said,
// and the advice is there.
func TestForeignFilesAreNotReplaced(t *testing.T) {
	home, run := bare(t)
	foreign := "<html>mine, about <meta name=\"generator\" content=\"another\"></html>"
	ran := `import "os"
os.WriteFile("ran", nil, 0o644)`
	files := map[string]string{
		"n.ipynb": notebookText("n", ran), "m.ipynb": notebookText("m", "1"), "file": foreign,
		"n.html": foreign, "n.executed.ipynb": notebookText("n", "1"), "n.go": "package main\n", "out/index.html": foreign,
	}
	writeFiles(t, home, files)
	for _, c := range []struct {
		args   string
		status int
		says   string
	}{
		{"report n.ipynb", 1, "n.html is there already"},
		{"report -o n.html n.ipynb", 1, "n.html is there already"},
		{"report -o . n.ipynb m.ipynb", 1, "n.html is there already"},
		{"report -o out n.ipynb m.ipynb", 1, "index.html is there already"},
		{"report -o file n.ipynb m.ipynb", 1, "file is a file, and a folder is needed"},
		{"report -o n.ipynb n.ipynb", 2, "name of a notebook"},
		{"report -o m.ipynb n.ipynb", 2, "name of a notebook"},
		{"report -o new.ipynb n.ipynb", 2, "name of a notebook"},
		{"program -o n.ipynb n.ipynb", 2, "name of a notebook"},
		{"program -o n.go n.ipynb", 1, "n.go is there already"},
		{"program -o . n.ipynb", 1, "n.go is there already"},
		{"run n.ipynb", 1, "n.executed.ipynb is there already"},
		{"run -o n.ipynb n.ipynb", 2, "would replace the notebook n.ipynb"},
		{"run -o . n.ipynb", 2, "would replace the notebook n.ipynb"},
		{"run -o . m.ipynb n.ipynb", 2, "would replace the notebook"},
		{"run -o m.ipynb n.ipynb", 1, "m.ipynb is there already"},
		{"report -o= n.ipynb", 2, "empty"},
		{"install --dir=", 2, "empty"},
		{"remove --prefix=", 2, "empty"},
	} {
		status, out, bad := run(strings.Fields(c.args)...)
		if status != c.status || !strings.Contains(bad, c.says) || out != "" {
			t.Errorf("%s: status %d, want %d with %q\n%s%s", c.args, status, c.status, c.says, out, bad)
		}
		if c.status == 1 && strings.Contains(c.says, "already") && !strings.Contains(bad, "-o") {
			t.Errorf("%s: no advice in %s", c.args, bad)
		}
	}
	for name, text := range files {
		if textOf(t, home, name) != text {
			t.Errorf("%s was changed", name)
		}
	}
	if _, err := os.Stat(filepath.Join(home, "ran")); err == nil {
		t.Error("a notebook ran whose output had no place")
	}
}

// A link that leads to the notebook is the notebook.
func TestOutputThroughALink(t *testing.T) {
	home, run := bare(t)
	writeFiles(t, home, map[string]string{"n.ipynb": notebookText("n", "1")})
	before := textOf(t, home, "n.ipynb")
	if err := os.Symlink("n.ipynb", filepath.Join(home, "page.html")); err != nil {
		t.Skip("no symbolic links here:", err)
	}
	for _, args := range []string{"report -o page.html n.ipynb", "run -o page.html n.ipynb", "program -o page.html n.ipynb"} {
		if status, _, bad := run(strings.Fields(args)...); status != 2 || !strings.Contains(bad, "would replace the notebook") {
			t.Errorf("%s: status %d\n%s", args, status, bad)
		}
	}
	if textOf(t, home, "n.ipynb") != before {
		t.Error("the notebook was changed")
	}
}

func TestRunReplacesItsOwnCopiesAlone(t *testing.T) {
	home, run := bare(t)
	writeFiles(t, home, map[string]string{"a/n.ipynb": notebookText("n", "6 * 7"), "b/n.ipynb": notebookText("n", "1 + 1")})
	for range 2 {
		if status, _, bad := run("run", "-q", "-o", "out", "a/n.ipynb", "b/n.ipynb"); status != 0 || !strings.Contains(bad, "b/n.ipynb goes to out/n-2.ipynb") {
			t.Fatalf("status %d\n%s", status, bad)
		}
	}
	path := filepath.Join(home, "out", "n.ipynb")
	text := textOf(t, path)
	if !strings.Contains(text, `"42"`) || !strings.Contains(textOf(t, home, "out", "n-2.ipynb"), `"2"`) {
		t.Errorf("copies:\n%s", text)
	}
	changed := strings.Replace(text, "More.", "My own notes.", 1)
	if changed == text {
		t.Fatal("nothing to change in the copy")
	}
	os.WriteFile(path, []byte(changed), 0o644)
	if status, _, bad := run("run", "-q", "-o", "out/", "a/n.ipynb"); status != 1 || !strings.Contains(bad, "no unchanged output") {
		t.Errorf("status %d\n%s", status, bad)
	}
	if textOf(t, path) != changed {
		t.Error("a copy that a person changed was replaced")
	}
	// Stripped, a copy is an ordinary notebook.
	if status, _, bad := run("strip", "out/n-2.ipynb"); status != 0 {
		t.Errorf("strip: status %d\n%s", status, bad)
	}
	if status, _, _ := run("run", "-q", "-o", "out/n-2.ipynb", "b/n.ipynb"); status != 1 {
		t.Error("a stripped notebook was replaced")
	}
}

func TestProgramReplacesItsOwnAlone(t *testing.T) {
	home, run := bare(t)
	writeFiles(t, home, map[string]string{"n.ipynb": notebookText("n", "6 * 7")})
	for range 2 {
		if status, _, bad := run("program", "-o", "new/n.go", "n.ipynb"); status != 0 {
			t.Fatalf("status %d\n%s", status, bad)
		}
	}
	_, printed, _ := run("program", "n.ipynb")
	mark, body, _ := strings.Cut(textOf(t, home, "new", "n.go"), "\n\n")
	if body != printed || !strings.HasPrefix(printed, "package main") || !strings.HasSuffix(mark, "DO NOT EDIT.") {
		t.Errorf("file and standard output differ:\n%s\n%s", body, printed)
	}
}

func TestStripKeepsModeAndLink(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no such modes")
	}
	home, run := bare(t)
	full := strings.Replace(notebookText("n", "1"), `"outputs":[]`, `"outputs":[{"output_type":"stream","name":"stdout","text":["x"]}]`, 1)
	writeFiles(t, home, map[string]string{"far/n.ipynb": full})
	real := filepath.Join(home, "far", "n.ipynb")
	os.Chmod(real, 0o600)
	os.Symlink(filepath.Join("far", "n.ipynb"), filepath.Join(home, "link.ipynb"))
	if status, _, bad := run("strip", "link.ipynb"); status != 0 {
		t.Fatalf("status %d\n%s", status, bad)
	}
	if strings.Contains(textOf(t, real), "stdout") {
		t.Error("the link's target still has outputs")
	}
	if info := must(os.Stat(real)); info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v, was 0600", info.Mode())
	}
	if info := must(os.Lstat(filepath.Join(home, "link.ipynb"))); info.Mode()&os.ModeSymlink == 0 {
		t.Error("the link is a file of its own now")
	}
	if got := namesIn(t, home, "far"); !slices.Equal(got, []string{"n.ipynb"}) {
		t.Errorf("left behind: %q", got)
	}
}
