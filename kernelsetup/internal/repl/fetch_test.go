package repl

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/toolchain"
)

// A cell that begins with go get fetches a module and goes on with it; where
// that fails the rest does not run.
func TestGetInACell(t *testing.T) {
	if _, err := toolchain.Find(); err != nil {
		t.Skip(err)
	}
	t.Setenv("GOFLAGS", "-mod=mod")
	t.Setenv("GOPROXY", "off")
	t.Setenv("GOWORK", "off")
	dir := t.TempDir()
	for name, text := range map[string]string{
		"main/go.mod": "module example.com/main\n\ngo 1.24\n\nreplace example.com/a => ../a\n", "a/go.mod": "module example.com/a\n", "a/a.go": "package a\n\nconst Answer = \"forty\"\n",
	} {
		os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o755)
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	ev, err := New(filepath.Join(dir, "main"))
	if err != nil {
		t.Fatal(err)
	}
	run := func(text string) execution.Outcome {
		return ev.Run(context.Background(), execution.Source{Name: "cell 1", Text: text})
	}
	if out := run("import \"example.com/a\""); out.Failure == nil {
		t.Error("a module was fetched unasked")
	}
	out := run("x := 1\nx")
	if out = run("go get example.com/none\nx = 2"); out.Failure == nil || !strings.Contains(out.Failure.Error(), "cell 1, line 1: go get example.com/none") {
		t.Errorf("%v", out.Failure)
	}
	if out = run("// fetch it\ngo get example.com/a\nimport \"example.com/a\"\na.Answer"); out.Failure != nil || out.Result["text/plain"] != `"forty"` {
		t.Errorf("%v, %v", out.Failure, out.Result)
	}
	if out = run("x"); out.Failure != nil || out.Result["text/plain"] != "1" {
		t.Errorf("%v, %v", out.Failure, out.Result)
	}
	if out = run("go get example.com/a\nx +"); out.Failure == nil || !strings.Contains(out.Failure.Error(), "line 2") {
		t.Errorf("%v", out.Failure)
	}
	if c, _ := ev.Completeness("go get example.com/a"); c != execution.Complete {
		t.Errorf("completeness is %s", c)
	}
}
