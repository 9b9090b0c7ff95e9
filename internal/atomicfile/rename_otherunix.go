//go:build unix && !linux

package atomicfile

import "errors"

// renameToNew would rename a file unless the new name is taken; a second link
// does the same in two steps.
func renameToNew(from, to string) error { return errors.ErrUnsupported }
