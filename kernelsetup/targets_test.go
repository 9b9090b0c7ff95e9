package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// Every notebook gets a file of its own, also where a file system takes upper
// and lower case for one, and only the one that came second moves.
func TestPlan(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.Mkdir("there", 0o755); err != nil {
		t.Fatal(err)
	}
	linked := os.Symlink("there", "link") == nil
	for _, c := range []struct {
		out, notebooks, targets, index string
		notes                          int
	}{
		{"", "a.ipynb d/a.ipynb", "a.html d/a.html", "", 0},
		{"", "a.ipynb ./d/../a.ipynb", "a.html", "", 1},
		{"", "a a.ipynb", "a.html a-2.html", "", 1},
		{"f", "a.ipynb", "f", "", 0},
		{"f/", "a.ipynb", "f/a.html", "", 0},
		{"there", "a.ipynb", "there/a.html", "", 0},
		{"f.html", "a.ipynb b.ipynb", "f.html/a.html f.html/b.html", "f.html/index.html", 0},
		{"f", "1/a.ipynb 2/a.ipynb 3/a.ipynb", "f/a.html f/a-2.html f/a-3.html", "f/index.html", 2},
		{"f", "1/a.ipynb 2/a.ipynb a-2.ipynb", "f/a.html f/a-3.html f/a-2.html", "f/index.html", 1},
		{"f", "A.ipynb a.ipynb", "f/A.html f/a-2.html", "f/index.html", 1},
		{"f", "Index.ipynb b.ipynb", "f/Index-2.html f/b.html", "f/index.html", 1},
		{"f", "index.ipynb", "f", "", 0},
		{"f/", "index.ipynb", "f/index.html", "", 0},
	} {
		p, err := pages.plan(c.out, strings.Fields(c.notebooks))
		if err != nil {
			t.Errorf("%+v: %v", c, err)
			continue
		}
		var got []string
		for _, target := range p.targets {
			got = append(got, filepath.ToSlash(target.path))
		}
		if !slices.Equal(got, strings.Fields(c.targets)) || filepath.ToSlash(p.index) != c.index || len(p.notes) != c.notes {
			t.Errorf("%+v: targets %q, index %q, notes %q", c, got, p.index, p.notes)
		}
	}
	if linked {
		p, err := pages.plan("", []string{"there/a.ipynb", "link/a.ipynb"})
		if err != nil || len(p.targets) != 1 || len(p.notes) != 1 {
			t.Errorf("one notebook through a linked folder: %+v, %v", p, err)
		}
	}
	if names, _ := filepath.Glob("*"); len(names) > 2 {
		t.Errorf("planning left %q", names)
	}
}
