package toolchain

import (
	"bytes"
	"context"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

func TestGets(t *testing.T) {
	for _, c := range []struct {
		cell, rest string
		want       []Get
	}{
		{"go get example.com/a", "// go get example.com/a", []Get{{1, []string{"example.com/a"}}}},
		{"// fetch\n\n go get -u example.com/a@v1.2.0  example.com/b // two\nimport \"example.com/a\"\n", "// fetch\n\n//  go get -u example.com/a@v1.2.0  example.com/b // two\nimport \"example.com/a\"\n",
			[]Get{{3, []string{"-u", "example.com/a@v1.2.0", "example.com/b"}}}},
		{"go get example.com/a\r\ngo get ./...\r\nx", "// go get example.com/a\r\n// go get ./...\r\nx", []Get{{1, []string{"example.com/a"}}, {2, []string{"./..."}}}},
		{"x := 1\ngo get example.com/a", "", nil},
		{"s := `\ngo get example.com/a\n`", "", nil},
		{"go get(1)", "", nil},
		{"go get (1)", "", nil},
		{"go get.it(1)", "", nil},
		{"go get", "", nil},
	} {
		rest := c.rest
		if rest == "" {
			rest = c.cell
		}
		if got, r := Gets(c.cell); !reflect.DeepEqual(got, c.want) || r != rest {
			t.Errorf("%q: %v, %q", c.cell, got, r)
		}
		// What is taken for a line of this kind is no Go, so that nothing that
		// meant something before means something else now.
		if _, err := parser.ParseFile(token.NewFileSet(), "", "package p; func _() {"+c.cell+"\n}", 0); c.want != nil && err == nil {
			t.Errorf("%q is Go", c.cell)
		}
	}
}

// A module of a folder is fetched, without a network; outside a module
// nothing is done.
func TestGet(t *testing.T) {
	if _, err := Find(); err != nil {
		t.Skip(err)
	}
	dir := t.TempDir()
	write := func(name, text string) {
		os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o755)
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	get := func(args ...string) (string, error) {
		var out bytes.Buffer
		err := Get{1, args}.Run(context.Background(), filepath.Join(dir, "main"), &out)
		return out.String(), err
	}
	write("main/x.txt", "")
	if _, err := get("example.com/a"); err == nil || !strings.Contains(err.Error(), "go mod init") {
		t.Errorf("outside a module: %v", err)
	}
	if _, err := os.Stat(filepath.Join(dir, "main", "go.mod")); err == nil {
		t.Error("a go.mod was made unasked")
	}
	t.Setenv("GOFLAGS", "-mod=mod")
	t.Setenv("GOPROXY", "off")
	write("main/go.mod", "module example.com/main\n\ngo 1.24\n\nreplace example.com/a => ../a\n")
	write("a/go.mod", "module example.com/a\n")
	write("a/a.go", "package a\n")
	if out, err := get("example.com/a"); err != nil || !strings.Contains(out, "added example.com/a") {
		t.Errorf("%v\n%s", err, out)
	}
	if text, _ := os.ReadFile(filepath.Join(dir, "main", "go.mod")); !strings.Contains(string(text), "require example.com/a") {
		t.Errorf("go.mod is\n%s", text)
	}
	if _, err := get("-toolexec=x", "example.com/a"); err == nil {
		t.Error("a flag that runs programs is accepted")
	}
	if out, err := get("example.com/none"); err == nil {
		t.Errorf("a module that is nowhere was fetched: %s", out)
	}
	t.Setenv("PATH", t.TempDir())
	if _, err := Find(); err == nil {
		t.Log("Go is found where it is usually installed")
	}
}
