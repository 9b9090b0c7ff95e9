package main

import (
	"flag"
	"fmt"
	"os"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/install"
)

// placeFlags adds the choice of where a kernelspec goes.
func placeFlags(f *flag.FlagSet) func() (string, error) {
	sys := f.Bool("sys-prefix", false, "into the Python environment that is active, else that of the python3 on the PATH: its sys.prefix")
	prefix := addPath(f, "prefix", "into an installation `DIR`, for example /usr/local or a Python environment's sys.prefix")
	dir := addPath(f, "dir", "into Jupyter's data folder `DIR` itself")
	return func() (string, error) {
		chosen := 0
		for _, is := range []bool{*sys, *prefix != "", *dir != ""} {
			if is {
				chosen++
			}
		}
		switch {
		case chosen > 1:
			return "", &wrongUse{"--sys-prefix, --prefix and --dir exclude each other"}
		case *sys:
			p, err := install.SysPrefix()
			return install.PrefixDir(p), err
		case *prefix != "":
			return install.PrefixDir(*prefix), nil
		case *dir != "":
			return *dir, nil
		}
		return install.UserDir()
	}
}

func runInstall(f *flag.FlagSet, args []string) error {
	place := placeFlags(f)
	if _, err := parse(f, args, 0, 0, ""); err != nil {
		return err
	}
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
	if findings := install.Check(); install.Registered(findings) {
		fmt.Printf("Next: %s\n", install.NextStep(findings))
	} else {
		fmt.Printf("Next: start the Jupyter that belongs to that place, or set JUPYTER_PATH=%s for another one.\n", data)
	}
	return nil
}

func runRemove(f *flag.FlagSet, args []string) error {
	place := placeFlags(f)
	names, err := parse(f, args, 0, 1, "at most one name of a kernel")
	if err != nil {
		return err
	}
	name := install.Name
	if len(names) > 0 {
		name = names[0]
	}
	data, err := place()
	if err != nil {
		return err
	}
	dir, err := install.Remove(data, name)
	if err != nil {
		return err
	}
	fmt.Printf("Removed %s\n", dir)
	return nil
}

func runList(f *flag.FlagSet, args []string) error {
	if _, err := parse(f, args, 0, 0, ""); err != nil {
		return err
	}
	kernels := install.List()
	if len(kernels) == 0 {
		fmt.Println("Jupyter finds no kernel on this machine; \"bonnetbook check\" says what to do next.")
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

func runCheck(f *flag.FlagSet, args []string) error {
	if _, err := parse(f, args, 0, 0, ""); err != nil {
		return err
	}
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
	// A front end may be one that is not looked for here; without the kernel
	// nothing works.
	if !install.Registered(findings) {
		return errTold
	}
	return nil
}
