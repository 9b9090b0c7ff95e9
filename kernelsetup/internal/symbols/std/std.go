// Package std holds the generated tables of the standard library and of the
// numerical and plotting packages, in parts: what every Go release has in
// common, what one release has for itself, and of that what one platform has.
package std

import (
	_ "embed"
	"slices"
	"strings"

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
	Packages:  joined(packages, platformPackages),
	Hidden:    hidden,
	Assembly:  assembly,
	Acting:    acting,
	Instances: instances,
	Types:     []*packed.Archive{packed.Open(types), packed.Open(releaseTypes), packed.Open(platformTypes)},
	Docs:      []*packed.Archive{packed.Open(docs), packed.Open(releaseDocs)},
}

// joined is two lists of packages as one that is sorted.
func joined(a, b []*table.Package) []*table.Package {
	all := slices.Concat(a, b)
	slices.SortFunc(all, func(p, q *table.Package) int { return strings.Compare(p.Path, q.Path) })
	return all
}
