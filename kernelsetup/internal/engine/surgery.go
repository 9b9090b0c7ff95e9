package engine

import (
	"fmt"
	"go/types"
	"reflect"
	"sync"
	"unsafe"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
)

// A notebook's package grows and its names are replaced, which go/types and
// ssa do not provide for: what is checked stays. The few fields below are
// reached by their names; Check says when a release has renamed one.

var (
	scopeElems   = fieldOf[types.Scope]("elems", reflect.TypeFor[map[string]types.Object]())
	namedMethods = fieldOf[types.Named]("methods", reflect.TypeFor[[]*types.Func]())
	checkerDecls = fieldOf[types.Checker]("objMap", nil)
	checkerKnown = fieldOf[types.Checker]("impMap", nil)
	packageObjs  = fieldOf[ssa.Package]("objects", reflect.TypeFor[map[types.Object]ssa.Member]())
	packageNew   = fieldOf[ssa.Package]("created", reflect.TypeFor[[]*ssa.Function]())
	packageInfo  = fieldOf[ssa.Package]("info", reflect.TypeFor[*types.Info]())
	packageOnce  = fieldOf[ssa.Package]("buildOnce", reflect.TypeFor[sync.Once]())
	programMSets = fieldOf[ssa.Program]("methodSets", nil)
)

type field struct {
	offset uintptr
	typ    reflect.Type
	err    error
}

func fieldOf[T any](name string, want reflect.Type) field {
	t := reflect.TypeFor[T]()
	f, ok := t.FieldByName(name)
	switch {
	case !ok:
		return field{err: fmt.Errorf("%s has no field %s", t, name)}
	case want != nil && f.Type != want:
		return field{err: fmt.Errorf("%s.%s is a %s, not a %s", t, name, f.Type, want)}
	}
	return field{offset: f.Offset, typ: f.Type}
}

// checkSurgery reports whether this program fits the Go release that it was
// built with: how types lie in memory, and the fields named above.
func checkSurgery() error {
	if err := rtype.Check(); err != nil {
		return err
	}
	for _, f := range []field{scopeElems, namedMethods, checkerDecls, checkerKnown, packageObjs, packageNew, packageInfo, packageOnce, programMSets} {
		if f.err != nil {
			return fmt.Errorf("this engine does not fit the Go release it was built with: %w", f.err)
		}
	}
	return nil
}

func (f field) of(p unsafe.Pointer) unsafe.Pointer { return unsafe.Add(p, f.offset) }

// scopeMap returns a scope's names.
func scopeMap(s *types.Scope) map[string]types.Object {
	m := (*map[string]types.Object)(scopeElems.of(unsafe.Pointer(s)))
	if *m == nil {
		*m = map[string]types.Object{}
	}
	return *m
}

// methodsOf returns the list of a type's declared methods, to be changed.
func methodsOf(n *types.Named) *[]*types.Func {
	n.NumMethods() // completes the list
	return (*[]*types.Func)(namedMethods.of(unsafe.Pointer(n)))
}

// checkerObjects returns what the checker knows of declared objects.
func checkerObjects(c *types.Checker) reflect.Value {
	return reflect.NewAt(checkerDecls.typ, checkerDecls.of(unsafe.Pointer(c))).Elem()
}

// forgetImports makes the checker ask for every package anew.
func forgetImports(c *types.Checker) {
	v := reflect.NewAt(checkerKnown.typ, checkerKnown.of(unsafe.Pointer(c))).Elem()
	v.Set(reflect.MakeMap(checkerKnown.typ))
}

// setObjects replaces the objects of an SSA package.
func setObjects(p *ssa.Package, m map[types.Object]ssa.Member) {
	*(*map[types.Object]ssa.Member)(packageObjs.of(unsafe.Pointer(p))) = m
}

func objectsOf(p *ssa.Package) map[types.Object]ssa.Member {
	return *(*map[types.Object]ssa.Member)(packageObjs.of(unsafe.Pointer(p)))
}

// forgetMethodSets makes ssa look at the methods of all types anew.
func forgetMethodSets(p *ssa.Program) {
	v := reflect.NewAt(programMSets.typ, programMSets.of(unsafe.Pointer(p))).Elem()
	v.SetZero()
	reflect.ValueOf(&p.MethodSets).Elem().SetZero()
}

// createdIn returns the functions that an SSA package has yet to build, to be
// changed.
func createdIn(p *ssa.Package) *[]*ssa.Function {
	return (*[]*ssa.Function)(packageNew.of(unsafe.Pointer(p)))
}

// reopen lets an SSA package that has been built build once more.
func reopen(p *ssa.Package) {
	*(**types.Info)(packageInfo.of(unsafe.Pointer(p))) = &types.Info{}
	*(*sync.Once)(packageOnce.of(unsafe.Pointer(p))) = sync.Once{}
}
