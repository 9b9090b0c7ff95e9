//go:build complexity

package pkg_test

import (
	"bytes"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// A function with more than 20 ways through it is taken apart; where that would
// make it harder to read, its comment says why on a line "complex: …", in at
// most six places. Counted by gocyclo; make check runs this.
func TestComplexity(t *testing.T) {
	const gocyclo, limit, most = "github.com/fzipp/gocyclo/cmd/gocyclo@v0.6.0", "20", 6
	cmd := exec.Command("go", "run", gocyclo, "-over", limit, "-ignore", `_test\.go$`, ".")
	var said, trouble bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &trouble
	// Its status is 1 where something is over; go run then adds a line.
	var exit *exec.ExitError
	if err := cmd.Run(); err != nil && (!errors.As(err, &exit) || said.Len() == 0) {
		t.Fatalf("gocyclo: %v\n%s", err, trouble.String())
	}
	over := regexp.MustCompile(`(?m)^(\d+) \S+ (.+) (\S+\.go):(\d+):\d+$`).FindAllStringSubmatch(said.String(), -1)
	if len(over) != strings.Count(said.String(), "\n") {
		t.Fatalf("gocyclo's output is not understood:\n%s", said.String())
	}
	for _, m := range over {
		if reason := reasonAt(t, m[3], m[4]); reason == "" {
			t.Errorf("%s:%s: %s has complexity %s: take it apart, or say why not on a line \"complex: …\" of its comment", m[3], m[4], m[2], m[1])
		}
	}
	if len(over) > most {
		t.Errorf("%d functions are above complexity %s, want at most %d", len(over), limit, most)
	}
}

// reasonAt returns what the comment of the function at a line says behind
// "complex:".
func reasonAt(t *testing.T, path, line string) string {
	t.Helper()
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, filepath.FromSlash(path), nil, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	at, err := strconv.Atoi(line)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range file.Decls {
		if f, ok := d.(*ast.FuncDecl); ok && set.Position(f.Pos()).Line == at {
			for text := range strings.Lines(f.Doc.Text()) {
				if reason, found := strings.CutPrefix(text, "complex:"); found {
					return strings.TrimSpace(reason)
				}
			}
		}
	}
	return ""
}
