package frame

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
	"github.com/bonnetbook/bonnetbook/pkg/internal/spelling"
)

// Type says what a column holds.
type Type = vector.Type

// The types of columns.
const (
	Number  = vector.Number  // numbers with a unit
	Text    = vector.Text    // texts, such as names
	Instant = vector.Instant // dates with time of day
)

// unknown says that there is no such column, and which may be meant.
func (f *Frame) unknown(name string) error {
	names := f.Names()
	return fmt.Errorf("no column %q%s; there are %s", name, spelling.Suggestion(name, names), spelling.QuoteAll(names))
}
