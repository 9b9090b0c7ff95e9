package repl

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
)

func TestShellCells(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	ev, err := New(dir)
	if err != nil {
		t.Fatal(err)
	}
	run := func(ctx context.Context, text string) execution.Outcome {
		return ev.Run(ctx, execution.Source{Name: "cell 1", Text: text})
	}
	ctx := context.Background()
	if out := run(ctx, "// make two\n$ echo one > a\n$ cat a a > b"); out.Failure != nil {
		t.Fatal(out.Failure)
	}
	if got, _ := os.ReadFile(filepath.Join(dir, "b")); string(got) != "one\none\n" {
		t.Errorf("b holds %q", got)
	}
	if out := run(ctx, "$ exit 3\n$ touch c"); out.Failure == nil || !strings.Contains(out.Failure.Value, "exit status 3") {
		t.Errorf("exit 3: %v", out.Failure)
	}
	if _, err := os.Stat(filepath.Join(dir, "c")); err == nil {
		t.Error("a line behind one that failed was run")
	}
}

// What a shell cell starts ends with the interrupt, and with the cell.
func TestShellChildrenEnd(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	ev, err := New(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		text      string
		interrupt bool
	}{
		{"$ (while true; do echo x >> alive; sleep 0.02; done) &\n$ sleep 100", true},
		{"$ (while true; do echo x >> alive; sleep 0.02; done) &\n$ sleep 0.3", false},
	} {
		ctx, cancel := context.WithCancel(context.Background())
		if c.interrupt {
			time.AfterFunc(300*time.Millisecond, cancel)
		}
		out := ev.Run(ctx, execution.Source{Name: "cell 1", Text: c.text})
		cancel()
		if (out.Failure != nil) != c.interrupt || c.interrupt && out.Failure.Name != "interrupted" {
			t.Errorf("%q: %v", c.text, out.Failure)
		}
		size := func() int64 {
			info, err := os.Stat(filepath.Join(dir, "alive"))
			if err != nil {
				t.Fatalf("%q: the child did not run: %v", c.text, err)
			}
			return info.Size()
		}
		before := size()
		time.Sleep(300 * time.Millisecond)
		if size() != before {
			t.Errorf("%q: its child goes on", c.text)
		}
	}
}

func TestDirectives(t *testing.T) {
	ev, err := New("")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ text, notice, failure string }{
		{"//bonnetbook:time\nx := 1", "cell 1 took ", ""},
		{"//bonnetbook:time\n$ true", "cell 1 took ", ""},
		{"x := 1\n//bonnetbook:time", "", "at the top"},
		{"//bonnetbook:fast\nx := 1", "", "no directive //bonnetbook:fast"},
		{"s := `\n//bonnetbook:fast`", "", ""},
	} {
		out := ev.Run(context.Background(), execution.Source{Name: "cell 1", Text: c.text})
		if got := strings.Join(out.Notices, "\n"); !strings.HasPrefix(got, c.notice) || (got == "") != (c.notice == "") {
			t.Errorf("%q: notices %q", c.text, got)
		}
		if (out.Failure == nil) != (c.failure == "") || out.Failure != nil && !strings.Contains(out.Failure.Value, c.failure) {
			t.Errorf("%q: %v", c.text, out.Failure)
		}
	}
}

func TestHelpCells(t *testing.T) {
	ev, err := New("")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ text, want string }{
		{"help", "help strings.Cut"},
		{"help strings.Cut", "func Cut(s"},
		{"help no.such", "nothing is known of no.such"},
		{"help len", "func len"},
	} {
		out := ev.Run(context.Background(), execution.Source{Name: "cell 1", Text: c.text})
		got := out.Result.Text()
		if out.Failure != nil {
			got = out.Failure.Value
		}
		if !strings.Contains(got, c.want) {
			t.Errorf("%q: %s", c.text, got)
		}
	}
}

// What other tools would know is answered by what to write here.
func TestForeignLines(t *testing.T) {
	ev, err := New("")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ text, want string }{
		{"!ls -l", "$ ls -l"},
		{"!ls", "$ ls"},
		{"ls", "$ ls"},
		{"ls -l", "$ ls -l"},
		{"ls *.csv", "$ ls *.csv"},
		{"pwd", "$ pwd"},
		{"%time f()", "//bonnetbook:time"},
		{"%%time\nx := 1", "//bonnetbook:time"},
		{"%timeit f()", "//bonnetbook:time"},
		{"%matplotlib inline", "a cell that says only help"},
		{"cd data", `os.Chdir("data")`},
		{"%cd data", `os.Chdir("data")`},
		{"pip install numpy", "go get PATH"},
		{"!pip install numpy", "go get PATH"},
		{"x := 1\ngo get example.org/x", "go get PATH"},
		{"strings.Fields?", "help strings.Fields"},
		{"?strings.Fields", "help strings.Fields"},
		{"Fields??", "help Fields"},
		{"from numpy import array", "import \"fmt\""},
		{"print x", "fmt.Println(x)"},
		{"x := 1\n$ ls", "a cell of their own"},
	} {
		out := ev.Run(context.Background(), execution.Source{Name: "cell 1", Text: c.text})
		if out.Failure == nil || !strings.Contains(out.Failure.Error(), c.want) {
			t.Errorf("%q: %v", c.text, out.Failure)
		}
	}
	// What is Go stays Go.
	for _, text := range []string{"ok := false\n!ok", "ls := 3\nls", "cd, x := 7, 2\ncd", "time := 3\nl := 1\nls - l", "help := 1\n(help)"} {
		if out := ev.Run(context.Background(), execution.Source{Name: "cell 1", Text: text}); out.Failure != nil {
			t.Errorf("%q: %v", text, out.Failure)
		}
	}
}

// A name is completed behind help, and nothing in a command line.
func TestCompleteInSpecialCells(t *testing.T) {
	ev, err := New("")
	if err != nil {
		t.Fatal(err)
	}
	ev.Run(context.Background(), execution.Source{Name: "cell 1", Text: "import \"strings\""})
	const text = "help strings.Cu"
	c := ev.Complete(text, len(text))
	if c.Start != len("help strings.") || len(c.Matches) == 0 || !strings.HasPrefix(c.Matches[0].Text, "Cut") {
		t.Errorf("behind help: %+v", c)
	}
	if c := ev.Complete("$ strings.Cu", 12); len(c.Matches) > 0 {
		t.Errorf("in a command line: %+v", c)
	}
	if _, ok := ev.Inspect("help strings.Cut", 16, 0); !ok {
		t.Error("nothing known of a name behind help")
	}
}
