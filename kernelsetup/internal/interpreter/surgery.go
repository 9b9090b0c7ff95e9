package interpreter

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
	scopeInner   = fieldOf[types.Scope]("children", reflect.TypeFor[[]*types.Scope]())
	namedMethods = fieldOf[types.Named]("methods", reflect.TypeFor[[]*types.Func]())
	checkerDecls = fieldOf[types.Checker]("objMap", nil)
	checkerKnown = fieldOf[types.Checker]("impMap", nil)
	packageObjs  = fieldOf[ssa.Package]("objects", reflect.TypeFor[map[types.Object]ssa.Member]())
	packageNew   = fieldOf[ssa.Package]("created", reflect.TypeFor[[]*ssa.Function]())
	packageInfo  = fieldOf[ssa.Package]("info", reflect.TypeFor[*types.Info]())
	packageOnce  = fieldOf[ssa.Package]("buildOnce", reflect.TypeFor[sync.Once]())
	programMSets = fieldOf[ssa.Program]("methodSets", nil)

	// For generic types and functions, see generic.go.
	namedInstance   = fieldOf[types.Named]("inst", nil)
	namedState      = fieldOf[types.Named]("state_", reflect.TypeFor[uint32]())
	namedChecker    = fieldOf[types.Named]("check", reflect.TypeFor[*types.Checker]())
	instanceOrigin  = namedInstance.below("orig", reflect.TypeFor[*types.Named]())
	instanceMethods = namedInstance.below("expandedMethods", reflect.TypeFor[int]())
	instanceContext = namedInstance.below("ctxt", reflect.TypeFor[*types.Context]())
	checkerContext  = fieldOf[types.Checker]("ctxt", reflect.TypeFor[*types.Context]())
	checkerCanon    = fieldOf[types.Checker]("mono", nil).within("canon", reflect.TypeFor[map[*types.TypeParam]*types.TypeParam]())
	contextTypes    = fieldOf[types.Context]("typeMap", nil)
	contextIDs      = fieldOf[types.Context]("originIDs", reflect.TypeFor[map[types.Type]int]())
	programContext  = fieldOf[ssa.Program]("ctxt", reflect.TypeFor[*types.Context]())
	functionGeneric = fieldOf[ssa.Function]("generic", nil)
	genericOnes     = functionGeneric.below("instances", nil)
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

// below is a field of the struct that f points to.
func (f field) below(name string, want reflect.Type) field {
	if f.err != nil || f.typ.Kind() != reflect.Pointer || f.typ.Elem().Kind() != reflect.Struct {
		return field{err: fmt.Errorf("no pointer to a struct with a field %s", name)}
	}
	g, ok := f.typ.Elem().FieldByName(name)
	switch {
	case !ok:
		return field{err: fmt.Errorf("%s has no field %s", f.typ.Elem(), name)}
	case want != nil && g.Type != want:
		return field{err: fmt.Errorf("%s.%s is a %s, not a %s", f.typ.Elem(), name, g.Type, want)}
	}
	return field{offset: g.Offset, typ: g.Type}
}

// checkSurgery reports whether this program fits the Go release that it was
// built with: how types lie in memory, and the fields named above.
func checkSurgery() error {
	if err := rtype.Check(); err != nil {
		return err
	}
	for _, f := range []field{scopeElems, scopeInner, namedMethods, checkerDecls, checkerKnown, packageObjs, packageNew, packageInfo, packageOnce, programMSets,
		namedInstance, namedState, namedChecker, instanceOrigin, instanceMethods, instanceContext, checkerContext, checkerCanon, contextTypes, contextIDs,
		programContext, functionGeneric, genericOnes} {
		if f.err != nil {
			return fmt.Errorf("this interpreter does not fit the Go release it was built with: %w", f.err)
		}
	}
	if methodsExpanded() == 0 {
		return fmt.Errorf("this interpreter does not fit the Go release it was built with: types.Named does not tell whether its methods are complete")
	}
	return nil
}

// within is a field of the struct that f is.
func (f field) within(name string, want reflect.Type) field {
	if f.err != nil || f.typ.Kind() != reflect.Struct {
		return field{err: fmt.Errorf("no struct with a field %s", name)}
	}
	g, ok := f.typ.FieldByName(name)
	switch {
	case !ok:
		return field{err: fmt.Errorf("%s has no field %s", f.typ, name)}
	case g.Type != want:
		return field{err: fmt.Errorf("%s.%s is a %s, not a %s", f.typ, name, g.Type, want)}
	}
	return field{offset: f.offset + g.Offset, typ: g.Type}
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

// forgetFiles makes a package's scope forget those of its files, in which
// nothing is looked up any more when they are checked.
func forgetFiles(p *types.Package) {
	*(*[]*types.Scope)(scopeInner.of(unsafe.Pointer(p.Scope()))) = nil
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
