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

// NOTEBOOKS notebooks of SEED, made at random, export to programs that
// type-check, or are refused with a documented reason. COMPILED of them,
// spread over all, print compiled what they printed in the kernel, but for
// those that tell that they may not. RESULT is a file for what came out.
func TestExportProof(t *testing.T) {
	seed, count, builds := number("SEED", 1), number("NOTEBOOKS", 10000), number("COMPILED", 100)
	importer := precompiled.NewImporter(symbols.Default())
	cells, left, failing, warned := 0, 0, 0, 0
	refusals := map[program.Reason]int{}
	var chosen []*compiled.Program
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
		case len(written.Warnings) > 0:
			warned++
			continue
		}
		if p.Failure != "" {
			failing++
		}
		if len(chosen) < builds && i*builds >= len(chosen)*count {
			chosen = append(chosen, &compiled.Program{Name: p.Name, Program: p.Program})
		}
	}
	if err := compiled.Build("../../..", t.TempDir(), chosen); err != nil {
		t.Fatal(err)
	}
	equal := 0
	for _, p := range chosen {
		if p.Err != nil {
			t.Errorf("%s: %v\n%s", p.Name, p.Err, cellsText(p.Cells))
			continue
		}
		output, failure := p.Run()
		if alike(output) != alike(p.Output) || !sameFailure(p.Failure, failure) {
			t.Errorf("%s\n%s--- kernel\n%s%s\n--- compiled\n%s%s", p.Name, cellsText(p.Cells), p.Output, p.Failure, output, failure)
			continue
		}
		equal++
	}
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
compiled and run                       %6d
  with equal output and end            %6d
`, count, builds, seed, count, cells, left, failing, count-total(refusals), warned,
		refusals[program.UnnamedType], refusals[program.MethodChanged], refusals[program.RecoversDirectly], len(chosen), equal)
	t.Log("\n" + result)
	if path := os.Getenv("RESULT"); path != "" && !t.Failed() {
		if err := os.WriteFile(path, []byte(strings.TrimLeft(result, "\n")), 0o644); err != nil {
			t.Error(err)
		}
	}
}

// alike is output without what differs in every program: addresses, and the
// name of package main, which values shown leave out and package names of
// compiled programs have in its place.
func alike(output string) string {
	return strings.ReplaceAll(addresses.ReplaceAllString(output, "0x"), "main.", "")
}

var addresses = regexp.MustCompile(`0x[0-9a-f]+`)

func total(m map[program.Reason]int) int {
	sum := 0
	for _, n := range m {
		sum += n
	}
	return sum
}
