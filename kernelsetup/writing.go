package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
	"github.com/bonnetbook/bonnetbook/internal/pathname"
)

// An outputKind is what one command writes for a notebook.
type outputKind struct {
	command string
	// beside ends the name of an output beside its notebook, inFolder one in
	// a folder.
	beside, inFolder string
	// index is a name that the command itself takes in a folder for several
	// notebooks; empty for none.
	index string
	// ours reports whether the content of a file is an earlier output of the
	// same command, which may be replaced.
	ours func(data []byte) bool
}

// addOut adds the flag that says where output goes.
func addOut(f *flag.FlagSet, usage string) *string { return addPath(f, "o", usage) }

// addPath adds a flag whose value is a path, of which a leading ~ is the home
// folder: a shell leaves the one in -o=~/page.html as it is. An empty path is
// refused: it comes from a shell variable that is not set.
func addPath(f *flag.FlagSet, name, usage string) *string {
	path := new(string)
	f.Func(name, usage, func(value string) error {
		if value == "" {
			return errors.New("the name is empty")
		}
		*path = pathname.Expand(value)
		return nil
	})
	return path
}

// prepare plans, makes the folders and tells what a person would not expect.
func (k outputKind) prepare(out string, notebooks []string) (*plan, error) {
	p, err := k.plan(out, notebooks)
	if err != nil {
		return nil, err
	}
	for _, note := range p.notes {
		fmt.Fprintln(os.Stderr, "note:", note)
	}
	return p, p.makeFolders()
}

// each goes through the notebooks, also behind one that failed, and returns
// the errors of all. Once ctx ends it says how many are left.
func (p *plan) each(ctx context.Context, do func(target) error) error {
	var failed []error
	for i, t := range p.targets {
		if ctx.Err() != nil {
			failed = append(failed, fmt.Errorf("stopped; not run: %d of %d notebooks, from %s on", len(p.targets)-i, len(p.targets), t.notebook))
			break
		}
		if err := do(t); err != nil {
			failed = append(failed, err)
		}
	}
	return errors.Join(failed...)
}

// write writes an output in one step. It asks again what is there: running a
// notebook takes time.
func (k outputKind) write(path string, data []byte) error {
	if err := k.mayWrite(path); err != nil {
		return err
	}
	return atomicfile.Write(path, data, 0o644)
}

// makeFolders makes the folders that the plan needs.
func (p *plan) makeFolders() error {
	if p.folder != "" {
		return os.MkdirAll(p.folder, 0o755)
	}
	for _, t := range p.targets {
		if err := os.MkdirAll(filepath.Dir(t.path), 0o755); err != nil {
			return err
		}
	}
	return nil
}

// mayWrite returns an error that says what to do where a file is there that
// this command did not write. An empty file holds nothing to lose.
func (k outputKind) mayWrite(path string) error {
	switch info, err := os.Stat(path); {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return err
	case info.IsDir():
		return fmt.Errorf("%s is a folder, and a file of that name is to be written; choose another -o", path)
	case !info.Mode().IsRegular(), info.Size() == 0:
		return nil
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	if !k.ours(data) {
		return fmt.Errorf("%s is there already and is no unchanged output of \"bonnetbook %s\"; move it away, or choose another place with -o", path, k.command)
	}
	return nil
}
