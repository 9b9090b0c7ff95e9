// Compile writes the suite's programs as ordinary Go, compiles and runs them,
// and stores what they print beside them.
//
//	go run ./kernelsetup/internal/equality/compile          # programs without output
//	go run ./kernelsetup/internal/equality/compile -all     # every program
//	go run ./kernelsetup/internal/equality/compile -check   # compare, write nothing
//
// They are compiled by the Go release that this program is built with, and
// what they print is stored for it where another release prints something else.
package main

import (
	"flag"
	"fmt"
	"os"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/equality"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/equality/compiled"
)

func main() {
	all := flag.Bool("all", false, "compile every program, not only those without output")
	check := flag.Bool("check", false, "compare with the output that is stored")
	only := flag.String("only", "", "only programs whose section/name contains this")
	dir := flag.String("dir", "kernelsetup/internal/equality/testdata", "folder of the suite")
	keep := flag.Bool("keep", false, "keep the programs written, and say where")
	flag.Parse()
	if err := run(*dir, *only, *all || *check, *check, *keep); err != nil {
		fmt.Fprintln(os.Stderr, "compile:", err)
		os.Exit(1)
	}
}

func run(dir, only string, all, check, keep bool) error {
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
	var wanted []*compiled.Program
	for _, f := range files {
		for _, p := range f.Programs {
			key := f.Section + "/" + p.Name
			if strings.Contains(key, only) && (all || p.Output == "" && p.Failure == "") {
				wanted = append(wanted, &compiled.Program{Name: key, Program: p})
			}
		}
	}
	if err := compiled.Build(".", work, wanted); err != nil {
		return err
	}
	failed := 0
	for _, w := range wanted {
		if w.Err != nil {
			fmt.Fprintf(os.Stderr, "%s: %v\n", w.Name, w.Err)
			failed++
			continue
		}
		output, failure := w.Run()
		if check && (output != w.Output || failure != w.Failure) {
			fmt.Fprintf(os.Stderr, "%s: stored output differs\n", w.Name)
			failed++
		}
		w.Record(equality.Outcome{Output: output, Failure: failure})
	}
	for _, f := range files {
		if check {
			break
		}
		if err := os.WriteFile(f.Path, []byte(f.Text()), 0o644); err != nil {
			return err
		}
	}
	fmt.Printf("%d programs compiled, %d failed\n", len(wanted), failed)
	if failed > 0 {
		return fmt.Errorf("%d programs failed", failed)
	}
	return nil
}
