// Package symbols makes compiled packages visible to the interpreter: the standard
// library, the numerical and plotting packages and the project's own. Its
// tables are generated; see packages.txt for the list and generate for how.
package symbols

import (
	pathpkg "path"
	"runtime/debug"
	"slices"
	"strings"
	"sync"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/precompiled"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/added"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/own"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/packed"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/std"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/table"
)

//go:generate go run ./generate

// Default returns the library of everything that was linked in.
func Default() precompiled.Library { return standard }

var standard = &linked{sets: []*table.Set{std.Set, own.Set, added.Set}}

// linked is a library over generated tables.
type linked struct {
	sets []*table.Set

	mu       sync.Mutex
	packages map[string]*precompiled.Package
	docs     map[string][]string
}

func (l *linked) Lookup(path string) *precompiled.Package {
	l.mu.Lock()
	defer l.mu.Unlock()
	if p, ok := l.packages[path]; ok {
		return p
	}
	for _, set := range l.sets {
		for _, t := range set.Assembly {
			if t.Path == path {
				return &precompiled.Package{Path: t.Path, Name: t.Name, Func: t.Funcs.Lookup, FromSource: true}
			}
		}
		if t := set.Lookup(path); t != nil {
			p := l.make(set, t)
			if l.packages == nil {
				l.packages = make(map[string]*precompiled.Package)
			}
			l.packages[path] = p
			return p
		}
	}
	return nil
}

// make joins a table with its type data or source.
func (l *linked) make(set *table.Set, t *table.Package) *precompiled.Package {
	p := &precompiled.Package{
		Path: t.Path, Name: t.Name, Module: moduleOf(t.Path), Imported: set.Acting[t.Path],
		Func: t.Funcs.Lookup,
		Var:  t.Vars.Lookup,
		Type: func(name string) any {
			if strings.HasSuffix(name, "]") {
				return l.instance(t.Path + "." + name)
			}
			return t.Types.Lookup(name)
		},
	}
	for _, archive := range set.Types {
		if key := packed.SourceKey(t.Path); archive.Has(key) {
			p.Requires = archive.Attributes(key)
			p.Source = pairs(archive, key)
			break
		}
		if archive.Has(t.Path) {
			p.Requires = archive.Attributes(t.Path)
			p.Export = func() ([]byte, error) { return archive.Data(t.Path) }
			break
		}
	}
	return p
}

// versions are those of the modules that the program is built from.
var versions = sync.OnceValue(func() map[string]string {
	out := map[string]string{}
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, m := range info.Deps {
			if m.Replace == nil {
				out[m.Path] = m.Version
			}
		}
	}
	return out
})

// moduleOf finds the module of a package, PATH@VERSION.
func moduleOf(path string) string {
	for p := path; strings.Contains(p, "."); p = pathpkg.Dir(p) {
		if v := versions()[p]; v != "" {
			return p + "@" + v
		}
		if p == pathpkg.Dir(p) {
			break
		}
	}
	return ""
}

func (l *linked) instance(name string) any {
	for _, set := range l.sets {
		if v := set.Instances.Lookup(name); v != nil {
			return v
		}
	}
	return nil
}

// pairs unpacks a source entry. The archive is part of the program, so that
// it cannot be damaged on its own.
func pairs(archive *packed.Archive, key string) map[string]string {
	data, err := archive.Data(key)
	if err != nil {
		panic(err)
	}
	flat, err := packed.SplitTexts(data)
	if err != nil {
		panic(err)
	}
	files := make(map[string]string)
	for i := 0; i+1 < len(flat); i += 2 {
		files[flat[i]] = flat[i+1]
	}
	return files
}

func (l *linked) Paths() []string {
	var paths []string
	for _, set := range l.sets {
		for _, p := range set.Packages {
			if !strings.Contains("/"+p.Path+"/", "/internal/") {
				paths = append(paths, p.Path)
			}
		}
	}
	slices.Sort(paths)
	return paths
}

func (l *linked) Doc(path, symbol string) (precompiled.Doc, bool) {
	flat := l.packageDocs(path)
	// Triples of symbol, signature, text, sorted by symbol.
	n := len(flat) / 3
	low, high := 0, n
	for low < high {
		mid := (low + high) / 2
		if flat[3*mid] < symbol {
			low = mid + 1
		} else {
			high = mid
		}
	}
	if low == n || flat[3*low] != symbol {
		return precompiled.Doc{}, false
	}
	return precompiled.Doc{Signature: flat[3*low+1], Text: flat[3*low+2]}, true
}

// packageDocs unpacks the docs of a package, once.
func (l *linked) packageDocs(path string) []string {
	l.mu.Lock()
	defer l.mu.Unlock()
	if flat, ok := l.docs[path]; ok {
		return flat
	}
	for _, set := range l.sets {
		for _, archive := range set.Docs {
			data, err := archive.Data(path)
			if err != nil || data == nil {
				continue
			}
			flat, err := packed.SplitTexts(data)
			if err != nil {
				continue
			}
			if l.docs == nil {
				l.docs = make(map[string][]string)
			}
			l.docs[path] = flat
			return flat
		}
	}
	return nil
}
