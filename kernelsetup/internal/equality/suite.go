// Package equality holds programs in the form of cells with the output that
// the compiler's program gives, and runs them on the interpreter: the two must be
// equal.
//
// A file of the suite is a list of programs:
//
//	=== name
//	first cell
//	---
//	second cell
//	>>>
//	what the compiled program prints
//
// Lines before the first program that do not begin with # are a first cell of
// every program in the file: its imports.
//
// The part after >>> is written by package compile (make equality), never by
// hand. It ends in a line that begins with "!!! exit" where the program does
// not end well, with the exit code and the first line on its error output. It
// holds for every Go release that no part of its own follows for, which begins
// with >>> and the release: ">>> 1.27".
package equality

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
)

// A Program is a list of cells and what they print.
type Program struct {
	Name  string
	Cells []string
	// Outcome is what the compiled program did, as built with the Go release
	// in use.
	Outcome
	// other holds the outcomes by release; the key of the one for all others
	// is empty.
	outcomes map[string]Outcome
	// MayFail tells for each cell whether the cells behind it run even where
	// it fails; nil: none.
	MayFail []bool
}

// An Outcome is what a program printed and its exit line, which is empty where
// it ended well.
type Outcome struct{ Output, Failure string }

// baseRelease is the Go release whose outcomes hold for all others, too.
const baseRelease = "1.26"

// Record keeps an outcome for the Go release in use.
func (p *Program) Record(o Outcome) {
	p.Outcome = o
	switch {
	case abi.Release == baseRelease:
		p.outcomes[""] = o
	case o == p.outcomes[""]:
		delete(p.outcomes, abi.Release)
	default:
		p.outcomes[abi.Release] = o
	}
}

// A File is one file of the suite.
type File struct {
	// Path is where it was read from, Section its name without extension.
	Path, Section string
	// Head is what stands before the first program.
	Head     string
	Programs []*Program
}

// Read returns the files of a folder, sorted by name.
func Read(dir string) ([]*File, error) {
	paths, err := filepath.Glob(filepath.Join(dir, "*.cells"))
	if err != nil {
		return nil, err
	}
	var files []*File
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			return nil, err
		}
		f, err := parse(string(data))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		f.Path, f.Section = path, strings.TrimSuffix(filepath.Base(path), ".cells")
		files = append(files, f)
	}
	return files, nil
}

// ReadNotebooks returns the code cells of a folder's notebooks as programs
// without output. They run in the notebooks' folder.
func ReadNotebooks(dir string) ([]*Program, error) {
	paths, err := filepath.Glob(filepath.Join(dir, "*.ipynb"))
	if err != nil {
		return nil, err
	}
	var programs []*Program
	for _, path := range paths {
		if strings.Count(filepath.Base(path), ".") > 1 {
			continue // a copy made by running it
		}
		n, err := nbformat.ReadFile(path)
		if err != nil {
			return nil, err
		}
		p := &Program{Name: strings.TrimSuffix(filepath.Base(path), ".ipynb")}
		for _, c := range n.Cells {
			if c.Kind() == nbformat.Code {
				p.Cells = append(p.Cells, c.Source())
				p.MayFail = append(p.MayFail, c.HasTag("raises-exception"))
			}
		}
		programs = append(programs, p)
	}
	return programs, nil
}

const noNewline = "\\ no end of line\n"

func parse(text string) (*File, error) {
	f := new(File)
	names := make(map[string]bool)
	head, rest, found := strings.Cut("\n"+text, "\n=== ")
	f.Head = strings.TrimPrefix(head, "\n")
	prelude := f.prelude()
	for found {
		var part string
		part, rest, found = strings.Cut(rest, "\n=== ")
		if !found {
			part = strings.TrimSuffix(part, "\n")
		}
		name, body, _ := strings.Cut(part+"\n", "\n")
		p := &Program{Name: strings.TrimSpace(name)}
		if names[p.Name] {
			return nil, fmt.Errorf("two programs are named %s", p.Name)
		}
		names[p.Name] = true
		source, output, _ := strings.Cut("\n"+body, "\n>>>\n")
		p.Cells = slices.Clone(prelude)
		for _, cell := range strings.Split(source, "\n---\n") {
			p.Cells = append(p.Cells, strings.Trim(cell, "\n")+"\n")
		}
		p.setOutputs(output)
		f.Programs = append(f.Programs, p)
	}
	return f, nil
}

// setOutputs reads what follows the first >>>.
func (p *Program) setOutputs(text string) {
	p.outcomes = map[string]Outcome{}
	release := ""
	for {
		part, rest, found := strings.Cut("\n"+text, "\n>>> ")
		if found && part != "" {
			part += "\n"
		}
		p.outcomes[release] = readOutcome(strings.TrimPrefix(part, "\n"))
		if !found {
			break
		}
		release, text, _ = strings.Cut(rest, "\n")
	}
	var ok bool
	if p.Outcome, ok = p.outcomes[abi.Release]; !ok {
		p.Outcome = p.outcomes[""]
	}
}

func readOutcome(output string) (o Outcome) {
	if i := strings.Index("\n"+output, "\n!!! "); i >= 0 {
		o.Failure = strings.TrimSpace(output[i:])
		output = output[:i]
	}
	o.Output = output
	if before, ok := strings.CutSuffix(output, "\n"+noNewline); ok {
		o.Output = before
	}
	return o
}

// outcomesText writes what follows the first >>>.
func (p *Program) outcomesText() string {
	text := p.outcomes[""].text()
	for _, release := range slices.Sorted(maps.Keys(p.outcomes)) {
		if release != "" {
			text += ">>> " + release + "\n" + p.outcomes[release].text()
		}
	}
	return text
}

func (o Outcome) text() string {
	text := o.Output
	if text != "" && !strings.HasSuffix(text, "\n") {
		text += "\n" + noNewline
	}
	if o.Failure != "" {
		text += o.Failure + "\n"
	}
	return text
}

// prelude returns the head's cell, where it has one.
func (f *File) prelude() []string {
	var b strings.Builder
	for line := range strings.Lines(f.Head) {
		if !strings.HasPrefix(line, "#") && strings.TrimSpace(line) != "" {
			b.WriteString(line)
		}
	}
	if b.Len() == 0 {
		return nil
	}
	return []string{b.String()}
}

// Text writes the file back.
func (f *File) Text() string {
	var b strings.Builder
	b.WriteString(f.Head)
	if f.Head != "" && !strings.HasSuffix(f.Head, "\n") {
		b.WriteByte('\n')
	}
	for _, p := range f.Programs {
		fmt.Fprintf(&b, "=== %s\n%s>>>\n%s", p.Name, strings.Join(p.Cells[len(f.prelude()):], "---\n"), p.outcomesText())
	}
	return b.String()
}
