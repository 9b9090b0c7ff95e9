package program

import (
	"fmt"
	"go/ast"
	"go/types"
	"slices"
	"strings"
)

// versions are the functions that one function of the program stands for,
// each from a cell on. Whoever calls it calls the one that holds at that time.
type versions struct {
	list []version
	// name is its own, variable holds the number of the version; 0 and 1 are
	// both the first.
	name, variable string
	// first is the cell of the first version.
	first *cell
}

type version struct {
	fn     *types.Func
	name   string
	broken string // why it is none any more
}

// link finds the functions and methods that have versions.
func (w *writer) link() {
	for _, c := range w.cells {
		if c.record == nil {
			continue
		}
		for _, r := range c.record.Replaced {
			v := w.versionsOf(r.Old)
			number := len(v.list) + 1
			v.list = append(v.list, version{fn: r.New, broken: r.Broken})
			if r.New != nil {
				w.versions[r.New] = v
			}
			c.starts = append(c.starts, start{v, number})
		}
	}
	// Methods of one type that were declared twice are versions of one, too,
	// where nothing called the first.
	methods := map[method]*types.Func{}
	for _, c := range w.cells {
		for _, fn := range c.methods() {
			m := method{receiver(fn), fn.Name()}
			old := methods[m]
			methods[m] = fn
			if old == nil || w.versions[fn] != nil {
				continue
			}
			v := w.versionsOf(old)
			v.list = append(v.list, version{fn: fn})
			w.versions[fn] = v
			c.starts = append(c.starts, start{v, len(v.list)})
		}
	}
}

type method struct {
	of   *types.TypeName
	name string
}

// start says which version holds from a cell on.
type start struct {
	of     *versions
	number int
}

// versionsOf returns what a function is a version of.
func (w *writer) versionsOf(fn *types.Func) *versions {
	v := w.versions[fn]
	if v == nil {
		v = &versions{list: []version{{fn: fn}}}
		w.versions[fn] = v
		w.chains = append(w.chains, v)
	}
	return v
}

// receiver returns the type that a method belongs to; nil for a function.
func receiver(fn *types.Func) *types.TypeName {
	recv := fn.Signature().Recv()
	if recv == nil {
		return nil
	}
	if n, ok := types.Unalias(deref(recv.Type())).(*types.Named); ok {
		return n.Origin().Obj()
	}
	return nil
}

// methods are those that a cell declares or declares again.
func (c *cell) methods() []*types.Func {
	if c.record == nil {
		return nil
	}
	var list []*types.Func
	for _, d := range slices.Concat(c.record.Again, c.record.Declared) {
		if d, ok := d.(*ast.FuncDecl); ok && d.Recv != nil {
			if fn, ok := c.record.Info.Defs[d.Name].(*types.Func); ok {
				list = append(list, fn)
			}
		}
	}
	return list
}

// nameVersions names the versions that a cell declares, and writes what calls
// them where the first of them is declared.
func (c *cell) nameVersions() error {
	for _, d := range slices.Concat(c.record.Again, c.record.Declared) {
		d, ok := d.(*ast.FuncDecl)
		if !ok {
			continue
		}
		fn, _ := c.record.Info.Defs[d.Name].(*types.Func)
		v := c.versions[fn]
		if v == nil {
			if of := receiverOf(fn); of != nil && !c.declares(of) {
				c.warn(c, "method %s.%s is added to a type of an earlier cell: the program has it from the beginning", of.Name(), fn.Name())
			}
			continue
		}
		if err := c.nameVersion(v, fn, d); err != nil {
			return err
		}
	}
	return nil
}

func receiverOf(fn *types.Func) *types.TypeName {
	if fn == nil {
		return nil
	}
	return receiver(fn)
}

// declares reports whether the cell declares a type, or declares it again.
func (c *cell) declares(t *types.TypeName) bool {
	for _, obj := range c.record.Info.Defs {
		if obj == types.Object(t) {
			return true
		}
	}
	return false
}

func (c *cell) nameVersion(v *versions, fn *types.Func, d *ast.FuncDecl) error {
	if v.name == "" {
		v.first = c
		v.name = fn.Name()
		if fn.Signature().Recv() == nil {
			v.name = c.topName(fn.Name())
		}
		v.variable = c.fresh(v.name + "Version")
	}
	first := v.list[0].fn
	if !sameSignature(first, fn) {
		return c.failAt(d.Name, MethodChanged, "method %s.%s is declared with another signature or receiver than before, and type %[1]s stays: a program has one method of a name", receiver(fn).Name(), fn.Name())
	}
	if recovers(c.record.Info, d.Body) {
		return c.failAt(d.Name, RecoversDirectly, "function %s calls recover and is replaced in the course of the notebook: in a program another function would call it, and recover return nil", fn.Name())
	}
	for i := range v.list {
		if v.list[i].fn != fn {
			continue
		}
		if fn.Signature().Recv() == nil {
			v.list[i].name = c.fresh(fmt.Sprintf("%s_v%d", fn.Name(), i+1))
		} else {
			v.list[i].name = fmt.Sprintf("version%dOf%s", i+1, fn.Name())
		}
		c.finals[fn] = v.name
	}
	return nil
}

func pointerReceiver(fn *types.Func) bool {
	recv := fn.Signature().Recv()
	if recv == nil {
		return false
	}
	_, ok := types.Unalias(recv.Type()).(*types.Pointer)
	return ok
}

// recovers reports whether a body calls recover outside of function literals.
func recovers(info *types.Info, body *ast.BlockStmt) bool {
	found := false
	ast.Inspect(body, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.FuncLit:
			return false
		case *ast.CallExpr:
			if id, ok := ast.Unparen(n.Fun).(*ast.Ident); ok {
				b, ok := info.Uses[id].(*types.Builtin)
				found = found || ok && b.Name() == "recover"
			}
		}
		return true
	})
	return found
}

// writeCaller writes the function that calls the version that holds.
func (c *cell) writeCaller(v *versions, d *ast.FuncDecl) error {
	fn := v.list[0].fn
	sig := fn.Signature()
	var params, args []string
	for i := range sig.Params().Len() {
		text, err := c.typeText(sig.Params().At(i).Type(), d)
		if err != nil {
			return err
		}
		arg := fmt.Sprintf("arg%d", i)
		if sig.Variadic() && i == sig.Params().Len()-1 {
			text = "..." + strings.TrimPrefix(text, "[]")
			args = append(args, arg+"...")
		} else {
			args = append(args, arg)
		}
		params = append(params, arg+" "+text)
	}
	results, err := c.tupleText(sig.Results(), d)
	if err != nil {
		return err
	}
	head, prefix := "func ", ""
	typeParams, typeArgs := "", ""
	if recv := sig.Recv(); recv != nil {
		text, err := c.typeText(recv.Type(), d)
		if err != nil {
			return err
		}
		head += "(receiver " + text + ") "
		prefix = "receiver."
	} else if d.Type.TypeParams != nil {
		typeParams = c.text(d.Type.TypeParams)
		var names []string
		for p := range sig.TypeParams().TypeParams() {
			names = append(names, p.Obj().Name())
		}
		typeArgs = "[" + strings.Join(names, ", ") + "]"
	}
	call := func(name string) string {
		text := prefix + name + typeArgs + "(" + strings.Join(args, ", ") + ")"
		if results != "" {
			return "return " + text
		}
		return text
	}
	fmt.Fprintf(&c.declarations, "// %s calls the version that the cells so far have declared.\n%s%s%s(%s) %s {\n\tswitch %s {\n",
		v.name, head, v.name, typeParams, strings.Join(params, ", "), results, v.variable)
	for i, version := range v.list[1:] {
		fmt.Fprintf(&c.declarations, "\tcase %d:\n", i+2)
		if version.fn == nil {
			fmt.Fprintf(&c.declarations, "\t\tpanic(%q)\n", v.name+" no longer compiles: "+version.broken)
			continue
		}
		fmt.Fprintf(&c.declarations, "\t\t%s\n", call(version.name))
		if results == "" {
			c.declarations.WriteString("\t\treturn\n")
		}
	}
	fmt.Fprintf(&c.declarations, "\t}\n\t%s\n}\n\nvar %s int\n\n", call(v.list[0].name), v.variable)
	return nil
}
