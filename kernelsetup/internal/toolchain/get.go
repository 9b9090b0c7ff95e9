package toolchain

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

// Get is one line of a cell that fetches modules.
type Get meaning.Get

// flags are those of go get that a cell may give.
var flags = []string{"-u", "-u=patch", "-t", "-v", "-x"}

// Run does what the line says in the module around a folder, whose go.mod it
// changes. What the go command says goes to out. It fails outside a module,
// where there is no go command, for flags that mean nothing here, and as go
// get does.
func (g Get) Run(ctx context.Context, dir string, out io.Writer) error {
	for _, a := range g.Args {
		if strings.HasPrefix(a, "-") && !slices.Contains(flags, a) {
			return fmt.Errorf("go get in a cell knows the flags %s, not %s", strings.Join(flags, ", "), a)
		}
	}
	if !inModule(dir) {
		return fmt.Errorf("there is no go.mod in %s or above it, which says what a notebook may import; make one in a terminal, then run this cell again: cd %s && go mod init notebooks", dir, dir)
	}
	return Run(ctx, dir, nil, out, append([]string{"get"}, g.Args...)...)
}

func inModule(dir string) bool {
	for {
		if info, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil && !info.IsDir() {
			return true
		}
		up := filepath.Dir(dir)
		if up == dir {
			return false
		}
		dir = up
	}
}
