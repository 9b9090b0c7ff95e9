package arrowipc_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/arrowipc"
)

// FuzzArrow feeds any bytes: they are read into columns of equal length, or an
// error says why not; never a panic.
func FuzzArrow(f *testing.F) { fuzzArrow(f) }

func fuzzArrow(f mutant.F) {
	files, err := filepath.Glob("testdata/*.arrow*")
	if err != nil || len(files) == 0 {
		panic("no files to begin with")
	}
	for _, path := range files {
		b, err := os.ReadFile(path)
		if err != nil {
			panic(err)
		}
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		columns, _, err := readBytes(b)
		if err != nil && err.Error() == "" {
			t.Fatal("an error without words")
		}
		if err != nil && columns != nil {
			t.Fatalf("columns beside %v", err)
		}
		if errors.Is(err, arrowipc.ErrDamaged) && errors.Is(err, arrowipc.ErrType) {
			t.Fatalf("two errors at once: %v", err)
		}
		for _, c := range columns {
			if c.Len() != columns[0].Len() {
				t.Fatalf("%d and %d rows", c.Len(), columns[0].Len())
			}
			for i := range c.Len() {
				_ = cell(c, i)
			}
		}
	})
}
