//go:build !linux

package std

import "github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/table"

// assembly is empty: elsewhere these packages call the system's libraries by
// addresses that the linker makes.
var assembly []*table.Package
