//go:build proof

package equality_test

import (
	"os"
	"regexp"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/equality"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/equality/compiled"
)

// temporary finds the names of temporary folders: these differ in every run.
var temporary = regexp.MustCompile("(" + regexp.QuoteMeta(os.TempDir()) + "/[a-z]+)[0-9]+")

// The notebooks of this project print on the interpreter what they print as
// compiled programs, built here.
func TestNotebooksEqualCompiler(t *testing.T) {
	const dir = "../../../notebooks"
	notebooks, err := equality.ReadNotebooks(dir)
	if err != nil {
		t.Fatal(err)
	}
	if len(notebooks) == 0 {
		t.Fatal("no notebooks found")
	}
	var programs []*compiled.Program
	for _, p := range notebooks {
		programs = append(programs, &compiled.Program{Name: p.Name, Program: p, Dir: dir})
	}
	if err := compiled.Build("../../..", t.TempDir(), programs); err != nil {
		t.Fatal(err)
	}
	type result struct{ output, failure string }
	want := make(map[string]result)
	for _, p := range programs {
		if p.Err == nil {
			output, failure := p.Run()
			want[p.Name] = result{temporary.ReplaceAllString(output, "$1"), failure}
		}
	}
	t.Chdir(dir)
	for _, p := range programs {
		t.Run(p.Name, func(t *testing.T) {
			if p.Err != nil {
				t.Fatal(p.Err)
			}
			output, failure := run(t, p.Program)
			output = temporary.ReplaceAllString(output, "$1")
			if w := want[p.Name]; output != w.output {
				t.Errorf("printed\n%s\nthe compiled program printed\n%s", output, w.output)
			}
			if w := want[p.Name]; !sameFailure(failure, w.failure) {
				t.Errorf("ended with %q, the compiled program with %q", failure, w.failure)
			}
		})
	}
}
