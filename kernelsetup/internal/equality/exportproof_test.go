//go:build proof

package equality_test

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/equality/compiled"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/precompiled"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/program"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

// A hundred programs are built to a binary.
const toABinary = 100

// NOTEBOOKS notebooks of SEED, made at random, export to programs that
// type-check, or are refused with a documented reason. COMPILED of them,
// spread over all, are built and print what they printed in the kernel, but
// for those that tell that they may not: these are only built. RESULT is a file
// for what came out.
func TestExportProof(t *testing.T) {
	seed, count, builds := number("SEED", 1), number("NOTEBOOKS", 10000), number("COMPILED", 10000)
	importer := precompiled.NewImporter(symbols.Default())
	cells, left, failing, warned := 0, 0, 0, 0
	built, equal, chosen := 0, 0, 0
	refusals := map[program.Reason]int{}
	var waiting []*exported
	build := func() {
		if len(waiting) > 0 {
			n, same := buildAndRun(t, waiting)
			built, equal, waiting = built+n, equal+same, nil
		}
	}
	for i := range count {
		p := invent(t, seed, i)
		cells, left = cells+len(p.Cells), left+p.left
		written, refusal, err := export(p, importer)
		switch {
		case err != nil:
			t.Errorf("%s: %v\n%s", p.Name, err, cellsText(p.Cells))
			continue
		case refusal != nil:
			refusals[refusal.Reason]++
			continue
		}
		mayDiffer := len(written.Warnings) > 0
		if mayDiffer {
			warned++
		}
		if p.Failure != "" {
			failing++
		}
		if chosen < builds && i*builds >= chosen*count {
			chosen++
			waiting = append(waiting, &exported{Program: compiled.Program{Name: p.Name, Program: p.Program}, mayDiffer: mayDiffer})
			if len(waiting) == toABinary {
				build()
			}
		}
	}
	build()
	result := fmt.Sprintf(`NOTEBOOKS=%d COMPILED=%d SEED=%d make export-proof

notebooks that ran in the kernel       %6d
their cells                            %6d
cells that did not compile, left out   %6d
notebooks that end in a failure        %6d
exported and type-checked              %6d
  with a note that output may differ   %6d
refused: type without a name           %6d
refused: method changed                %6d
refused: function with recover         %6d
built, a hundred to a binary           %6d
  run with equal output and end        %6d
`, count, builds, seed, count, cells, left, failing, count-total(refusals), warned,
		refusals[program.UnnamedType], refusals[program.MethodChanged], refusals[program.RecoversDirectly], built, equal)
	t.Log("\n" + result)
	if path := os.Getenv("RESULT"); path != "" && !t.Failed() {
		if err := os.WriteFile(path, []byte(strings.TrimLeft(result, "\n")), 0o644); err != nil {
			t.Error(err)
		}
	}
}

// exported is a notebook as a program of its own.
type exported struct {
	compiled.Program
	mayDiffer bool
}

// buildAndRun builds programs to one binary and returns how many were built,
// and how many ran with the kernel's output and end.
func buildAndRun(t *testing.T, programs []*exported) (built, equal int) {
	t.Helper()
	work, err := os.MkdirTemp("", "export")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(work)
	var all []*compiled.Program
	for _, p := range programs {
		all = append(all, &p.Program)
	}
	if err := compiled.Build("../../..", work, all); err != nil {
		t.Fatal(err)
	}
	for _, p := range programs {
		if p.Err != nil {
			t.Errorf("%s: %v\n%s", p.Name, p.Err, cellsText(p.Cells))
			continue
		}
		built++
		if p.mayDiffer {
			continue
		}
		output, failure := p.Run()
		if alike(output) != alike(p.Output) || !sameFailure(p.Failure, failure) {
			t.Errorf("%s\n%s--- kernel\n%s%s\n--- compiled\n%s%s", p.Name, cellsText(p.Cells), p.Output, p.Failure, output, failure)
			continue
		}
		equal++
	}
	return built, equal
}

// alike is output without what differs in every program: addresses, and the
// name of package main, which values shown leave out and package names of
// compiled programs have in its place. An address is longer or shorter from
// program to program, so where one is shown numbers are not compared: one may be
// its length.
func alike(output string) string {
	output = strings.ReplaceAll(output, "main.", "")
	if addresses.MatchString(output) {
		output = numbers.ReplaceAllString(addresses.ReplaceAllString(output, "0x"), "0")
	}
	return output
}

var (
	addresses = regexp.MustCompile(`(?i)0x[0-9a-f]+`)
	numbers   = regexp.MustCompile(`[0-9]+`)
)

func total(m map[program.Reason]int) int {
	sum := 0
	for _, n := range m {
		sum += n
	}
	return sum
}
