package main

import (
	"errors"
	"flag"
	"fmt"
	"os"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/install"
)

// placeFlags adds the choice of where a kernelspec goes.
func placeFlags(f *flag.FlagSet) func() (string, error) {
	prefix := f.String("prefix", "", "installation prefix, for example sys.prefix of a Python environment, or /usr/local")
	dir := f.String("dir", "", "Jupyter data folder itself")
	return func() (string, error) {
		switch {
		case *prefix != "" && *dir != "":
			return "", errors.New("--prefix and --dir exclude each other")
		case *prefix != "":
			return install.PrefixDir(*prefix), nil
		case *dir != "":
			return *dir, nil
		}
		return install.UserDir()
	}
}

func runInstall(args []string) error {
	f := flag.NewFlagSet("install", flag.ExitOnError)
	place := placeFlags(f)
	f.Parse(args)
	data, err := place()
	if err != nil {
		return err
	}
	exe, err := os.Executable()
	if err != nil {
		return err
	}
	dir, err := install.Install(data, exe)
	if err != nil {
		return err
	}
	fmt.Printf("The kernel is registered in %s\nand starts %s; leave that file where it is, or install again.\n", dir, exe)
	return nil
}

func runRemove(args []string) error {
	f := flag.NewFlagSet("remove", flag.ExitOnError)
	place := placeFlags(f)
	f.Parse(args)
	data, err := place()
	if err != nil {
		return err
	}
	dir, err := install.Remove(data)
	if err != nil {
		return err
	}
	fmt.Printf("Removed %s\n", dir)
	return nil
}

func runList([]string) error {
	kernels := install.List()
	if len(kernels) == 0 {
		fmt.Println("Jupyter finds no kernel on this machine.")
	}
	for _, k := range kernels {
		note := ""
		switch {
		case k.Missing:
			note = " (its program is missing)"
		case k.Shadowed:
			note = " (hidden by the one of the same name above)"
		}
		fmt.Printf("%-16s %-24s %s%s\n", k.Name, k.DisplayName, k.Dir, note)
	}
	return nil
}

func runCheck([]string) error {
	findings := install.Check()
	for _, f := range findings {
		mark := "ok     "
		if !f.OK {
			mark = "MISSING"
		}
		fmt.Printf("%s %s: %s\n", mark, f.What, f.State)
		if f.Next != "" {
			fmt.Printf("        %s\n", f.Next)
		}
	}
	fmt.Printf("\nNext: %s\n", install.NextStep(findings))
	return nil
}
