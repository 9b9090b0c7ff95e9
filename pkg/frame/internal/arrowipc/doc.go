// Package arrowipc writes and reads the columns of a frame as Apache Arrow data:
// the IPC file format, and for reading also the stream format (Arrow Columnar
// Format 1.5, "Serialization and Interprocess Communication (IPC)").
//
// The module that decodes takes the lengths in a file at their word. So every
// length is held against the bytes there are before it sees them, and what is
// nested is refused before it is followed.
package arrowipc

import "errors"

var (
	// ErrDamaged is data that is cut off or contradicts itself.
	ErrDamaged = errors.New("the Arrow data are damaged")
	// ErrType is a column of a type that a frame has no column for.
	ErrType = errors.New("a type that a frame can't hold")
)

// Keys of a field's metadata: the unit of its numbers, and the kind of quantity
// where the file says it.
const (
	unitKey = "unit"
	kindKey = "quantity"
)
