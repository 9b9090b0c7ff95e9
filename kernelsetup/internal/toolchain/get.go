package toolchain

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Get is one line of a cell that fetches modules: go get and its arguments.
type Get struct {
	Line int // counted from 1
	Args []string
}

// Gets finds the lines "go get …" at the top of a cell, above everything but
// comments, and returns the cell with these made comments, on the same lines.
// They are no Go: behind go and a name Go wants the call of a function.
func Gets(cell string) (list []Get, rest string) {
	const words = "go get "
	if !strings.Contains(cell, words) {
		return nil, cell
	}
	lines := strings.SplitAfter(cell, "\n")
	for i, line := range lines {
		trimmed := strings.TrimSpace(line)
		if trimmed == "" || strings.HasPrefix(trimmed, "//") {
			continue
		}
		args, ok := strings.CutPrefix(trimmed, words)
		if args = strings.TrimSpace(args); !ok || args == "" || !isArgument(args[0]) {
			break
		}
		args, _, _ = strings.Cut(args, " //")
		list = append(list, Get{i + 1, strings.Fields(args)})
		lines[i] = "// " + line
	}
	return list, strings.Join(lines, "")
}

// isArgument reports whether an argument may begin so; get(…) is a call.
func isArgument(c byte) bool {
	return c == '-' || c == '.' || c == '_' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
}

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
