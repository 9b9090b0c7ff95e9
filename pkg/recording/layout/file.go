package layout

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
	"github.com/bonnetbook/bonnetbook/internal/pathname"
)

// Load reads a layout file. It fails where the file can't be read, where it is
// no TOML, and at an unknown key or a wrong value, with its line.
func Load(path string) (Layout, error) {
	var l Layout
	text, err := read(path)
	if err != nil {
		return l, fmt.Errorf("layout %s: %w", path, err)
	}
	d := toml.NewDecoder(bytes.NewReader(text)).DisallowUnknownFields()
	if err := d.Decode(&l); err != nil {
		return Layout{}, fmt.Errorf("layout %s: %w", path, explainTOML(err))
	}
	if err := l.Check(); err != nil {
		return Layout{}, fmt.Errorf("layout %s: %w", path, err)
	}
	return l, nil
}

// maxFile bounds a layout file: one of this size is a log by mistake.
const maxFile = 64 << 10

func read(path string) ([]byte, error) {
	path = pathname.Expand(path)
	switch info, err := os.Stat(path); {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("there is no such file%s: %w", pathname.Sought(path), fs.ErrNotExist)
	case err != nil:
		return nil, err
	case info.IsDir():
		return nil, errors.New("is a folder, not a file")
	case !info.Mode().IsRegular(): // opening a pipe would wait for ever
		return nil, errors.New("is a pipe, a device or a socket, not a file")
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, maxFile+1))
	if err == nil && len(text) > maxFile {
		err = fmt.Errorf("has more than %d kB, too many for a layout; is it a log?", maxFile>>10)
	}
	return text, err
}

// Save writes l as a TOML file. It fails where the file exists, since it
// overwrites none, and where it can't be written.
func (l Layout) Save(path string) error {
	text, err := toml.Marshal(l)
	if err != nil {
		return fmt.Errorf("layout %s: %w", path, err)
	}
	err = atomicfile.Create(pathname.Expand(path), 0o644, func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	})
	if err != nil {
		return fmt.Errorf("layout: %w", err)
	}
	return nil
}

// explainTOML adds the line to what the decoder says.
func explainTOML(err error) error {
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) && len(strict.Errors) > 0 {
		row, _ := strict.Errors[0].Position()
		return fmt.Errorf("line %d: key %q is not known", row, strings.Join(strict.Errors[0].Key(), "."))
	}
	var de *toml.DecodeError
	if errors.As(err, &de) {
		row, _ := de.Position()
		return fmt.Errorf("line %d: %s", row, de.Error())
	}
	return err
}
