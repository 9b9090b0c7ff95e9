package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/install"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/toolchain"
)

func runBuildKernel(f *flag.FlagSet, args []string) error {
	place := placeFlags(f)
	name := f.String("name", "", "`NAME` of the kernel in Jupyter (default: bonnetbook and the modules' last words)")
	title := f.String("title", "", "what Jupyter shows for it, `TEXT`")
	source := addPath(f, "source", "the checkout of Bonnetbook to build from, `DIR` (default: the one around this\nprogram or the working folder, else the released version's source)")
	modules, err := parse(f, args, 1, -1, "modules or packages to compile in, for example github.com/klauspost/compress/zstd@latest")
	if err != nil {
		return err
	}
	short := toolchain.ShortNames(modules)
	b := install.Built{Name: *name, Title: *title}
	if b.Name == "" {
		b.Name = strings.ToLower(install.Name + "-" + strings.Join(short, "-"))
	}
	if b.Title == "" {
		b.Title = "Go (Bonnetbook with " + strings.Join(short, ", ") + ")"
	}
	data, err := place()
	if err != nil {
		return err
	}
	if err := b.Check(data); err != nil {
		return err
	}
	if _, err := toolchain.Find(); err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	dir, err := toolchain.Source(ctx, *source)
	if err != nil {
		return err
	}
	fmt.Printf("Building from %s\n", dir)
	work, err := os.MkdirTemp("", "bonnetbook-kernel")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	k := toolchain.Kernel{Source: dir, Modules: modules, Program: filepath.Join(work, "program"), Log: os.Stdout}
	added, err := k.Build(ctx)
	if err != nil {
		return err
	}
	b.Modules, b.Packages = added.Modules, added.Packages
	spec, program, err := b.Install(data, k.Program)
	if err != nil {
		return err
	}
	fmt.Printf("\nThe kernel %q, shown as %q, is registered in %s.\nIt has, of %s:\n", b.Name, b.Title, spec, strings.Join(b.Modules, ", "))
	for _, p := range b.Packages {
		fmt.Println("  " + p)
	}
	fmt.Printf("Without Jupyter: %s run NOTEBOOK\nTo take it away: bonnetbook remove %s\n", inQuotes(program), b.Name)
	return nil
}

func inQuotes(path string) string {
	if strings.ContainsAny(path, " \t") {
		return `"` + path + `"`
	}
	return path
}
