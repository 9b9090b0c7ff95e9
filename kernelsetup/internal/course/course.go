// Package course writes the course into a folder: the notebooks as a learner
// gets them, their solutions, the demo's logs and the workshop's packs, the
// glossary, the guide for those who teach, the script that makes a server for a
// class, and a page that says where to begin.
// All of it is in the program, so that neither Go nor a network is needed.
package course

import (
	"archive/zip"
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/docs"
	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
	"github.com/bonnetbook/bonnetbook/notebooks"
	"github.com/bonnetbook/bonnetbook/testdata"
)

// Folders of the course, and its first page. Notebooks name their logs as
// ../testdata/demo, so both kinds of copies stand beside that folder.
const (
	Notebooks = "notebooks"
	Solutions = "solutions"
	Logs      = "testdata"
	Documents = "docs"
	FirstPage = "START_HERE.md"
)

//go:embed START_HERE.md
var firstPage []byte

// Files returns the course's files by their paths from its folder on, with
// slashes. It fails where a notebook that the program carries is damaged.
func Files() (map[string][]byte, error) {
	files := map[string][]byte{FirstPage: firstPage}
	names, err := carried()
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		if err := addNotebook(files, name); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
	}
	if err := addAll(files, Documents, docs.Carried); err != nil {
		return nil, err
	}
	if err := addPacks(files); err != nil {
		return nil, err
	}
	return files, addAll(files, Logs, testdata.Demo)
}

// carried returns the names of the notebooks that the program carries, without
// executed copies that lay beside them when it was built.
func carried() ([]string, error) {
	names, err := fs.Glob(notebooks.Carried, "*.ipynb")
	return slices.DeleteFunc(names, func(name string) bool { return strings.Contains(name, ".executed.") }), err
}

// addAll adds all files of a tree below a folder.
func addAll(files map[string][]byte, folder string, tree fs.FS) error {
	return fs.WalkDir(tree, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		files[path.Join(folder, name)], err = fs.ReadFile(tree, name)
		return err
	})
}

// addNotebook adds the learner's copy of a notebook and, where it has
// exercises, the one with solutions.
func addNotebook(files map[string][]byte, name string) error {
	data, err := notebooks.Carried.ReadFile(name)
	if err != nil {
		return err
	}
	for _, folder := range []string{Notebooks, Solutions} {
		n, err := nbformat.Read(bytes.NewReader(data))
		if err != nil {
			return err
		}
		if folder == Solutions {
			solved, err := solve(n)
			if err != nil {
				return err
			}
			if solved == 0 {
				continue
			}
		}
		learners(n)
		var out bytes.Buffer
		if err := n.Write(&out); err != nil {
			return err
		}
		files[path.Join(folder, name)] = out.Bytes()
	}
	return nil
}

// addPacks adds the files of the packs, each in a folder of its own.
func addPacks(files map[string][]byte) error {
	names, err := fs.Glob(testdata.Packs, "packs/*.zip")
	if err != nil {
		return err
	}
	for _, name := range names {
		data, err := testdata.Packs.ReadFile(name)
		if err != nil {
			return err
		}
		archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if err := addAll(files, path.Join(Logs, "packs"), archive); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	return nil
}

// Written says what became of the course's files.
type Written struct {
	// New and Same count the files that were written, and those that were
	// there already with the same content.
	New, Same int
}

// Write writes the course into a folder, which is made where it is missing.
// Nothing that is there is replaced: where a file of the course is there with
// another content, be it a notebook that somebody has worked on, the error
// names all such files and nothing is written. A call that was cut off can be
// made again. It also fails where the folder can't be made or takes no file.
func Write(dir string) (Written, error) {
	files, err := Files()
	if err != nil {
		return Written{}, err
	}
	var w Written
	var missing []string
	var taken []error
	for _, name := range slices.Sorted(maps.Keys(files)) {
		target := filepath.Join(dir, filepath.FromSlash(name))
		switch same, err := holds(target, files[name]); {
		case err == nil && same:
			w.Same++
		case errors.Is(err, fs.ErrNotExist):
			missing = append(missing, name)
		case err != nil:
			taken = append(taken, err)
		default:
			taken = append(taken, fmt.Errorf("%s is there already and holds something else", target))
		}
	}
	if len(taken) > 0 {
		return Written{}, fmt.Errorf("nothing is written, since nothing of yours is replaced; choose another folder:\n%w", errors.Join(taken...))
	}
	for _, name := range missing {
		target := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(target), 0o755); err != nil {
			return w, err
		}
		err := atomicfile.Create(target, 0o644, func(out io.Writer) error {
			_, err := out.Write(files[name])
			return err
		})
		if err != nil {
			return w, err
		}
		w.New++
	}
	return w, nil
}

// holds reports whether the file at path has that content. A link counts as
// what it leads to, and one that leads nowhere is taken, not missing.
func holds(path string, want []byte) (bool, error) {
	if _, err := os.Lstat(path); err != nil {
		return false, err
	}
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return false, fmt.Errorf("%s is a link that leads nowhere", path)
	case !info.Mode().IsRegular() || info.Size() != int64(len(want)):
		return false, nil
	}
	data, err := os.ReadFile(path)
	return bytes.Equal(data, want), err
}
