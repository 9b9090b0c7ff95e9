package modules

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// lay writes files given as "name" and text in turn, below a new folder.
func lay(t *testing.T, files map[string]string) string {
	t.Helper()
	dir, err := filepath.EvalSymlinks(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	t.Setenv("GOMODCACHE", filepath.Join(dir, "cache"))
	t.Setenv("GOFLAGS", "")
	t.Setenv("GOWORK", "")
	t.Setenv("GOENV", "off")
	return dir
}

// cached adds a module to the files of a module cache.
func cached(files map[string]string, path, version, mod string, packages ...string) {
	files["cache/cache/download/"+path+"/@v/"+version+".mod"] = mod
	for _, p := range packages {
		files["cache/"+path+"@"+version+"/"+p+"x.go"] = "package x\n"
	}
}

func TestFind(t *testing.T) {
	files := map[string]string{
		"main/go.mod": "module example.com/main\ngo 1.26\nrequire (\nexample.com/a v1.0.0\nexample.com/Upper v1.0.0\nexample.com/gone v1.2.0\nexample.com/b v1.0.0\nexample.com/far v1.0.0\nexample.com/lost v1.0.0\n)\n" +
			"replace example.com/b v1.0.0 => example.com/c v1.1.0\nreplace example.com/far => ../far\nreplace example.com/lost => ../lost\n",
		"main/own/x.go":           "package own\n",
		"main/nested/go.mod":      "module example.com/main/nested\n",
		"main/nested/x.go":        "package nested\n",
		"main/onlytest/x_test.go": "package onlytest\n",
		"far/go.mod":              "module example.com/far\n",
		"far/p/x.go":              "package p\n",
	}
	cached(files, "example.com/a", "v1.0.0", "module example.com/a\ngo 1.20\nrequire example.com/deep v1.3.0\n", "", "sub/")
	cached(files, "example.com/deep", "v1.3.0", "module example.com/deep\ngo 1.20\nrequire example.com/deeper v1.0.0\n", "")
	cached(files, "example.com/!upper", "v1.0.0", "module example.com/Upper\n", "")
	cached(files, "example.com/c", "v1.1.0", "module example.com/b\ngo 1.22\n", "")
	cached(files, "example.com/gone", "v1.2.0", "module example.com/gone\n")
	cached(files, "example.com/deeper", "v1.0.0", "module example.com/deeper\n", "")
	dir := lay(t, files)
	tree, err := Open(filepath.Join(dir, "main", "own"))
	if err != nil {
		t.Fatal(err)
	}
	if tree.Here() != "example.com/main/own" {
		t.Errorf("here is %s", tree.Here())
	}
	for _, c := range []struct{ path, dir, module, language string }{
		{"example.com/main/own", "main/own", "example.com/main", "1.26"},
		{"example.com/a", "cache/example.com/a@v1.0.0", "example.com/a@v1.0.0", "1.20"},
		{"example.com/a/sub", "cache/example.com/a@v1.0.0/sub", "example.com/a@v1.0.0", "1.20"},
		{"example.com/deep", "cache/example.com/deep@v1.3.0", "example.com/deep@v1.3.0", "1.20"},
		{"example.com/Upper", "cache/example.com/!upper@v1.0.0", "example.com/Upper@v1.0.0", "1.16"},
		{"example.com/b", "cache/example.com/c@v1.1.0", "example.com/b@v1.0.0", "1.22"},
		{"example.com/far/p", "far/p", "example.com/far@v1.0.0", "1.16"},
	} {
		p, err := tree.Find(c.path)
		if err != nil {
			t.Errorf("%s: %v", c.path, err)
			continue
		}
		if p.Dir != filepath.Join(dir, filepath.FromSlash(c.dir)) || p.Module.Name() != c.module || p.Module.Go != c.language {
			t.Errorf("%s is in %s of %s, go %s", c.path, p.Dir, p.Module.Name(), p.Module.Go)
		}
		if own := !strings.HasPrefix(c.dir, "cache"); p.Module.Own != own {
			t.Errorf("%s: own is %v", c.path, p.Module.Own)
		}
	}
	for _, c := range []struct{ path, reason, command string }{
		{"example.com/gone", "module example.com/gone@v1.2.0 is required by go.mod, but it is not in the module cache", "go mod download example.com/gone"},
		{"example.com/never/heard", "no module that go.mod requires has package example.com/never/heard", "go get example.com/never/heard"},
		{"example.com/lost", "is replaced by the folder " + filepath.Join(dir, "lost"), ""},
		{"example.com/main/no", "is not in this module", ""},
		{"example.com/main/onlytest", "holds no Go files", ""},
		{"example.com/main/nested", "is not in this module", ""},
		// Behind a module of Go 1.17 or later the graph is pruned.
		{"example.com/deeper", "no module that go.mod requires has package example.com/deeper", "go get example.com/deeper"},
	} {
		_, err := tree.Find(c.path)
		e, ok := err.(*Error)
		if !ok || !strings.Contains(e.Reason, c.reason) || e.Command != c.command {
			t.Errorf("%s: %#v", c.path, err)
		}
	}
}

// The example of https://go.dev/ref/mod#minimal-version-selection: main needs
// A 1.2 and B 1.2; the build list has C 1.4 and D 1.2, though C 1.4 is not
// asked for by A.
func TestMinimalVersionSelection(t *testing.T) {
	files := map[string]string{"main/go.mod": "module example.com/main\ngo 1.16\nrequire (\nexample.com/a v1.2.0\nexample.com/b v1.2.0\n)\n"}
	need := func(list string) string {
		out := ""
		for r := range strings.FieldsSeq(list) {
			name, version, _ := strings.Cut(r, "@")
			out += "require example.com/" + name + " v" + version + "\n"
		}
		return out
	}
	for _, m := range []struct{ name, version, needs string }{
		{"a", "1.1.0", "c@1.2.0"}, {"a", "1.2.0", "c@1.3.0"},
		{"b", "1.1.0", "c@1.3.0"}, {"b", "1.2.0", "c@1.4.0"},
		{"c", "1.2.0", ""}, {"c", "1.3.0", "d@1.2.0"}, {"c", "1.4.0", "d@1.2.0"},
		{"d", "1.1.0", ""}, {"d", "1.2.0", ""},
	} {
		cached(files, "example.com/"+m.name, "v"+m.version, "module example.com/"+m.name+"\n"+need(m.needs), "")
	}
	tree, err := Open(filepath.Join(lay(t, files), "main"))
	if err != nil {
		t.Fatal(err)
	}
	for name, version := range map[string]string{"a": "v1.2.0", "b": "v1.2.0", "c": "v1.4.0", "d": "v1.2.0"} {
		if p, err := tree.Find("example.com/" + name); err != nil || p.Module.Version != version {
			t.Errorf("%s: %v, %v, want %s", name, p, err, version)
		}
	}
}

func TestVendor(t *testing.T) {
	files := map[string]string{
		"main/go.mod":                          "module example.com/main\ngo 1.26\nrequire example.com/a v1.0.0\n",
		"main/vendor/modules.txt":              "# example.com/a v1.0.0\n## explicit; go 1.21\nexample.com/a\nexample.com/a/empty\n# example.com/b v0.1.0\n## go 1.18\nexample.com/b/p\n",
		"main/vendor/example.com/a/x.go":       "package a\n",
		"main/vendor/example.com/a/rest/x.go":  "package rest\n",
		"main/vendor/example.com/b/p/x.go":     "package p\n",
		"cache/example.com/a@v1.0.0/x.go":      "package a\n",
		"cache/example.com/a@v1.0.0/rest/x.go": "package rest\n",
	}
	dir := lay(t, files)
	tree, err := Open(filepath.Join(dir, "main"))
	if err != nil {
		t.Fatal(err)
	}
	for path, language := range map[string]string{"example.com/a": "1.21", "example.com/b/p": "1.18"} {
		p, err := tree.Find(path)
		if err != nil || p.Dir != filepath.Join(dir, "main", "vendor", filepath.FromSlash(path)) || p.Module.Go != language {
			t.Errorf("%s: %+v, %v", path, p, err)
		}
	}
	for path, command := range map[string]string{
		"example.com/a/rest":  "go get example.com/a/rest && go mod vendor", // not listed
		"example.com/a/empty": "go mod vendor",
	} {
		if _, err := tree.Find(path); err == nil || err.(*Error).Command != command {
			t.Errorf("%s: %#v", path, err)
		}
	}
	t.Setenv("GOFLAGS", "-mod=mod -tags=one,two")
	tree, err = Open(filepath.Join(dir, "main"))
	if err != nil {
		t.Fatal(err)
	}
	if p, err := tree.Find("example.com/a/rest"); err != nil || p.Module.Vendored {
		t.Errorf("with -mod=mod: %+v, %v", p, err)
	}
	if tags := tree.Tags(); strings.Join(tags, " ") != "one two" {
		t.Errorf("tags %q", tags)
	}
	t.Setenv("GOFLAGS", "")
	os.WriteFile(filepath.Join(dir, "main", "go.mod"), []byte("module example.com/main\ngo 1.26\nrequire example.com/a v1.1.0\n"), 0o644)
	if _, err := Open(filepath.Join(dir, "main")); err == nil || !strings.Contains(err.Error(), "inconsistent vendoring: example.com/a@v1.1.0 is required by go.mod, but it is v1.0.0 in vendor/modules.txt") {
		t.Errorf("%v", err)
	}
}

func TestWorkspace(t *testing.T) {
	files := map[string]string{
		"go.work":      "go 1.26\nuse ./main\nuse ./other\nreplace example.com/c => ./c\n",
		"main/go.mod":  "module example.com/main\ngo 1.26\nrequire example.com/other v1.0.0\n",
		"other/go.mod": "module example.com/other\ngo 1.25\nrequire example.com/c v1.0.0\n",
		"other/p/x.go": "package p\n",
		"c/go.mod":     "module example.com/c\n",
		"c/x.go":       "package c\n",
		"alone/go.mod": "module example.com/alone\n",
		"alone/p/x.go": "package p\n",
	}
	dir := lay(t, files)
	tree, err := Open(filepath.Join(dir, "main"))
	if err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{"example.com/other/p": "other/p", "example.com/c": "c"} {
		if p, err := tree.Find(path); err != nil || p.Dir != filepath.Join(dir, filepath.FromSlash(want)) || !p.Module.Own {
			t.Errorf("%s: %+v, %v", path, p, err)
		}
	}
	if _, err := Open(filepath.Join(dir, "alone")); err == nil || !strings.Contains(err.Error(), "is not one of the workspace's") {
		t.Errorf("outside the workspace: %v", err)
	}
	t.Setenv("GOWORK", "off")
	if tree, err := Open(filepath.Join(dir, "alone")); err != nil || tree.Mains()[0].Path != "example.com/alone" {
		t.Errorf("GOWORK=off: %v, %v", tree, err)
	}
}

func TestNoModule(t *testing.T) {
	if tree, err := Open(t.TempDir()); tree != nil || err != nil {
		t.Errorf("%v, %v", tree, err)
	}
	dir := lay(t, map[string]string{"go.mod": "module example.com/x\nrequire (\n"})
	if _, err := Open(dir); err == nil {
		t.Error("a broken go.mod is read")
	}
}

func TestVisible(t *testing.T) {
	for _, c := range []struct {
		path, importer string
		want           bool
	}{
		{"a.com/m/internal/x", "a.com/m", true},
		{"a.com/m/internal/x", "a.com/m/p/q", true},
		{"a.com/m/internal", "a.com/m", true},
		{"a.com/m/internal/x", "a.com/mm", false},
		{"a.com/m/p/internal/x", "a.com/m", false},
		{"a.com/m/internals", "b.com", true},
	} {
		if got := Visible(c.path, c.importer); got != c.want {
			t.Errorf("%s from %s: %v", c.path, c.importer, got)
		}
	}
}
