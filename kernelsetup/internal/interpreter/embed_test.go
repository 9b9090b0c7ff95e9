package interpreter

import (
	"strings"
	"testing"
	"time"

	"os"
	"path/filepath"
)

const labelSource = `package label

import "embed"

//go:embed name.txt
var Name string

type raw []byte

var (
	// Bytes has two lines between it and its file.

	//go:embed "tree/with space.txt"
	// A remark.
	Bytes raw

	//go:embed tree/*
	//go:embed name.txt
	Tree embed.FS
)

// Long depends on Name when it is initialised.
var Long = len(Name)
`

// Variables of packages hold the files that //go:embed names, as when they are
// compiled, and are read anew when these change.
func TestEmbed(t *testing.T) {
	nb, dir := moduleNotebook(t, map[string]string{
		"label/label.go": labelSource, "label/name.txt": "wheel", "label/tree/with space.txt": "bolt", "label/tree/deep/a.txt": "nut", "label/tree/deep/.b": "hidden",
	})
	nb.ok("import (\"fmt\"; \"io/fs\"; \"example.com/garage/label\")\n" +
		`func list() (s string) { fs.WalkDir(label.Tree, ".", func(p string, d fs.DirEntry, err error) error { s += p + " "; return err }); return s }`)
	for _, c := range []struct{ src, want string }{
		{"label.Name", "wheel"},
		{"label.Long", "5"},
		{"string(label.Bytes)", "bolt"},
		{"list()", ". name.txt tree tree/deep tree/deep/a.txt tree/with space.txt "},
		{"data, err := label.Tree.ReadFile(\"tree/deep/a.txt\")\nfmt.Sprint(string(data), err)", "nut<nil>"},
	} {
		if got := nb.value(c.src); got != c.want {
			t.Errorf("%s is %s, want %s", c.src, got, c.want)
		}
	}
	write(t, dir, "label/name.txt", "hubcap")
	later := time.Now().Add(2 * time.Second)
	os.Chtimes(filepath.Join(dir, "label", "name.txt"), later, later)
	if got := nb.value("import \"example.com/garage/label\"\nlabel.Name"); got != "hubcap" {
		t.Errorf("after the file has changed: %s", got)
	}
}

// What cannot be embedded is refused at the line, in the compiler's words.
func TestEmbedErrors(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"import \"embed\"\n//go:embed none.txt\nvar S string\nvar _ embed.FS", "label/label.go:3:1: package example.com/garage/label: pattern none.txt: no matching files found"},
		{"import _ \"embed\"\n//go:embed *.txt\nvar S string", "invalid go:embed: multiple files for type string"},
		{"import _ \"embed\"\n//go:embed a.txt\nvar N int", "go:embed cannot apply to var of type int"},
		{"import _ \"embed\"\n//go:embed a.txt\nvar S = \"x\"", "go:embed cannot apply to var with initializer"},
		{"import _ \"embed\"\n//go:embed a.txt\nvar S, T string", "go:embed cannot apply to multiple vars"},
		{"import _ \"embed\"\n//go:embed a.txt\nfunc f() {}", "misplaced go:embed directive"},
		{"//go:embed a.txt\nvar S string", "go:embed only allowed in Go files that import \"embed\""},
		{"import _ \"embed\"\n//go:embed\nvar S string", "usage: //go:embed pattern..."},
	} {
		nb, _ := moduleNotebook(t, map[string]string{"label/label.go": "package label\n" + c.text + "\n", "label/a.txt": "", "label/b.txt": ""})
		r := nb.run("import _ \"example.com/garage/label\"", 0)
		if r.Err == nil || !strings.Contains(r.Err.Error(), c.want) {
			t.Errorf("%q: %v, want %s", c.text, r.Err, c.want)
		}
	}
}

// In a cell it is refused, but as the text of a string.
func TestEmbedInACell(t *testing.T) {
	nb := newNotebook(t)
	r := nb.run("import _ \"embed\"\n\n//go:embed name.txt\nvar Name string", 0)
	if r.Err == nil || r.Err.Kind != Unsupported || r.Err.Line != 3 || !strings.Contains(r.Err.Hint, "os.ReadFile") {
		t.Errorf("%+v", r.Err)
	}
	if got := nb.value("s := `\n//go:embed name.txt\n`\nlen(s)"); got != "21" {
		t.Errorf("%s", got)
	}
}
