// Package std holds the generated tables of the standard library and of the
// numerical and plotting packages, in parts: what every Go release has in
// common, what one release has for itself, and of that what one platform has.
package std

import (
	_ "embed"

	_ "github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi/release" // refuses unknown ones
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
	Types:     []*packed.Archive{packed.Open(types), packed.Open(releaseTypes), packed.Open(platformTypes)},
	Docs:      []*packed.Archive{packed.Open(docs), packed.Open(releaseDocs)},
}
