//go:build proof

// Package gotest runs the "// run" programs of the Go distribution's own test
// folder as cells.
//
//	go test -tags proof -timeout 30m ./kernelsetup/internal/interpreter/gotest
//
// testdata/known.txt lists the programs that are known to fail: one more is an
// error. The programs are those of an installed Go, whichever release this
// test is built with: toolchains that the go command downloads carry none.
// BONNETBOOK_GO_TESTS names their folder where it is not found. With -update
// testdata/result_go1.N.txt, every failure with its class and its first line of
// output, is written anew; the list is kept by hand.
package gotest

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

var update = flag.Bool("update", false, "store the programs that fail")

// asCell makes the test binary run one program and end as the program would.
const asCell = "BONNETBOOK_GOTEST_PROGRAM"

func TestMain(m *testing.M) {
	if name := os.Getenv(asCell); name != "" {
		os.Exit(runProgram(name))
	}
	os.Exit(m.Run())
}

func runProgram(name string) int {
	e, err := interpreter.New(interpreter.Options{Library: symbols.Default()})
	if err != nil {
		fmt.Println(err)
		return 1
	}
	text, err := os.ReadFile(name)
	if err != nil {
		fmt.Println(err)
		return 1
	}
	os.Args = os.Args[:1]
	ctx, cancel := context.WithTimeout(context.Background(), 150*time.Second)
	defer cancel()
	r := e.Execute(ctx, interpreter.Cell{Name: filepath.Base(name), Source: string(text)})
	switch {
	case r.Err == nil:
		return 0
	case r.Err.Kind == interpreter.Exit:
		return r.Err.Code
	}
	fmt.Println(r.Err.Traceback())
	return 1
}

// class says why a program cannot be expected to run in a cell; "" for those
// that must.
func class(name, text, directive string) string {
	switch {
	case len(strings.Fields(directive)) > 2:
		return "flags or arguments"
	case regexp.MustCompile(`(?m)^import "C"|"runtime/cgo"|"syscall`).MatchString(text):
		return "cgo, system calls"
	case strings.Contains(text, `"os/exec"`):
		return "runs the go command"
	case regexp.MustCompile(`runtime\.(Caller|Callers|FuncForPC|Stack|SetFinalizer|AddCleanup|ReadMemStats|MemProfile|CallersFrames|NumGoroutine)|debug\.Stack|AllocsPerRun|PrintStack`).MatchString(text):
		return "inspects the run time: stacks, finalizers, allocations"
	case strings.HasSuffix(name, "typeparam/nested.go"):
		return "prints the compiler's own names of local types"
	case strings.HasSuffix(name, "/test/nilptr.go"):
		return "wants its variables at the linker's addresses"
	case strings.HasSuffix(name, "/recover.go"):
		return "recovers through package reflect"
	}
	return ""
}

// goRoot is where the go command of this release is.
var goRoot = sync.OnceValue(func() string {
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		panic(err)
	}
	return strings.TrimSpace(string(root))
})

// testFolder finds the folder of an installed Go's own tests.
func testFolder(t *testing.T) string {
	folders := []string{os.Getenv("BONNETBOOK_GO_TESTS"), filepath.Join(runtime.GOROOT(), "test")}
	cmd := exec.Command("go", "env", "GOROOT")
	cmd.Dir, cmd.Env = os.TempDir(), append(os.Environ(), "GOTOOLCHAIN=local")
	if root, err := cmd.Output(); err == nil {
		folders = append(folders, filepath.Join(strings.TrimSpace(string(root)), "test"))
	}
	for _, f := range folders {
		if _, err := os.Stat(filepath.Join(f, "ken")); f != "" && err == nil {
			return f
		}
	}
	t.Fatal("the programs of Go's own test folder are needed: install Go from https://go.dev/dl, or name the folder by BONNETBOOK_GO_TESTS")
	return ""
}

// knownFile is the list of programs that fail, a name a line; behind it the
// releases in which it does, where these are not all.
const knownFile = "testdata/known.txt"

// readKnown returns the programs that are known to fail with this release.
func readKnown(t *testing.T) map[string]bool {
	text, err := os.ReadFile(knownFile)
	if err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{}
	for line := range strings.Lines(string(text)) {
		f := strings.Fields(line)
		if len(f) > 0 && f[0] != "#" && (len(f) == 1 || slices.Contains(f[1:], abi.Release)) {
			known[f[0]] = true
		}
	}
	return known
}

func TestGoRunPrograms(t *testing.T) {
	root := testFolder(t)
	var files []string
	for _, dir := range []string{"", "ken", "chan", "interface", "typeparam", "fixedbugs"} {
		list, _ := filepath.Glob(filepath.Join(root, dir, "*.go"))
		files = append(files, list...)
	}
	type outcome struct{ name, class, got string }
	var mu sync.Mutex
	var wg sync.WaitGroup
	var failed []outcome
	total, passed, must, mustPassed := 0, 0, 0, 0
	slots := make(chan struct{}, runtime.NumCPU())
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		directive := regexp.MustCompile(`(?m)^// run\b.*$`).FindString(head(text))
		if directive == "" || strings.HasPrefix(directive, "// rundir") || strings.HasPrefix(directive, "// runoutput") {
			continue
		}
		wg.Add(1)
		slots <- struct{}{}
		go func() {
			defer func() { <-slots; wg.Done() }()
			got := execute(f)
			name, _ := filepath.Rel(root, f)
			c := class(f, string(text), directive)
			mu.Lock()
			defer mu.Unlock()
			total++
			if c == "" {
				must++
			}
			if got == "" {
				passed++
				if c == "" {
					mustPassed++
				}
				return
			}
			failed = append(failed, outcome{name, c, got})
		}()
	}
	wg.Wait()
	slices.SortFunc(failed, func(a, b outcome) int { return strings.Compare(a.class+a.name, b.class+b.name) })
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %d of %d programs pass (%.1f %%); of the %d that need neither flags nor the run time's internals, %d pass (%.1f %%)\n",
		runtime.Version(), passed, total, percent(passed, total), must, mustPassed, percent(mustPassed, must))
	fmt.Fprintf(&b, "Made by: go test -tags proof -timeout 30m ./kernelsetup/internal/interpreter/gotest\n")
	last := "-"
	for _, f := range failed {
		if f.class != last {
			last = f.class
			fmt.Fprintf(&b, "\n## %s\n", map[bool]string{true: "fails, no excuse", false: f.class}[f.class == ""])
		}
		fmt.Fprintf(&b, "%s: %s\n", f.name, f.got)
	}
	here, err := filepath.Abs(filepath.Join("..", "..", "..", ".."))
	if err != nil {
		t.Fatal(err)
	}
	result := strings.ReplaceAll(b.String(), here+string(filepath.Separator), "") // no paths of this machine
	if *update {
		if err := os.WriteFile("testdata/result_go"+abi.Release+".txt", []byte(result), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	known := readKnown(t)
	for _, f := range failed {
		// A loaded machine may have been too slow: once more, alone.
		if !known[f.name] && execute(filepath.Join(root, f.name)) != "" {
			t.Errorf("fails and did not: %s: %s", f.name, f.got)
		}
		delete(known, f.name)
	}
	for name := range known {
		t.Logf("passes and did not: %s", name)
	}
	t.Log(strings.SplitN(b.String(), "\n", 2)[0])
	if percent(mustPassed, must) < 95 {
		t.Errorf("%.1f %% of the programs that should run pass, want 95 %%", percent(mustPassed, must))
	}
}

func percent(n, of int) float64 { return 100 * float64(n) / float64(of) }

func head(text []byte) string {
	lines := strings.SplitN(string(text), "\n", 8)
	return strings.Join(lines[:min(6, len(lines))], "\n")
}

// execute runs a program and says in one line what was wrong.
func execute(name string) string {
	ctx, cancel := context.WithTimeout(context.Background(), 180*time.Second)
	defer cancel()
	cmd := exec.CommandContext(ctx, os.Args[0])
	// A test built with -trimpath does not know where Go is: that of this release,
	// which need not be the one that the programs came with.
	cmd.Env = append(os.Environ(), asCell+"="+name, "GOROOT="+goRoot())
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	err := cmd.Run()
	want, _ := os.ReadFile(strings.TrimSuffix(name, ".go") + ".out")
	switch {
	case ctx.Err() != nil:
		return "does not end"
	case err == nil && bytes.Equal(out.Bytes(), want):
		return ""
	}
	line, _, _ := strings.Cut(out.String(), "\n")
	if err == nil {
		line = "wrong output: " + line
	}
	return strings.TrimSpace(line)
}
