// Command bonnetbook is a Jupyter kernel for Go, its installer, and a runner
// that executes notebooks without Jupyter.
//
// It ends with status 0 where all went well, 1 where something failed (check:
// where the kernel is not registered), 2 where it was called wrongly.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"runtime/debug"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/supervisor"
)

// A command is one word of the program's command line. Its run function
// defines its flags, then parses the arguments by parse.
type command struct {
	name, args, what string
	run              func(f *flag.FlagSet, args []string) error
}

var commands []command

func init() {
	commands = []command{
		{"install", "[--sys-prefix | --prefix DIR | --dir DIR]", "register the kernel with Jupyter, for you alone unless told otherwise", runInstall},
		{"build-kernel", "[-name NAME] [-title TEXT] [-source DIR] [--sys-prefix | --prefix DIR | --dir DIR] MODULE...", "build a kernel with more packages compiled in, and register it beside the first (needs Go)", runBuildKernel},
		{"remove", "[--sys-prefix | --prefix DIR | --dir DIR] [NAME]", "take the registration back, or that of a kernel of build-kernel", runRemove},
		{"list", "", "list the kernels that Jupyter finds", runList},
		{"check", "", "say what is installed, what is missing and what to do next; status 1 where the kernel is not registered", runCheck},
		{"run", "[-o OUT] [-p NAME=VALUE] NOTEBOOK...", "execute notebooks without Jupyter, into copies", runRun},
		{"report", "[-o OUT] [-p NAME=VALUE] [-stored] NOTEBOOK...", "execute notebooks and write them as web pages, with an index where they share a folder", runReport},
		{"program", "[-o OUT] NOTEBOOK", "write a notebook as an ordinary Go program", runProgram},
		{"strip", "NOTEBOOK...", "remove the outputs from notebooks, in place", runStrip},
		{"kernel", "CONNECTION_FILE", "serve a front end (Jupyter starts this)", runKernel},
		{"account", "[-json] FILE...", "read files of loggers and phones and account for every row", runAccount},
		{"draft", "[-answer ID=VALUE]... [-answers FILE] [-save] [-all] [-json] FOLDER", "propose a campaign from a folder of files, and ask what only you can know", runDraft},
		{"look", "[-drive NAME] [-json] FILE... | CAMPAIGN", "say what happened in drives: the thermostat's opening, kinds of driving, what to check", runLook},
		{"verdict", "[-before A -after B] [-primary ID] [-delta DIFFERENCE] [-o PAGE.html] [-json] CAMPAIGN", "answer a campaign: did the change do it, on which kind of driving, and may that be said", runVerdict},
		{"course", "DIR", "write the course into a folder: notebooks, solutions, the logs they read; never over anything", runCourse},
		{"grade", "[-json] [-timeout TIME] [-limit TIME] NOTEBOOK...", "run notebooks of the course that learners handed in, each in a process of its own, and say which exercises pass; their code runs with your rights", runGrade},
		{"licences", "[-full | -json]", "list what the program is built from and under which licences", runLicences},
		{"version", "", "print the version", runVersion},
	}
}

// ownUse is the command by which the program starts itself to run cells.
var ownUse = command{supervisor.Word, "", "run cells for another process of this program", runCells}

func main() { os.Exit(execute(os.Args[1:])) }

// execute runs one command line and returns the exit status.
func execute(args []string) int {
	if len(args) == 0 {
		usage(os.Stdout)
		return 0
	}
	name, args := args[0], args[1:]
	switch name {
	case "help", "-h", "-help", "--help":
		if len(args) == 0 {
			usage(os.Stdout)
			return 0
		}
		name, args = args[0], []string{"--help"}
	case "-version", "--version":
		name = "version"
	}
	for _, c := range append(commands, ownUse) {
		if c.name == name {
			return c.execute(args)
		}
	}
	fmt.Fprintf(os.Stderr, "bonnetbook: there is no command %q\n\n", name)
	usage(os.Stderr)
	return 2
}

func (c command) execute(args []string) int {
	f := flag.NewFlagSet(c.name, flag.ContinueOnError)
	f.SetOutput(io.Discard) // both kinds of message are written below
	err := c.run(f, args)
	var wrong *wrongUse
	switch {
	case err == nil:
		return 0
	case errors.Is(err, flag.ErrHelp):
		c.help(os.Stdout, f)
		return 0
	case errors.As(err, &wrong):
		fmt.Fprintf(os.Stderr, "bonnetbook %s: %v\n\n", c.name, err)
		c.help(os.Stderr, f)
		return 2
	case errors.Is(err, errTold):
		return 1
	}
	fmt.Fprintf(os.Stderr, "bonnetbook %s: %v\n", c.name, err)
	return 1
}

// help tells how one command is used.
func (c command) help(w io.Writer, f *flag.FlagSet) {
	fmt.Fprintf(w, "usage: %s\n\n%s\n", c.line(), c.what)
	f.SetOutput(w)
	any := false
	f.VisitAll(func(*flag.Flag) { any = true })
	if any {
		fmt.Fprintln(w)
		f.PrintDefaults()
	}
}

func (c command) line() string {
	if c.args == "" {
		return "bonnetbook " + c.name
	}
	return "bonnetbook " + c.name + " " + c.args
}

func usage(w io.Writer) {
	fmt.Fprintln(w, "bonnetbook is a Jupyter kernel for Go, a runner of notebooks, and the library's answers from the command line.")
	fmt.Fprintln(w)
	for _, c := range commands {
		fmt.Fprintf(w, "  %s\n        %s\n", c.line(), c.what)
	}
	fmt.Fprintln(w, "\n\"bonnetbook help COMMAND\" lists the flags of one.")
}

// wrongUse is a mistake on the command line.
type wrongUse struct{ what string }

func (w *wrongUse) Error() string { return w.what }

// errTold ends a command with status 1 that has said all there is to say.
var errTold = errors.New("told already")

// parse returns the arguments that are not flags, which may stand before and
// behind them, and checks how many there are; most below 0 means any number.
// want names them.
func parse(f *flag.FlagSet, args []string, least, most int, want string) ([]string, error) {
	var plain []string
	for len(args) > 0 {
		if err := f.Parse(args); err != nil {
			if errors.Is(err, flag.ErrHelp) {
				return nil, err
			}
			return nil, &wrongUse{err.Error()}
		}
		behind := f.Args()
		if used := len(args) - len(behind); used > 0 && args[used-1] == "--" {
			plain = append(plain, behind...)
			break
		}
		if len(behind) == 0 {
			break
		}
		plain, args = append(plain, behind[0]), behind[1:]
	}
	switch n := len(plain); {
	case n < least:
		return nil, &wrongUse{"want " + want}
	case most == 0 && n > 0:
		return nil, &wrongUse{fmt.Sprintf("takes no argument, got %q", plain[0])}
	case most > 0 && n > most:
		return nil, &wrongUse{fmt.Sprintf("want %s, got %d", want, n)}
	}
	return plain, nil
}

func runVersion(f *flag.FlagSet, args []string) error {
	if _, err := parse(f, args, 0, 0, ""); err != nil {
		return err
	}
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
