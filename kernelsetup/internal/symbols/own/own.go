// Package own holds the generated tables of this project's own packages.
package own

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
	Hidden:    hidden,
	Instances: instances,
	Types:     []*packed.Archive{packed.Open(types)},
	Docs:      []*packed.Archive{packed.Open(docs)},
}
