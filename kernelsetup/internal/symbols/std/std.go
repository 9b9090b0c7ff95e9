// Package std holds the generated tables of the standard library and of the
// numerical and plotting packages.
package std

import (
	_ "embed"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/packed"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/table"
)

//go:embed types.bin
var types string

//go:embed docs.bin
var docs string

// Set is the tables.
var Set = &table.Set{
	Packages:  packages,
	Instances: instances,
	Types:     []*packed.Archive{packed.Open(types), packed.Open(platformTypes)},
	Docs:      packed.Open(docs),
}
