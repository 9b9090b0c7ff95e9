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
