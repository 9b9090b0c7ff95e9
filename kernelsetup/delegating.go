package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/install"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
)

// builtKernel returns the program of the kernel that notebooks ask for, where
// that is one of build-kernel: it has packages that this program lacks. It
// returns nothing where this program does.
func builtKernel(paths []string) (program string, err error) {
	first := ""
	for i, path := range paths {
		n, err := nbformat.ReadFile(path)
		if err != nil {
			return "", nil // told when it is run
		}
		found := programFor(strings.ToLower(n.Kernel()))
		if i > 0 && found != program {
			return "", fmt.Errorf("%s and %s ask for different kernels; run them one by one", first, path)
		}
		program, first = found, path
	}
	return program, nil
}

// programFor finds the program of a kernel of build-kernel, unless it is this
// one.
func programFor(kernel string) string {
	if kernel == "" || kernel == install.Name {
		return ""
	}
	for _, k := range install.List() {
		if k.Name != kernel || k.Shadowed || !k.Ours || k.Missing {
			continue
		}
		exe, err := os.Executable()
		if err == nil && sameFile(exe, k.Program) {
			return ""
		}
		return k.Program
	}
	return ""
}

// handOver lets another program run this command line.
func handOver(program string, err error) error {
	if err != nil {
		return err
	}
	cmd := exec.Command(program, os.Args[1:]...)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = os.Stdin, os.Stdout, os.Stderr
	err = cmd.Run()
	if exit := (*exec.ExitError)(nil); errors.As(err, &exit) {
		return errTold
	}
	return err
}
