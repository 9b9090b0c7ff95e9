package equality_test

import (
	"context"
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/equality"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/precompiled"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/program"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

// invented is a notebook made at random, with what it did in the kernel.
type invented struct {
	*equality.Program
	left int // cells that did not compile, and are not part of it
}

// invent writes a notebook while it runs. A cell that does not compile is left
// out, as its user would correct it; one that fails ends the notebook.
func invent(t *testing.T, seed, number int) *invented {
	e, err := interpreter.New(interpreter.Options{Library: symbols.Default()})
	if err != nil {
		t.Fatal(err)
	}
	w := &inventor{Rand: rand.New(rand.NewPCG(uint64(seed), uint64(number))), interpreter: e}
	p := &invented{Program: &equality.Program{Name: fmt.Sprintf("notebook %d of seed %d", number, seed)}}
	count := 4 + w.IntN(8)
	p.Output = capture(t, func() {
		for i := 0; i < count && p.Failure == ""; i++ {
			source := w.cell(i == 0)
			ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
			result := e.Execute(ctx, interpreter.Cell{Name: fmt.Sprintf("cell %d", len(p.Cells)+1), Source: source})
			cancel()
			if err := result.Err; err != nil {
				switch err.Kind {
				case interpreter.SyntaxError, interpreter.TypeError, interpreter.ImportError:
					p.left++
					continue
				}
				if strings.Contains(err.Message, "internal error") {
					t.Errorf("%s: %s\n%s--- then\n%s", p.Name, err.Message, cellsText(p.Cells), source)
				}
				p.Failure = err.Error()
			} else if len(result.Values) > 0 {
				if _, err := result.Failing(); err != nil {
					p.Failure = err.Error()
				} else {
					show(result.Values)
				}
			}
			p.Cells = append(p.Cells, source)
		}
	})
	return p
}

// export writes a notebook as a program and type-checks that. refused is set
// where it is refused with a reason.
func export(p *invented, importer types.Importer) (written *program.Program, refused *program.Refusal, err error) {
	e, err := interpreter.New(interpreter.Options{Library: symbols.Default()})
	if err != nil {
		return nil, nil, err
	}
	written, err = program.Write(e, p.Cells, program.Options{})
	if errors.As(err, &refused) {
		return nil, refused, nil
	}
	if err != nil {
		return nil, nil, err
	}
	fset := token.NewFileSet()
	file, err := parser.ParseFile(fset, "program.go", written.Source, parser.SkipObjectResolution)
	if err == nil {
		config := types.Config{Importer: importer, GoVersion: "go1.26"}
		_, err = config.Check("main", fset, []*ast.File{file}, nil)
	}
	if err != nil {
		err = fmt.Errorf("%w\n%s", err, written.Source)
	}
	return written, nil, err
}

// Notebooks made at random that run in the kernel are programs that
// type-check, or are refused with a reason. The proof (make export-proof) does
// this with many more, and compiles some.
func TestInventedNotebooksExport(t *testing.T) {
	importer := precompiled.NewImporter(symbols.Default())
	cells, refused := 0, 0
	const count = 60
	for i := range count {
		p := invent(t, 1, i)
		cells += len(p.Cells)
		_, refusal, err := export(p, importer)
		if err != nil {
			t.Errorf("%s: %v\n%s", p.Name, err, cellsText(p.Cells))
		}
		if refusal != nil {
			refused++
		}
	}
	if cells < 4*count || refused > count/10 {
		t.Errorf("%d notebooks have %d cells, %d are refused: too few to show anything", count, cells, refused)
	}
	t.Logf("%d notebooks, %d cells, %d refused", count, cells, refused)
}

func cellsText(cells []string) string {
	text := ""
	for i, c := range cells {
		text += fmt.Sprintf("--- cell %d\n%s", i+1, c)
	}
	return text
}

// A method of a generic type that is declared again is the same method,
// whatever the type parameters of its receiver are called.
func TestMethodsOfGenericTypesExport(t *testing.T) {
	importer := precompiled.NewImporter(symbols.Default())
	declared := "type T[K comparable, V any] struct{ m map[K]V }\n" +
		"func (t *T[K, V]) Put(k K, f func(V, ...K) []V) (map[K]*V, chan<- K) { return nil, nil }\n" +
		"func (t T[K, V]) Self() T[K, V] { return t }\nt := T[string, int]{}"
	for again, refused := range map[string]bool{
		"func (t *T[A, B]) Put(k A, f func(B, ...A) []B) (map[A]*B, chan<- A) { return nil, nil }": false,
		"func (t T[V, K]) Self() T[V, K] { return t }":                                             false,
		"func (t T[K, _]) Self() (r T[K, int]) { return }":                                         true,
		"func (t *T[K, V]) Put(k V, f func(V, ...K) []V) (map[K]*V, chan<- K) { return nil, nil }": true,
		"func (t *T[K, V]) Self() T[K, V] { return *t }":                                           true,
	} {
		p := &invented{Program: new(equality.Program)}
		p.Cells = []string{declared, again}
		_, refusal, err := export(p, importer)
		if err != nil || (refusal != nil) != refused || refused && refusal.Reason != program.MethodChanged {
			t.Errorf("%s: refused %v, %v", again, refusal, err)
		}
	}
}
