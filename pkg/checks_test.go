package pkg_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// formulas are the files, in each physical package, that list its published
// formulas and constants with what they were checked against outside this
// project. A row is
//
//	formula PACKAGE.NAME, PACKAGE.TYPE.METHOD: what it is
//	  KIND PACKAGE.TEST: the source
//	  tried: what was looked for in vain
//	  widens PACKAGE.TEST: how what is unchecked widens its band
//
// with the kinds of checks below.
const formulas = "testdata/formulas*.txt"

// physical are the packages that calculate by published formulas. Statistics
// have published checks of their own (pkg/internal/published).
var physical = []string{"air", "duct", "engine", "fuel", "heat", "roadload", "segment", "sensor", "weather"}

// kinds of checks. The first ones are outside this project and not the same
// formula worked once more, so that they count.
var kinds = map[string]bool{
	"printed":  true,  // a number that somebody else printed
	"computed": true,  // numbers of a program by somebody else, stored with the script
	"law":      true,  // a published formula of another shape, or a limit that any textbook gives
	"measured": true,  // measurements by somebody else
	"worked":   false, // the same formula worked outside this project
	"memory":   false, // a number from memory alone
}

// check is one line of a formula's row.
type check struct{ kind, test, source string }

// formula is one row.
type formula struct {
	where   string   // file, line and name
	names   []string // package.Name or package.Type.Method
	what    string
	checks  []check
	tried   []string
	widened []check // test and how what is unchecked widens its band
}

func (f formula) outside() (n int) {
	for _, c := range f.checks {
		if kinds[c.kind] {
			n++
		}
	}
	return n
}

var (
	formulaLine = regexp.MustCompile(`^formula ([\w., ]+): (.+)$`)
	checkLine   = regexp.MustCompile(`^  (widens|` + strings.Join(slices.Collect(maps.Keys(kinds)), "|") + `) (\w+\.Test\w+): (.+)$`)
	triedLine   = regexp.MustCompile(`^  tried: (.+)$`)
)

func readFormulas(t *testing.T) (all []formula) {
	t.Helper()
	for _, p := range physical {
		paths, err := filepath.Glob(filepath.Join(p, formulas))
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range paths { // none: a package without published formulas of its own
			all = append(all, readList(t, path)...)
		}
	}
	if len(all) < 60 {
		t.Fatalf("only %d formulas", len(all))
	}
	return all
}

func readList(t *testing.T, path string) (all []formula) {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for i, line := range strings.Split(string(text), "\n") {
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		if m := formulaLine.FindStringSubmatch(line); m != nil {
			names := strings.Split(m[1], ", ")
			all = append(all, formula{where: fmt.Sprintf("%s:%d, %s", path, i+1, names[0]), names: names, what: m[2]})
			continue
		}
		if len(all) == 0 || !all[len(all)-1].add(line) {
			t.Fatalf("%s:%d: not understood: %q", path, i+1, line)
		}
	}
	return all
}

// add takes in one line below a formula and reports whether it is one.
func (f *formula) add(line string) bool {
	m, tried := checkLine.FindStringSubmatch(line), triedLine.FindStringSubmatch(line)
	switch {
	case tried != nil:
		f.tried = append(f.tried, tried[1])
	case m == nil:
		return false
	case m[1] == "widens":
		f.widened = append(f.widened, check{m[1], m[2], m[3]})
	default:
		f.checks = append(f.checks, check{m[1], m[2], m[3]})
	}
	return true
}

// source is what the list is compared with: the declarations and tests of a
// package.
type source struct {
	declared  map[string]bool            // names, methods as Type.Name
	published map[string]bool            // functions whose comment names a source
	mentions  map[string]map[string]bool // identifiers that a function mentions, by its bare name
}

// sourced finds the source in a comment; statistics, as those of JCGM, need no
// row.
var sourced = regexp.MustCompile(`Source:\s+(\S+)`)

// parsed reads one package.
func parsed(t *testing.T, dir string) source {
	t.Helper()
	s := source{map[string]bool{}, map[string]bool{}, map[string]map[string]bool{}}
	files, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	set := token.NewFileSet()
	for _, path := range files {
		file, err := parser.ParseFile(set, path, nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		test := strings.HasSuffix(path, "_test.go")
		for _, d := range file.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				s.mention(d)
				if test {
					continue
				}
				name := methodOf(d) + d.Name.Name
				s.declared[name] = true
				if m := sourced.FindStringSubmatch(d.Doc.Text()); m != nil && !strings.HasPrefix(m[1], "JCGM") {
					s.published[name] = true
				}
			case *ast.GenDecl:
				if !test {
					declareAll(d, s.declared)
				}
			}
		}
	}
	return s
}

// mention notes the identifiers of a function. Methods of one name go together.
func (s source) mention(d *ast.FuncDecl) {
	all := s.mentions[d.Name.Name]
	if all == nil {
		all = map[string]bool{}
		s.mentions[d.Name.Name] = all
	}
	ast.Inspect(d, func(n ast.Node) bool {
		if i, ok := n.(*ast.Ident); ok {
			all[i.Name] = true
		}
		return true
	})
}

func methodOf(d *ast.FuncDecl) string {
	if d.Recv == nil {
		return ""
	}
	of := d.Recv.List[0].Type
	if star, ok := of.(*ast.StarExpr); ok {
		of = star.X
	}
	if i, ok := of.(*ast.Ident); ok {
		return i.Name + "."
	}
	return ""
}

func declareAll(d *ast.GenDecl, declared map[string]bool) {
	for _, spec := range d.Specs {
		switch spec := spec.(type) {
		case *ast.TypeSpec:
			declared[spec.Name.Name] = true
		case *ast.ValueSpec:
			for _, n := range spec.Names {
				declared[n.Name] = true
			}
		}
	}
}

// reaches reports whether a test, or a function that it calls, mentions an
// identifier.
func (s source) reaches(test, identifier string) bool {
	seen := map[string]bool{}
	var look func(name string) bool
	look = func(name string) bool {
		if seen[name] || s.mentions[name] == nil {
			return false
		}
		seen[name] = true
		if s.mentions[name][identifier] {
			return true
		}
		for called := range s.mentions[name] {
			if look(called) {
				return true
			}
		}
		return false
	}
	return look(test)
}

// TestFormulasHaveOutsideChecks proves the list: what it names exists, each
// test that it names does reach the formula, each formula has two checks that
// are outside this project and not the same formula worked again, or says what
// was tried and which test shows that its band is wider for it.
func TestFormulasHaveOutsideChecks(t *testing.T) {
	sources := map[string]source{}
	for _, p := range physical {
		sources[p] = parsed(t, p)
	}
	all, unchecked := readFormulas(t), 0
	for _, f := range all {
		where := f.where
		var last []string // the identifiers of the formula itself
		for _, name := range f.names {
			p, own, _ := strings.Cut(name, ".")
			if !sources[p].declared[own] {
				t.Errorf("%s: %s is not declared", where, name)
			}
			last = append(last, own[strings.LastIndex(own, ".")+1:])
		}
		for _, c := range slices.Concat(f.checks, f.widened) {
			p, test, _ := strings.Cut(c.test, ".")
			switch s := sources[p]; {
			case s.mentions[test] == nil:
				t.Errorf("%s: there is no test %s", where, c.test)
			case kinds[c.kind] && strings.Contains(c.source, "memory"):
				t.Errorf("%s: %q is from memory, and counted", where, c.source)
			case !slices.ContainsFunc(last, func(name string) bool { return s.reaches(test, name) }):
				t.Errorf("%s: %s uses none of %v", where, c.test, last)
			}
		}
		if f.outside() >= 2 {
			continue
		}
		unchecked++
		if len(f.tried) == 0 || len(f.widened) == 0 {
			t.Errorf("%s: %d outside checks. Find two, or say under \"tried\" what was looked for, and name under \"widens\" the test that shows how its band is wider for it", where, f.outside())
		}
	}
	t.Logf("%d formulas of %d are unchecked", unchecked, len(all))
}

// TestPublishedFormulasAreListed finds functions whose comment names a source
// and which the list does not have.
func TestPublishedFormulasAreListed(t *testing.T) {
	listed := map[string]bool{}
	for _, f := range readFormulas(t) {
		for _, name := range f.names {
			listed[name] = true
		}
	}
	for _, p := range physical {
		for name := range parsed(t, p).published {
			if !listed[p+"."+name] {
				t.Errorf("%s.%s names a source and is not in %s", p, name, filepath.Join(p, formulas))
			}
		}
	}
}
