// Command bonnetbook is a Jupyter kernel for Go, its installer, and a runner
// that executes notebooks without Jupyter.
package main

import (
	"fmt"
	"os"
	"runtime/debug"
	"slices"
)

// A command is one word of the program's command line.
type command struct {
	name, args, what string
	run              func(args []string) error
}

var commands []command

func init() {
	commands = []command{
		{"install", "[--prefix DIR | --dir DIR]", "register the kernel with Jupyter, for you alone unless told otherwise", runInstall},
		{"remove", "[--prefix DIR | --dir DIR]", "take the registration back", runRemove},
		{"list", "", "list the kernels that Jupyter finds", runList},
		{"check", "", "say what is installed, what is missing and what to do next", runCheck},
		{"run", "[-o OUT] [-p NAME=VALUE] NOTEBOOK...", "execute notebooks without Jupyter, into copies", runRun},
		{"report", "[-o OUT] [-p NAME=VALUE] [-stored] NOTEBOOK...", "execute notebooks and write them as web pages", runReport},
		{"program", "[-o OUT] NOTEBOOK", "write a notebook as an ordinary Go program", runProgram},
		{"strip", "NOTEBOOK...", "remove the outputs from notebooks, in place", runStrip},
		{"kernel", "CONNECTION_FILE", "serve a front end (Jupyter starts this)", runKernel},
		{"version", "", "print the version", runVersion},
	}
}

func main() {
	if len(os.Args) < 2 || slices.Contains([]string{"help", "-h", "--help"}, os.Args[1]) {
		usage(os.Stdout)
		return
	}
	for _, c := range commands {
		if c.name != os.Args[1] {
			continue
		}
		if err := c.run(os.Args[2:]); err != nil {
			fmt.Fprintf(os.Stderr, "bonnetbook %s: %v\n", c.name, err)
			os.Exit(1)
		}
		return
	}
	fmt.Fprintf(os.Stderr, "bonnetbook: there is no command %q\n\n", os.Args[1])
	usage(os.Stderr)
	os.Exit(2)
}

func usage(w *os.File) {
	fmt.Fprintln(w, "bonnetbook is a Jupyter kernel for Go and a runner of notebooks.")
	fmt.Fprintln(w)
	for _, c := range commands {
		fmt.Fprintf(w, "  bonnetbook %s %s\n        %s\n", c.name, c.args, c.what)
	}
}

func runVersion([]string) error {
	fmt.Println("bonnetbook", version())
	return nil
}

// version is the module's version, where the program was built from a
// released module or a repository.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" || info.Main.Version == "(devel)" {
		return "0.0.0-devel"
	}
	return info.Main.Version
}
