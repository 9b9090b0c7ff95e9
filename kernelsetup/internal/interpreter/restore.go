package interpreter

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"maps"
	"reflect"
	"slices"
	"strings"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/snapshot"
)

// Back is what a new interpreter has of a saved notebook.
type Back struct {
	// Variables have their values, Declared are types, functions, methods and
	// constants.
	Variables, Declared []string
	// Left is what is not there, and why.
	Left []snapshot.Left
	// Failed are groups whose values can't be set: an interpreter that has tried
	// is of no use.
	Failed []int
}

// Restore declares what was saved and sets the variables, in an interpreter that
// has run nothing. Nothing of the notebook is run: packages from source are
// initialised by the next cell.
func (e *Interpreter) Restore(saved Saved) Back { return e.session.restore(saved) }

// restoring is one restoration.
type restoring struct {
	s     *session
	saved Saved
	units []*unit
	specs []*ast.ImportSpec
	back  Back
}

func (s *session) restore(saved Saved) Back {
	s.run.Lock()
	defer s.run.Unlock()
	s.state.Lock()
	defer s.state.Unlock()
	defer s.packages.loaded()
	r := &restoring{s: s, saved: saved}
	r.back.Left = slices.Clone(saved.Left)
	r.imports()
	r.declarations()
	r.variables()
	r.declare()
	r.set()
	s.lastCell = saved.After
	return r.back
}

func (r *restoring) left(name, why string) {
	r.back.Left = append(r.back.Left, snapshot.Left{Name: name, Why: why})
}

// imports imports what the notebook had imported, and what is needed to name
// the types of variables.
func (r *restoring) imports() {
	add := func(name, path string, silent bool) {
		if _, err := r.s.packages.Import(path); err != nil {
			if !silent {
				r.left("import "+name, err.Error())
			}
			return
		}
		r.specs = append(r.specs, &ast.ImportSpec{Name: ident(name, token.NoPos), Path: &ast.BasicLit{Kind: token.STRING, Value: fmt.Sprintf("%q", path)}})
	}
	for _, name := range slices.Sorted(maps.Keys(r.saved.Imports)) {
		add(name, r.saved.Imports[name], false)
	}
	for _, path := range r.saved.Dots {
		add(".", path, false)
	}
	names := map[string]string{}
	for _, v := range r.saved.Variables {
		maps.Copy(names, v.Packages)
	}
	for _, name := range slices.Sorted(maps.Keys(names)) {
		add(name, names[name], true)
	}
}

// declarations collects the live ones, each in the text of its own cell, so
// that places in errors stay what they were.
func (r *restoring) declarations() {
	for _, c := range r.saved.Cells {
		src, errs := r.s.place.Parse(c.Name, c.Text)
		if len(errs) > 0 {
			for _, k := range c.Keys {
				r.left(k, "its cell can't be read: "+errs[0].Msg)
			}
			continue
		}
		live := map[string]bool{}
		for _, k := range c.Keys {
			live[k] = true
		}
		for _, u := range r.s.place.unitsOf(src, src.Decls) {
			if u.tok == token.VAR || !slices.ContainsFunc(u.keys, func(k string) bool { return live[k] }) {
				continue
			}
			if u.tok == token.CONST {
				u.without(live)
			}
			r.units = append(r.units, u)
		}
	}
}

// without blanks the names of constants that are not live.
func (u *unit) without(live map[string]bool) {
	for _, sp := range u.decl.(*ast.GenDecl).Specs {
		for _, id := range sp.(*ast.ValueSpec).Names {
			if !live[id.Name] {
				id.Name = "_"
			}
		}
	}
	u.keys = slices.DeleteFunc(u.keys, func(k string) bool { return !live[k] })
}

// variables makes declarations for the variables.
func (r *restoring) variables() {
	for _, v := range r.saved.Variables {
		text := "package main;var " + v.Name + " " + v.Type
		src := &meaning.Source{Name: v.Cell, Text: []byte(text)}
		f, err := parser.ParseFile(r.s.fset, "", text, parser.SkipObjectResolution)
		if err != nil {
			r.left(v.Name, "its type can't be written: "+v.Type)
			continue
		}
		r.s.place.Add(r.s.fset.File(f.Pos()), src)
		r.units = append(r.units, r.s.place.genUnits(src, f.Decls[0].(*ast.GenDecl))...)
	}
}

// declare declares all that can be: what does not compile without what is gone
// is gone, too.
func (r *restoring) declare() {
	s := r.s
	for range len(r.units) + 1 {
		s.cells++
		cell := &meaning.Cell{Source: &meaning.Source{Name: r.saved.After}, ShowAt: -1, Ordered: true, Imports: r.specs}
		p := &prepared{Cell: cell, units: r.units}
		p.fn = &ast.FuncDecl{Name: ident(fmt.Sprintf("cell·%d", s.cells), token.NoPos), Body: &ast.BlockStmt{},
			Type: &ast.FuncType{Params: &ast.FieldList{}}}
		c, fail := s.plan(p, s.reload(nil))
		if fail != nil { // an import, all of which were tried
			r.leave(r.units, fail.Message)
			return
		}
		var errs []types.Error
		s.machine.Exclude(func() { errs = c.complete() })
		if errs == nil {
			r.commit(c)
			return
		}
		if !r.drop(errs) {
			r.leave(r.units, errs[0].Msg)
			return
		}
	}
}

func (r *restoring) leave(units []*unit, why string) {
	for _, u := range units {
		for _, k := range u.keys {
			r.left(k, why)
		}
	}
	r.units = nil
}

// drop leaves out the declarations in which errors are.
func (r *restoring) drop(errs []types.Error) bool {
	bad := map[*unit]string{}
	for _, e := range errs {
		for _, u := range r.units {
			if u.decl.Pos() <= e.Pos && e.Pos <= u.decl.End() || slices.ContainsFunc(specsOf(u), func(sp ast.Spec) bool { return sp.Pos() <= e.Pos && e.Pos <= sp.End() }) {
				bad[u] = e.Msg
			}
		}
	}
	var keep []*unit
	for _, u := range r.units {
		if why, ok := bad[u]; ok {
			for _, k := range u.keys {
				r.left(k, "it does not compile without what is gone: "+why)
			}
			continue
		}
		keep = append(keep, u)
	}
	r.units = keep
	return len(bad) > 0
}

func specsOf(u *unit) []ast.Spec {
	if g, ok := u.decl.(*ast.GenDecl); ok {
		return g.Specs
	}
	return nil
}

// commit makes the declarations part of the notebook, and runs nothing.
func (r *restoring) commit(c *change) {
	s := r.s
	pr := c.commit()
	s.packages.toInit = append(s.packages.toInit, pr.inits...)
	s.drop(pr.cell.Object())
	s.machine.Forget(pr.cell)
	for name := range s.imports {
		if strings.HasPrefix(name, restoredPrefix) {
			delete(s.imports, name)
		}
	}
	for _, u := range r.units {
		if u.tok != token.VAR {
			r.back.Declared = append(r.back.Declared, u.keys...)
		}
	}
	slices.Sort(r.back.Declared)
}

// set gives the variables their values.
func (r *restoring) set() {
	for i, g := range r.saved.Groups {
		var places []reflect.Value
		for _, name := range g.Names {
			v, _ := r.s.pkg.Scope().Lookup(name).(*types.Var)
			global, _ := r.s.objects[v].(*ssa.Global)
			if v == nil || global == nil {
				break
			}
			place, err := r.s.machine.Global(global)
			if err != nil {
				break
			}
			places = append(places, place)
		}
		if len(places) < len(g.Names) || snapshot.Read(g.Data, places, r.s.typeOf) != nil {
			r.back.Failed = append(r.back.Failed, i)
			continue
		}
		r.back.Variables = append(r.back.Variables, g.Names...)
	}
	slices.Sort(r.back.Variables)
}
