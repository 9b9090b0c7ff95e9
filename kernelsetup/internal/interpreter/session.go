package interpreter

import (
	"go/ast"
	"go/token"
	"go/types"
	"sync"
	"time"
	"unsafe"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter/vm"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/modules"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/precompiled"
)

// session is the state behind an Interpreter.
type session struct {
	lib    precompiled.Library
	limits Limits

	run   sync.Mutex // held while a cell is executed
	state sync.Mutex // held while cells are checked and names change

	fset     *token.FileSet
	place    placer
	pkg      *types.Package
	checker  *types.Checker
	contexts *types.Context // of instances that the checker makes
	info     *types.Info    // what checker writes to; its maps are a cell's
	errs     []types.Error

	prog     *ssa.Program
	machine  *vm.Machine
	packages *packages
	objects  map[types.Object]ssa.Member // of the notebook's package

	units    map[string]*unit
	sources  sources
	literals literals
	ids      identities
	imports  map[string]string // live import names and their paths
	hidden   map[string]string // imports whose names cells have declared since
	dots     []string          // paths imported with a dot
	cells    int
	lastCell string   // the name of the last that ended
	late     []string // notices of goroutines that died between cells
	lateMu   sync.Mutex
}

func (s *session) init(opt Options) error {
	if err := checkSurgery(); err != nil {
		return err
	}
	s.lib, s.limits = opt.Library, opt.Limits.withDefaults()
	s.fset = token.NewFileSet()
	s.place = placer{meaning.NewPlaces(s.fset)}
	s.pkg = types.NewPackage("main", "main")
	s.info = &types.Info{}
	s.prog = ssa.NewProgram(s.fset, ssa.InstantiateGenerics|ssa.BareInits)
	s.packages = newPackages(opt.Library, s.place, s.prog)
	if opt.Dir != "" {
		s.packages.dir = opt.Dir
		s.packages.tree, s.packages.treeErr = modules.Open(opt.Dir)
	}
	s.contexts = types.NewContext()
	s.checker = types.NewChecker(&types.Config{
		Importer:                 s.packages,
		Sizes:                    sizes,
		GoVersion:                goVersion,
		DisableUnusedImportCheck: true,
		Error: func(err error) {
			if e, ok := err.(types.Error); ok {
				s.errs = append(s.errs, e)
			}
		},
	}, s.fset, s.pkg, s.info)
	s.machine = vm.New(s.prog, linker{opt.Library, s.packages}, vm.Limits{
		Depth: s.limits.Depth, Memory: s.limits.Memory, Total: s.limits.Total})
	s.machine.OnLower(s.packages.lower)
	s.machine.OnMethod(s.packages.method)
	if opt.Drained != nil {
		vm.OnStderr(func() { opt.Drained(1) }, func() { opt.Drained(2) })
	}
	s.machine.OnLate(s.goroutineDied)
	s.objects = map[types.Object]ssa.Member{}
	s.units = map[string]*unit{}
	s.ids = identities{}
	s.imports = map[string]string{}
	return nil
}

func (l Limits) withDefaults() Limits {
	if l.Depth == 0 {
		l.Depth = 1_000_000
	}
	if l.Total == 0 {
		l.Total = totalLimit()
	}
	if l.Memory == 0 {
		l.Memory = min(freeMemory()/4*3, l.Total)
	}
	if l.Grace == 0 {
		l.Grace = 150 * time.Millisecond
	}
	return l
}

// freshInfo gives the checker maps for one more cell, and the context of all of
// them, and returns the maps.
func (s *session) freshInfo() *types.Info {
	fresh := newInfo()
	*s.info = *fresh
	// It would make a new one: instances are looked for in this one.
	*(**types.Context)(checkerContext.of(unsafe.Pointer(s.checker))) = s.contexts
	return fresh
}

// used returns the import names that a cell mentions.
func used(nodes ...ast.Node) map[string]bool {
	out := map[string]bool{}
	for _, n := range nodes {
		ast.Inspect(n, func(n ast.Node) bool {
			if sel, ok := n.(*ast.SelectorExpr); ok {
				if id, ok := sel.X.(*ast.Ident); ok {
					out[id.Name] = true
				}
			}
			return true
		})
	}
	return out
}

// drop takes an object out of the notebook's package; goroutines that go on may
// have ssa look there at the same time.
func (s *session) drop(o types.Object) {
	s.packages.building.Lock()
	defer s.packages.building.Unlock()
	delete(s.objects, o)
}
