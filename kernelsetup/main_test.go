package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// asProgram makes the test binary be the program itself.
const asProgram = "BONNETBOOK_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
	}
	os.Exit(m.Run())
}

// bare runs a copy of the program with nothing in its environment but a home:
// no Jupyter, no Python, no Go.
func bare(t *testing.T) (home string, run func(args ...string) (status int, stdout, stderr string)) {
	t.Helper()
	if runtime.GOOS == "windows" {
		t.Skip("Windows starts no program without its environment")
	}
	home = t.TempDir()
	program := filepath.Join(home, "my programs", "bonnetbook")
	data, err := os.ReadFile(must(os.Executable()))
	if err != nil {
		t.Fatal(err)
	}
	os.Mkdir(filepath.Dir(program), 0o755)
	if err := os.WriteFile(program, data, 0o755); err != nil {
		t.Fatal(err)
	}
	return home, func(args ...string) (int, string, string) {
		c := exec.Command(program, args...)
		c.Env = []string{"HOME=" + home, "PATH=/nonexistent", asProgram + "=1"}
		c.Dir = home
		var out, bad strings.Builder
		c.Stdout, c.Stderr = &out, &bad
		c.Run()
		return c.ProcessState.ExitCode(), out.String(), bad.String()
	}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func TestCommandLine(t *testing.T) {
	_, run := bare(t)
	for _, c := range commands {
		for _, args := range [][]string{{c.name, "--help"}, {c.name, "-h"}, {"help", c.name}} {
			status, out, bad := run(args...)
			if status != 0 || bad != "" || !strings.HasPrefix(out, "usage: bonnetbook "+c.name) || !strings.Contains(out, c.what) {
				t.Errorf("%q: status %d\n%s%s", args, status, out, bad)
			}
		}
	}
	for _, c := range []struct {
		args   string
		status int
		out    string
		bad    string
	}{
		{"", 0, "bonnetbook report ", ""},
		{"--help", 0, "bonnetbook report ", ""},
		{"--version", 0, "bonnetbook 0.", ""},
		{"nosuch", 2, "", `no command "nosuch"`},
		{"help nosuch", 2, "", `no command "nosuch"`},
		{"run", 2, "", "usage: bonnetbook run "},
		{"report", 2, "", "at least one notebook"},
		{"strip", 2, "", "usage: bonnetbook strip "},
		{"program", 2, "", "want one notebook"},
		{"program a.ipynb b.ipynb", 2, "", "got 2"},
		{"kernel", 2, "", "bonnetbook install"},
		{"build-kernel", 2, "", "want modules or packages"},
		{"build-kernel -name Big example.com/a", 1, "", "cannot be the name of a kernel"},
		{"build-kernel -name bonnetbook example.com/a", 1, "", "is that of the first kernel"},
		{"remove a b", 2, "", "at most one name"},
		{"remove nosuch", 1, "", "nothing to remove: no kernel \"nosuch\""},
		{"list extra", 2, "", `takes no argument, got "extra"`},
		{"version -x", 2, "", "-x"},
		{"licences", 0, "gonum.org/v1/gonum ", ""},
		{"licences -full", 0, "SIL OPEN FONT LICENSE", ""},
		{"licences -json", 0, `"bomFormat": "CycloneDX"`, ""},
		{"licences -json -full", 2, "", "can't go together"},
		{"install --dir a --sys-prefix", 2, "", "exclude each other"},
		{"install --sys-prefix", 1, "", "no python3 on the PATH"},
		{"run nosuch.ipynb -q", 1, "", "nosuch.ipynb"},
		{"kernel nosuch.json", 1, "", "nosuch.json"},
	} {
		status, out, bad := run(strings.Fields(c.args)...)
		if status != c.status || !strings.Contains(out, c.out) || !strings.Contains(bad, c.bad) || c.bad == "" && bad != "" {
			t.Errorf("%q: status %d, want %d\nstdout %s\nstderr %s", c.args, status, c.status, out, bad)
		}
	}
}

func TestOnAnEmptyMachine(t *testing.T) {
	for _, dir := range []string{"/usr/local/share", "/usr/share"} {
		if _, err := os.Stat(dir + "/jupyter/kernels/bonnetbook"); err == nil {
			t.Skip("the kernel is registered for the whole machine")
		}
	}
	home, run := bare(t)
	expect := func(args string, status int, want ...string) {
		t.Helper()
		got, out, bad := run(strings.Fields(args)...)
		for _, w := range want {
			if !strings.Contains(out+bad, w) {
				t.Errorf("%s: no %q in\n%s%s", args, w, out, bad)
			}
		}
		if got != status {
			t.Errorf("%s: status %d, want %d\n%s%s", args, got, status, out, bad)
		}
	}
	program := `"` + filepath.Join(home, "my programs", "bonnetbook") + `"`
	expect("check", 1, "MISSING kernel", "Next: run: "+program+" install")
	expect("install", 0, filepath.Join(home), "Next: install Python 3", "report NOTEBOOK")
	expect("check", 0, "ok      kernel", "MISSING Jupyter", "Next: install Python 3")
	expect("list", 0, "Go (Bonnetbook)")
	expect("remove", 0, "Removed")
	expect("remove", 1, "nothing to remove")
	os.WriteFile(filepath.Join(home, "n.ipynb"), []byte(`{"cells":[{"cell_type":"code","execution_count":null,"metadata":{},"outputs":[],"source":"6 * 7"}],"metadata":{},"nbformat":4,"nbformat_minor":5}`), 0o644)
	expect("report n.ipynb -q -o page.html", 0)
	page, err := os.ReadFile(filepath.Join(home, "page.html"))
	if err != nil || !strings.Contains(string(page), ">42<") {
		t.Errorf("report: %v\n%.300s", err, page)
	}
}
