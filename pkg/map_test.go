package pkg_test

import (
	"go/doc"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// rooms lists the folders of Go files below some folders of the project, by
// their paths from its root. Folders of test data are none.
func rooms(t *testing.T, below ...string) map[string]bool {
	t.Helper()
	all := map[string]bool{}
	for _, top := range below {
		err := filepath.WalkDir(filepath.Join("..", top), func(path string, d fs.DirEntry, err error) error {
			switch {
			case err != nil:
				return err
			case d.IsDir() && (d.Name() == "testdata" || strings.HasPrefix(d.Name(), "_")): // as the go command does
				return fs.SkipDir
			case !d.IsDir() && strings.HasSuffix(path, ".go"):
				folder, err := filepath.Rel("..", filepath.Dir(path))
				all[filepath.ToSlash(folder)] = true
				return err
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	delete(all, "pkg") // holds tests like this one only
	return all
}

func readText(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// fenced are the code blocks of a document: the recipes' own files and lines.
var fenced = regexp.MustCompile("(?ms)^```.*?^```$")

// described returns what a document says of each thing outside of code blocks:
// the first group of the expression names it, the second describes it. A name
// that stands twice fails.
func described(t *testing.T, path string, line *regexp.Regexp) map[string]string {
	t.Helper()
	all := map[string]string{}
	for _, m := range line.FindAllStringSubmatch(fenced.ReplaceAllString(readText(t, path), ""), -1) {
		if _, twice := all[m[1]]; twice {
			t.Errorf("%s describes %s twice", filepath.Base(path), m[1])
		}
		all[m[1]] = strings.TrimSpace(m[2])
	}
	return all
}

// sameNames fails where one of two sets holds what the other does not.
func sameNames[V, W any](t *testing.T, document string, says map[string]V, there map[string]W) {
	t.Helper()
	for name := range there {
		if _, ok := says[name]; !ok {
			t.Errorf("%s does not name %s: add a line that says what it is for", document, name)
		}
	}
	for name := range says {
		if _, ok := there[name]; !ok {
			t.Errorf("%s names %s, which does not exist", document, name)
		}
	}
}

// The map in DEVELOPERS.md has every room, and no other.
func TestMapNamesEveryRoom(t *testing.T) {
	line := regexp.MustCompile(`(?m)^    ((?:pkg|kernelsetup|internal)(?:/[a-z0-9]+)*) {2,}(\S.*)$`)
	sameNames(t, "the map in DEVELOPERS.md", described(t, "../DEVELOPERS.md", line), rooms(t, "pkg", "kernelsetup", "internal"))
}

// The table of the README has every package of the library that a user
// imports. Rooms of a package are not among them: the package gives their
// types under its own name.
func TestReadmeNamesEveryPackage(t *testing.T) {
	there := map[string]bool{}
	for path := range packages(t) {
		if !strings.Contains(path, string(filepath.Separator)) {
			there[path] = true
		}
	}
	_, table, found := strings.Cut(readText(t, "../README.md"), "## Packages\n")
	if !found {
		t.Fatal("README.md has no section \"Packages\"")
	}
	says := map[string]string{}
	for _, m := range regexp.MustCompile("(?m)^\\| `([a-z]+)` \\| (.+) \\|$").FindAllStringSubmatch(table, -1) {
		says[m[1]] = m[2]
	}
	sameNames(t, "the table of README.md", says, there)
}

// Every module that go.mod asks for itself has its reason in DEVELOPERS.md.
func TestEveryDependencyHasItsReason(t *testing.T) {
	direct := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^\t(\S+) v\S+( // indirect)?$`).FindAllStringSubmatch(readText(t, "../go.mod"), -1) {
		if m[2] == "" {
			direct[m[1]] = true
		}
	}
	if len(direct) == 0 {
		t.Fatal("no module found in go.mod")
	}
	line := regexp.MustCompile("(?m)^\\| `([a-z0-9.-]+\\.[a-z]+/\\S+)` \\| (.+) \\|$")
	sameNames(t, "the table of dependencies in DEVELOPERS.md", described(t, "../DEVELOPERS.md", line), direct)
}

// Every package of the library shows, in an example whose output is checked,
// what it is for.
func TestEveryPackageHasAnExample(t *testing.T) {
	for path := range packages(t) {
		if strings.HasPrefix(path, "recording"+string(filepath.Separator)) {
			continue // its rooms are used through it
		}
		tests, err := filepath.Glob(filepath.Join(path, "*_test.go"))
		if err != nil {
			t.Fatal(err)
		}
		checked := 0
		for _, file := range tests {
			f, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ParseComments)
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range doc.Examples(f) {
				if strings.TrimSpace(e.Output) != "" {
					checked++
				}
			}
		}
		if checked == 0 {
			t.Errorf("%s has no example with an \"Output:\" comment", path)
		}
	}
}

// The table of the README has every notebook, by its number.
func TestReadmeNamesEveryNotebook(t *testing.T) {
	files, err := filepath.Glob("../notebooks/[0-9][0-9]_*.ipynb")
	if err != nil || len(files) == 0 {
		t.Fatalf("%d notebooks, %v", len(files), err)
	}
	there := map[string]bool{}
	for _, f := range files {
		if !strings.HasSuffix(f, ".executed.ipynb") {
			there[filepath.Base(f)[:2]] = true
		}
	}
	sameNames(t, "the table of notebooks in README.md", described(t, "../README.md", regexp.MustCompile(`(?m)^\| ([0-9]{2}) [^|]+ \| (.+) \|$`)), there)
}
