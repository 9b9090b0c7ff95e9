// Compile writes the suite's programs as ordinary Go, compiles and runs them,
// and stores what they print beside them.
//
//	go run ./kernelsetup/internal/equality/compile          # programs without output
//	go run ./kernelsetup/internal/equality/compile -all     # every program
//	go run ./kernelsetup/internal/equality/compile -check   # compare, write nothing
//
// Many programs go into one binary, each as a package of its own; their names
// have four letters like main, so that what they print has the same width.
package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/equality"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/library"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/program"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

func main() {
	all := flag.Bool("all", false, "compile every program, not only those without output")
	check := flag.Bool("check", false, "compare with the output that is stored")
	only := flag.String("only", "", "only programs whose section/name contains this")
	dir := flag.String("dir", "kernelsetup/internal/equality/testdata", "folder of the suite")
	notebooks := flag.String("notebooks", "notebooks", "folder of the notebooks that belong to the suite")
	keep := flag.Bool("keep", false, "keep the programs written, and say where")
	flag.Parse()
	if err := run(*dir, *notebooks, *only, *all || *check, *check, *keep); err != nil {
		fmt.Fprintln(os.Stderr, "compile:", err)
		os.Exit(1)
	}
}

// A build is one program on its way.
type build struct {
	key     string // section/name
	pkg     string
	program *equality.Program
	dir     string // where it runs; empty: here
}

func run(dir, notebooks, only string, all, check, keep bool) error {
	files, err := equality.Read(dir)
	if err != nil {
		return err
	}
	work, err := os.MkdirTemp("", "equality")
	if err != nil {
		return err
	}
	if keep {
		fmt.Println(work)
	} else {
		defer os.RemoveAll(work)
	}
	importer := library.NewImporter(symbols.Default())
	var wanted []*build
	for _, f := range files {
		for _, p := range f.Programs {
			wanted = append(wanted, &build{key: f.Section + "/" + p.Name, program: p})
		}
	}
	outputs := filepath.Join(dir, "notebooks")
	shipped, err := equality.ReadNotebooks(notebooks, outputs)
	if err != nil {
		return err
	}
	for _, p := range shipped {
		wanted = append(wanted, &build{key: "notebooks/" + p.Name, program: p, dir: notebooks})
	}
	var builds []*build
	failed := 0
	for _, b := range wanted {
		p := b.program
		if !strings.Contains(b.key, only) || !all && (p.Output != "" || p.Failure != "") {
			continue
		}
		b.pkg = fmt.Sprintf("z%03x", len(builds))
		written, err := program.Write(importer, p.Cells, program.Options{Package: b.pkg, Entry: "Run"})
		if err != nil {
			fmt.Fprintf(os.Stderr, "%s: %v\n", b.key, err)
			failed++
			continue
		}
		folder := filepath.Join(work, b.pkg)
		if err := os.MkdirAll(folder, 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(folder, "program.go"), written.Source, 0o644); err != nil {
			return err
		}
		builds = append(builds, b)
	}
	binary, err := compile(work, builds)
	if err != nil {
		return err
	}
	for _, b := range builds {
		if b.pkg == "" {
			failed++
			continue
		}
		output, failure := execute(binary, b)
		if check && (output != b.program.Output || failure != b.program.Failure) {
			fmt.Fprintf(os.Stderr, "%s: stored output differs\n", b.key)
			failed++
		}
		b.program.Output, b.program.Failure = output, failure
	}
	if !check {
		if err := store(files, shipped, outputs); err != nil {
			return err
		}
	}
	fmt.Printf("%d programs compiled, %d failed\n", len(builds), failed)
	if failed > 0 {
		return fmt.Errorf("%d programs failed", failed)
	}
	return nil
}

// store writes the outputs back.
func store(files []*equality.File, shipped []*equality.Program, outputs string) error {
	for _, f := range files {
		if err := os.WriteFile(f.Path, []byte(f.Text()), 0o644); err != nil {
			return err
		}
	}
	if err := os.MkdirAll(outputs, 0o755); err != nil {
		return err
	}
	for _, p := range shipped {
		if text := p.OutputText(); text != "" {
			if err := os.WriteFile(filepath.Join(outputs, p.Name+".txt"), []byte(text), 0o644); err != nil {
				return err
			}
		}
	}
	return nil
}

var errorLine = regexp.MustCompile(`(?m)^(?:\./)?(z[0-9a-f]{3})/program\.go:(.*)$`)

// compile builds one binary of all programs. Those that the compiler refuses
// are named and left out; their package name is emptied.
func compile(work string, builds []*build) (string, error) {
	root, err := os.Getwd()
	if err != nil {
		return "", err
	}
	if err := writeModule(root, work); err != nil {
		return "", err
	}
	binary := filepath.Join(work, "programs")
	for {
		var imports, table strings.Builder
		for _, b := range builds {
			if b.pkg != "" {
				fmt.Fprintf(&imports, "\t%q\n", "equality/"+b.pkg)
				fmt.Fprintf(&table, "\t%q: %s.Run,\n", b.pkg, b.pkg)
			}
		}
		text := "package main\n\nimport (\n\t\"os\"\n" + imports.String() + ")\n\nvar programs = map[string]func(){\n" + table.String() +
			"}\n\nfunc main() {\n\trun := programs[os.Args[1]]\n\tos.Args = os.Args[:1]\n\trun()\n}\n"
		if err := os.WriteFile(filepath.Join(work, "main.go"), []byte(text), 0o644); err != nil {
			return "", err
		}
		cmd := exec.Command("go", "build", "-o", binary, ".")
		cmd.Dir = work
		// With cgo the runtime does not notice a deadlock.
		cmd.Env = append(os.Environ(), "CGO_ENABLED=0")
		out, err := cmd.CombinedOutput()
		if err == nil {
			return binary, nil
		}
		refused := make(map[string]bool)
		for _, m := range errorLine.FindAllStringSubmatch(string(out), -1) {
			for _, b := range builds {
				if b.pkg == m[1] {
					fmt.Fprintf(os.Stderr, "%s: does not compile: %s\n", b.key, m[2])
					refused[b.pkg] = true
				}
			}
		}
		if len(refused) == 0 {
			return "", fmt.Errorf("go build: %w\n%s", err, out)
		}
		for _, b := range builds {
			if refused[b.pkg] {
				b.pkg = ""
			}
		}
	}
}

// writeModule makes the folder a module with the project's dependencies.
func writeModule(root, work string) error {
	mod, err := os.ReadFile(filepath.Join(root, "go.mod"))
	if err != nil {
		return fmt.Errorf("run from the module's root: %w", err)
	}
	const path = "github.com/bonnetbook/bonnetbook"
	text := strings.Replace(string(mod), "module "+path, "module equality", 1) +
		fmt.Sprintf("\nrequire %s v0.0.0\n\nreplace %s => %s\n", path, path, root)
	if err := os.WriteFile(filepath.Join(work, "go.mod"), []byte(text), 0o644); err != nil {
		return err
	}
	sum, err := os.ReadFile(filepath.Join(root, "go.sum"))
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(work, "go.sum"), sum, 0o644)
}

// execute runs one program and returns what it printed.
func execute(binary string, b *build) (output, failure string) {
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	cmd := exec.CommandContext(ctx, binary, b.pkg)
	var stdout, stderr bytes.Buffer
	cmd.Dir = b.dir
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	err := cmd.Run()
	rename := strings.NewReplacer("equality/"+b.pkg+".", "main.", b.pkg+".", "main.")
	output = rename.Replace(stdout.String())
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		first, _, _ := strings.Cut(rename.Replace(stderr.String()), "\n")
		failure = strings.TrimSpace(fmt.Sprintf("!!! exit %d: %s", exit.ExitCode(), first))
	} else if err != nil {
		failure = "!!! " + err.Error()
	}
	return output, failure
}
