// Package added holds the tables of the packages that "bonnetbook build-kernel"
// compiles into a kernel beside those that each has: that command puts others
// in the place of this file while it builds.
package added

import "github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/table"

// Set is empty.
var Set = &table.Set{}
