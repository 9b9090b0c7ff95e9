package program

import (
	"go/ast"
	"go/types"
	"maps"
	"slices"
	"strconv"
)

// name gives names to what a cell declares, and says where names or types are
// not the notebook's.
func (c *cell) name() error {
	if c.record == nil {
		return nil
	}
	for _, spec := range c.record.Imports {
		if spec.Name != nil && spec.Name.Name == "_" {
			if path, err := strconv.Unquote(spec.Path.Value); err == nil && !slices.Contains(c.blank, path) {
				c.writer.blank = append(c.writer.blank, path)
			}
		}
	}
	for _, obj := range c.declared() {
		switch o := obj.(type) {
		case *types.Var:
			if old := c.record.Kept[o]; old != nil {
				c.finals[o] = c.final(old)
				continue
			}
		case *types.Func:
			if c.versions[o] != nil { // named with the first
				continue
			}
		case *types.TypeName:
			if c.taken(o.Name()) && !o.IsAlias() {
				c.warn(c, "type %s is declared again: values of the second print their type by another name", o.Name())
			}
		}
		c.finals[obj] = c.topName(obj.Name())
	}
	return c.nameVersions()
}

// topName is unique for a name of the notebook.
func (w *writer) topName(name string) string {
	if types.Universe.Lookup(name) != nil { // others go on using it
		w.names[name] = true
	}
	return w.unique(name)
}

func (w *writer) taken(name string) bool { return w.names[name] }

// declared are the objects that a cell declares at its top level, in the order
// of the text: first what is declared again, then its own.
func (c *cell) declared() []types.Object {
	r := c.record
	var list []types.Object
	top := func(id *ast.Ident) {
		obj := r.Info.Defs[id]
		if obj != nil && id.Name != "_" {
			list = append(list, obj)
		}
	}
	for _, d := range slices.Concat(r.Again, r.Declared) {
		switch d := d.(type) {
		case *ast.FuncDecl:
			if d.Recv == nil {
				top(d.Name)
			}
		case *ast.GenDecl:
			for _, spec := range d.Specs {
				switch spec := spec.(type) {
				case *ast.TypeSpec:
					top(spec.Name)
				case *ast.ValueSpec:
					for _, n := range spec.Names {
						top(n)
					}
				}
			}
		}
	}
	// Variables are declared by steps and by what stands for them.
	vars := map[*types.Var]bool{}
	for id, obj := range r.Info.Defs {
		v, ok := obj.(*types.Var)
		if ok && !v.IsField() && v.Pkg() == r.Pkg && v.Parent() == r.Pkg.Scope() && c.offset(id) >= 0 {
			vars[v] = true
		}
	}
	sorted := slices.SortedFunc(maps.Keys(vars), func(a, b *types.Var) int {
		return c.record.Places.Offset(a.Pos()) - c.record.Places.Offset(b.Pos())
	})
	for _, v := range sorted {
		list = append(list, v)
	}
	return list
}

// offset is where a node begins in its cell, -1 for one that no cell has.
func (c *cell) offset(n ast.Node) int { return c.record.Places.Offset(n.Pos()) }
