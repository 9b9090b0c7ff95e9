package file

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/bonnetbook/bonnetbook/internal/pathname"
)

// open opens a file by the path that a person gives, and says from where it is
// looked for if there is none.
func open(given string) (*os.File, error) {
	path := pathname.Expand(given)
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("there is no file %s%s: %w", given, pathname.Sought(path), fs.ErrNotExist)
	}
	return f, err
}

// openSized does the same for what is read from both ends, and says how long it is.
func openSized(given string) (*os.File, int64, error) {
	f, err := open(given)
	if err != nil {
		return nil, 0, err
	}
	info, err := f.Stat()
	if err != nil {
		f.Close()
		return nil, 0, err
	}
	return f, info.Size(), nil
}
