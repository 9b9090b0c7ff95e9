// Package compiled builds programs of the suite with the Go compiler and runs
// them. Many programs go into one binary, each as a package of its own; their
// names have four letters like main, so that what they print of types has the
// same width.
package compiled

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/equality"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/program"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

// Program is a program to build and run.
type Program struct {
	Name string
	*equality.Program
	// Dir is the folder it runs in; empty for the present one.
	Dir string
	// Err tells after Build why the program could not be written or built.
	Err error

	pkg, binary string
}

// Build writes the programs and builds them in the folder work, with the
// dependencies of the module at root. Programs that fail get their Err.
func Build(root, work string, programs []*Program) error {
	root, err := filepath.Abs(root)
	if err != nil {
		return err
	}
	if err := writeModule(root, work); err != nil {
		return err
	}
	for i, p := range programs {
		p.pkg, p.binary = fmt.Sprintf("z%03x", i), filepath.Join(work, "programs")
		notebook, err := interpreter.New(interpreter.Options{Library: symbols.Default(), Dir: p.Dir})
		if err != nil {
			return err
		}
		written, err := program.Write(notebook, p.Cells, program.Options{Package: p.pkg, Entry: "Run", MayFail: p.MayFail})
		if err != nil {
			p.Err = err
			continue
		}
		if err := os.MkdirAll(filepath.Join(work, p.pkg), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(work, p.pkg, "program.go"), written.Source, 0o644); err != nil {
			return err
		}
	}
	return build(work, programs)
}

var errorLine = regexp.MustCompile(`(?m)^(?:\./)?(z[0-9a-f]{3})/program\.go:(.*)$`)

// build makes one binary of all programs, without those that the compiler
// refuses.
func build(work string, programs []*Program) error {
	for {
		if err := writeMain(work, programs); err != nil {
			return err
		}
		cmd := exec.Command("go", "build", "-o", "programs", ".")
		cmd.Dir = work
		// With cgo the runtime does not notice a deadlock.
		cmd.Env = append(os.Environ(), "CGO_ENABLED=0", "GOWORK=off")
		out, err := cmd.CombinedOutput()
		if err == nil {
			return nil
		}
		refused := false
		for _, m := range errorLine.FindAllStringSubmatch(string(out), -1) {
			for _, p := range programs {
				if p.pkg == m[1] && p.Err == nil {
					p.Err = fmt.Errorf("does not compile: %s", m[2])
					refused = true
				}
			}
		}
		if !refused {
			return fmt.Errorf("go build: %w\n%s", err, out)
		}
	}
}

// writeMain writes the program that runs the one named by its argument.
func writeMain(work string, programs []*Program) error {
	var imports, table strings.Builder
	for _, p := range programs {
		if p.Err == nil {
			fmt.Fprintf(&imports, "\t%q\n", "equality/"+p.pkg)
			fmt.Fprintf(&table, "\t%q: %s.Run,\n", p.pkg, p.pkg)
		}
	}
	text := "package main\n\nimport (\n\t\"os\"\n" + imports.String() + ")\n\nvar programs = map[string]func(){\n" + table.String() +
		"}\n\nfunc main() {\n\trun := programs[os.Args[1]]\n\tos.Args = os.Args[:1]\n\trun()\n}\n"
	return os.WriteFile(filepath.Join(work, "main.go"), []byte(text), 0o644)
}

// writeModule makes the folder a module with the project's dependencies.
func writeModule(root, work string) error {
	mod, err := os.ReadFile(filepath.Join(root, "go.mod"))
	if err != nil {
		return err
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

// Run runs a built program and returns what it printed, and its exit line
// where it did not end well.
func (p *Program) Run() (output, failure string) {
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, p.binary, p.pkg)
	var stdout, stderr bytes.Buffer
	cmd.Dir, cmd.Stdout, cmd.Stderr = p.Dir, &stdout, &stderr
	err := cmd.Run()
	rename := strings.NewReplacer("equality/"+p.pkg+".", "main.", p.pkg+".", "main.")
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
