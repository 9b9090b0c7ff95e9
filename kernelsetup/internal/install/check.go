package install

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"time"
)

// Finding is one thing that Check looked at.
type Finding struct {
	// What was looked at, State what was found, for a person to read.
	What, State string
	// OK is false where something is missing that a notebook needs.
	OK bool
	// Next says what to do about it, empty where nothing is to be done.
	Next string
}

// Check looks for the kernel and for front ends. It changes nothing.
func Check() []Finding {
	return []Finding{checkKernel(), checkFrontEnd(), checkWidgets(), checkHistory()}
}

// NextStep returns the first thing to do, or how to begin where all is there.
func NextStep(findings []Finding) string {
	for _, f := range findings {
		if f.Next != "" && (!f.OK || f.What == kernelInJupyter) {
			return f.Next
		}
	}
	return "start \"jupyter notebook\" or \"jupyter lab\" and choose \"Go (Bonnetbook)\""
}

const kernelInJupyter = "kernel in Jupyter"

// Registered reports whether Jupyter finds the kernel and the program that it
// starts.
func Registered(findings []Finding) bool {
	for _, f := range findings {
		if f.What == kernelInJupyter {
			return f.OK
		}
	}
	return false
}

func checkKernel() Finding {
	f := Finding{What: kernelInJupyter, State: "not installed", Next: "run: " + commandLine("install")}
	for _, k := range List() {
		if k.Name != Name || k.Shadowed {
			continue
		}
		switch {
		case !k.Ours:
			f.State = k.Dir + " was not written by this program"
			f.Next = "move that folder away, then run: " + commandLine("install")
		case k.Missing:
			f.State = k.Dir + " starts " + k.Program + ", which is gone"
		default:
			return Finding{What: f.What, State: k.Dir + " starts " + k.Program, OK: true, Next: elsewhere(k)}
		}
		break
	}
	return f
}

// commandLine is how a person runs a command of this program.
func commandLine(command string) string {
	exe, err := os.Executable()
	if err != nil {
		exe = Name
	}
	if strings.ContainsAny(exe, " \t") {
		exe = "\"" + exe + "\""
	}
	return exe + " " + command
}

// elsewhere says what to do about a kernel in a Python environment that the
// jupyter on the PATH does not belong to: that one does not look there.
func elsewhere(k Kernel) string {
	jupyter, err := exec.LookPath("jupyter")
	if err != nil {
		return ""
	}
	for _, prefix := range environments() {
		if within(k.Dir, PrefixDir(prefix)) && !within(k.Dir, "/usr/local") && !within(k.Dir, "/usr") && !within(jupyter, prefix) {
			return jupyter + " belongs to another Python and does not look there; start the Jupyter of " + prefix + ", or run: " + commandLine("install")
		}
	}
	return ""
}

func within(path, dir string) bool {
	rel, err := filepath.Rel(dir, path)
	return err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator))
}

func checkFrontEnd() Finding {
	f := Finding{What: "Jupyter", State: "no \"jupyter\" on the PATH", Next: howToInstall("notebook")}
	path, err := exec.LookPath("jupyter")
	if err != nil {
		return f
	}
	var have []string
	for _, name := range []string{"jupyter-lab", "jupyter-notebook", "jupyter-console", "jupyter-nbconvert"} {
		if _, err := exec.LookPath(name); err == nil {
			have = append(have, strings.TrimPrefix(name, "jupyter-"))
		}
	}
	f.State = path + " with " + strings.Join(have, ", ")
	if len(have) == 0 {
		f.State = path + " without a front end"
	}
	for _, name := range have {
		if name == "lab" || name == "notebook" {
			f.OK, f.Next = true, ""
		}
	}
	return f
}

func checkWidgets() Finding {
	f := Finding{What: "sliders and choices", OK: true,
		State: "front end not found; they show as plain values", Next: howToInstall("widgets")}
	for _, dir := range SearchDirs() {
		for _, name := range []string{"nbextensions/jupyter-js-widgets", "labextensions/@jupyter-widgets/jupyterlab-manager"} {
			if _, err := os.Stat(dir + "/" + name); err == nil {
				return Finding{What: f.What, State: dir + "/" + name, OK: true}
			}
		}
	}
	return f
}

func checkHistory() Finding {
	path := HistoryFile()
	f := Finding{What: "history over sessions", State: path, OK: true}
	switch info, err := os.Stat(path); {
	case path == "":
		f.State = "not kept: no home folder"
	case err != nil:
		f.State = path + " (not written yet)"
	default:
		f.State = fmt.Sprintf("%s (%d kB)", path, (info.Size()+999)/1000)
	}
	return f
}

// howToInstall names the usual way on this system. Nothing is installed here.
func howToInstall(what string) string {
	if runtime.GOOS == "linux" && commandWorks("apt-get", "--version") {
		switch what {
		case "notebook":
			return "as root: apt-get install --no-install-recommends jupyter-notebook jupyter-nbconvert"
		case "widgets":
			return "as root: apt-get install --no-install-recommends jupyter-nbextension-jupyter-js-widgets"
		}
	}
	what = map[string]string{"notebook": "notebook", "widgets": "ipywidgets"}[what]
	for _, python := range pythons {
		if _, err := exec.LookPath(python); err == nil {
			return "run: " + python + " -m pip install " + what
		}
	}
	return "install Python 3 (https://www.python.org/downloads/), then run: python3 -m pip install " + what +
		"; without Jupyter, \"" + commandLine("report NOTEBOOK") + "\" still runs a notebook and writes it as a web page"
}

func commandWorks(name string, args ...string) bool {
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Second)
	defer cancel()
	return exec.CommandContext(ctx, name, args...).Run() == nil
}
