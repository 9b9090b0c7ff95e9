// Package notebooks holds the method, one step a notebook; its tests run them.
package notebooks

import "embed"

// Carried are the notebooks. Executed copies that lay beside them when the program
// was built are among them; package course leaves them out.
//
//go:embed [0-9][0-9]_*.ipynb
var Carried embed.FS
