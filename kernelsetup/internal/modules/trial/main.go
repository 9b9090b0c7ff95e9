//go:build unix

// Command trial fetches well-known modules, runs a few lines with each in a
// notebook and as a compiled program, and writes a table of the outcome. It
// needs the network and is run by hand:
//
//	go run ./kernelsetup/internal/modules/trial > kernelsetup/internal/modules/testdata/known.md
//
// With names, such as lo, it measures only those.
package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"log"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"time"
)

const cases = "kernelsetup/internal/modules/testdata/known"

func main() {
	log.SetFlags(0)
	dir, err := os.MkdirTemp("", "trial")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	program := filepath.Join(dir, "bonnetbook")
	if out, err := exec.Command("go", "build", "-o", program, "./kernelsetup").CombinedOutput(); err != nil {
		log.Fatalf("%v\n%s", err, out)
	}
	files, err := filepath.Glob(filepath.Join(cases, "*.txt"))
	if err != nil {
		log.Fatal(err)
	}
	empty := run(program, filepath.Join(dir, "empty"), `import "fmt"`+"\nfmt.Println()\n")
	fmt.Printf("# Well-known modules in a notebook\n\nWritten by `go run ./kernelsetup/internal/modules/trial`. Each runs the lines in\n`known` in a notebook beside a go.mod, and the same compiled; \"works\" is the same\noutput. Processor time and peak memory are of the whole process, start and the\npages of the program's file included: with nothing but fmt it takes %d ms and\n%d MB.\n\n| Module | Version | Works | Time, ms | Memory, MB |\n|---|---|---|---|---|\n",
		empty.time.Milliseconds(), empty.memory>>20)
	for _, f := range files {
		name := strings.TrimSuffix(filepath.Base(f), ".txt")
		if len(os.Args) > 1 && !slices.Contains(os.Args[1:], name) {
			continue
		}
		text, err := os.ReadFile(f)
		if err != nil {
			log.Fatal(err)
		}
		head, cell, _ := strings.Cut(string(text), "\n")
		module, version, _ := strings.Cut(head, " ")
		folder := filepath.Join(dir, name)
		want, err := compile(folder, module, version, cell)
		if err != nil {
			log.Fatalf("%s: %v", name, err)
		}
		got := run(program, folder, cell)
		verdict := "yes"
		if got.text != want {
			verdict = "no: " + strings.Join(strings.Fields(cmp.Or(got.fault, "it prints "+got.text)), " ")
		}
		fmt.Printf("| %s | %s | %s | %d | %d |\n", module, version, verdict, got.time.Milliseconds(), got.memory>>20)
	}
}

// compile makes a module that requires another, and runs the cell as a
// program of it.
func compile(folder, module, version, cell string) (string, error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return "", err
	}
	imports, rest, _ := strings.Cut(cell, "\n")
	declarations, body := split(rest)
	text := "package main\n\n" + imports + "\n\n" + declarations + "\nfunc main() {\n" + body + "}\n"
	if err := os.WriteFile(filepath.Join(folder, "main.go"), []byte(text), 0o644); err != nil {
		return "", err
	}
	var out []byte
	for _, args := range [][]string{{"mod", "init", "example.com/trial"}, {"get", module + "@" + version}, {"mod", "tidy"}, {"run", "."}} {
		cmd := exec.Command("go", args...)
		cmd.Dir = folder
		var errs strings.Builder
		cmd.Stderr = &errs
		var err error
		if out, err = cmd.Output(); err != nil {
			return "", fmt.Errorf("go %s: %v: %s", args[0], err, errs.String())
		}
	}
	return string(out), nil
}

// split takes a cell's functions and types, which begin their lines, from its
// statements.
func split(cell string) (declarations, statements string) {
	inside := false
	for line := range strings.Lines(cell) {
		begins := strings.HasPrefix(line, "func ") || strings.HasPrefix(line, "type ")
		if !inside && !begins {
			statements += line
			continue
		}
		declarations += line
		if begins {
			inside = strings.HasSuffix(line, "{\n")
		} else if strings.HasPrefix(line, "}") {
			inside = false
		}
	}
	return declarations, statements
}

type outcome struct {
	text, fault string
	time        time.Duration
	memory      int64
}

// run runs one cell in a notebook in a folder.
func run(program, folder, cell string) outcome {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		log.Fatal(err)
	}
	code := map[string]any{"cell_type": "code", "id": "c", "metadata": map[string]any{}, "outputs": []any{}, "execution_count": nil, "source": cell}
	data, err := json.Marshal(map[string]any{"cells": []any{code}, "metadata": map[string]any{}, "nbformat": 4, "nbformat_minor": 5})
	if err != nil {
		log.Fatal(err)
	}
	notebook, executed := filepath.Join(folder, "trial.ipynb"), filepath.Join(folder, "executed.ipynb")
	if err := os.WriteFile(notebook, data, 0o644); err != nil {
		log.Fatal(err)
	}
	cmd := exec.Command(program, "run", "-q", "-o", executed, notebook)
	failure := cmd.Run() // told by the cell
	o := outcome{time: cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()}
	if usage, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage); ok {
		o.memory = usage.Maxrss
		if runtime.GOOS != "darwin" { // there it is in bytes
			o.memory *= 1024
		}
	}
	data, err = os.ReadFile(executed)
	if err != nil {
		log.Fatal(failure, err)
	}
	var nb struct {
		Cells []struct {
			Outputs []struct {
				Text   any
				Evalue string
			}
		}
	}
	if err := json.Unmarshal(data, &nb); err != nil {
		log.Fatal(err)
	}
	for _, out := range nb.Cells[0].Outputs {
		switch text := out.Text.(type) {
		case string:
			o.text += text
		case []any:
			for _, line := range text {
				o.text += fmt.Sprint(line)
			}
		}
		o.fault += out.Evalue
	}
	return o
}
