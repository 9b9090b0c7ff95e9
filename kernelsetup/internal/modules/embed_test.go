package modules

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// What the patterns match is what the go command says that they do.
func TestEmbedded(t *testing.T) {
	files := map[string]string{
		"go.mod": "module example.com/main\ngo 1.26\n", "p/p.go": "", "p/a.txt": "a", "p/b.txt": "b", "p/.hidden": "h", "p/_under": "u",
		"p/with space.txt": "s", "p/tree/x.txt": "x", "p/tree/.dot/y.txt": "y", "p/tree/_u/z.txt": "z", "p/tree/deep/er/w.txt": "w",
		"p/other/go.mod": "module example.com/other\n", "p/other/file.txt": "f", "p/tree/inner/go.mod": "module example.com/inner\n", "p/tree/inner/v.txt": "v",
		"p/bare/.only": "", "p/.git/config": "g",
	}
	dir := lay(t, files)
	if err := os.Symlink("a.txt", filepath.Join(dir, "p", "link.txt")); err != nil {
		t.Log("no links here: ", err)
	}
	_, noGo := exec.LookPath("go")
	for _, patterns := range [][]string{
		{"a.txt"}, {"*.txt"}, {"tree"}, {"all:tree"}, {"tree/*"}, {"a.txt", "b.txt", "a.txt"}, {".hidden"}, {"_under"}, {"with space.txt"},
		{"*"}, {"nothing"}, {"."}, {"../p/a.txt"}, {"/a.txt"}, {"tree/"}, {"[a"}, {"other/file.txt"}, {"other"}, {"bare"}, {"all:bare"}, {".git"}, {".git/config"},
		{"link.txt"}, {"a.txt/x"}, {"tree/deep"}, {"?.txt"},
	} {
		got, err := Embedded(filepath.Join(dir, "p"), patterns)
		if noGo != nil {
			continue
		}
		var lines strings.Builder
		lines.WriteString("package p\n\nimport \"embed\"\n\n")
		for _, p := range patterns {
			lines.WriteString("//go:embed \"" + p + "\"\n")
		}
		lines.WriteString("var files embed.FS\n")
		os.WriteFile(filepath.Join(dir, "p", "p.go"), []byte(lines.String()), 0o644)
		cmd := exec.Command("go", "list", "-e", "-json=EmbedFiles,Error", "./p")
		cmd.Dir = dir
		out, failure := cmd.Output()
		if failure != nil {
			t.Fatalf("go list: %v", failure)
		}
		var listed struct {
			EmbedFiles []string
			Error      *struct{ Err string }
		}
		if err := json.Unmarshal(out, &listed); err != nil {
			t.Fatal(err)
		}
		switch {
		case listed.Error != nil && err == nil:
			t.Errorf("%q: %q, the go command says %s", patterns, got, listed.Error.Err)
		case listed.Error != nil:
			if _, want, _ := strings.Cut(listed.Error.Err, ": "); !strings.HasSuffix(listed.Error.Err, err.Error()) && !strings.HasPrefix(want, "cannot embed") {
				t.Errorf("%q: %v, the go command says %s", patterns, err, listed.Error.Err)
			}
		case err != nil:
			t.Errorf("%q: %v, the go command has %q", patterns, err, listed.EmbedFiles)
		case !slices.Equal(got, listed.EmbedFiles):
			t.Errorf("%q: %q, the go command has %q", patterns, got, listed.EmbedFiles)
		}
	}
}
