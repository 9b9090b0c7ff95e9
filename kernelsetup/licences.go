package main

import (
	"bufio"
	"flag"
	"fmt"
	"os"
	"runtime"
	"runtime/debug"
	"text/tabwriter"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/licence"
)

func runLicences(f *flag.FlagSet, args []string) error {
	full := f.Bool("full", false, "print the texts, too")
	bill := f.Bool("json", false, "print a bill of materials instead: JSON as CycloneDX 1.5 has it")
	if _, err := parse(f, args, 0, 0, ""); err != nil {
		return err
	}
	if *full && *bill {
		return &wrongUse{"-full and -json can't go together"}
	}
	all := licence.Components()
	if build, ok := debug.ReadBuildInfo(); ok {
		all = append(all, licence.Missing(build)...)
	}
	if *bill {
		text, err := licence.Bill(all, version(), runtime.Version())
		if err != nil {
			return err
		}
		_, err = fmt.Printf("%s\n", text)
		return err
	}
	return printLicences(all, *full)
}

func printLicences(all []licence.Component, full bool) error {
	out := bufio.NewWriter(os.Stdout)
	columns := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	for _, c := range all {
		kinds := c.Kinds
		switch {
		case c.Path == licence.Program:
			c.Version = version()
		case c.Path == licence.Go:
			c.Path, c.Version = "Go's run time and standard library", runtime.Version()
		case kinds == "":
			kinds = "no notice in this program; see the module"
		}
		fmt.Fprintf(columns, "%s\t%s\t%s\n", c.Path, c.Version, kinds)
	}
	columns.Flush()
	// The FreeType licence, clause 2, asks for this sentence.
	fmt.Fprintln(out, "\nParts are based on the work of the FreeType Team. \"bonnetbook licences -full\" prints all texts.")
	if full {
		for _, c := range all {
			text, err := licence.Text(c.Path)
			if err != nil {
				return err
			}
			fmt.Fprintf(out, "\n==== %s %s ====\n\n%s", c.Path, c.Version, text)
		}
	}
	return out.Flush()
}
