package file

import (
	"fmt"
	"io"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
	"github.com/bonnetbook/bonnetbook/internal/pathname"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/arrowipc"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
)

// WriteArrow writes columns of equal length as [frame.Frame.WriteArrow] says. It
// fails where the file exists or can't be written.
func WriteArrow(path string, columns []*vector.Column, rows int) error {
	return atomicfile.Create(pathname.Expand(path), 0o644, func(out io.Writer) error {
		return arrowipc.Write(out, columns, rows)
	})
}

// ReadArrow reads columns as [frame.ReadArrow] says, which also says when it
// fails.
func ReadArrow(path string) (columns []*vector.Column, notes []string, err error) {
	file, size, err := openSized(path)
	if err != nil {
		return nil, nil, err
	}
	defer file.Close()
	if columns, notes, err = arrowipc.Read(file, size); err != nil {
		return nil, nil, fmt.Errorf("%s: %w", path, err)
	}
	return columns, notes, nil
}
