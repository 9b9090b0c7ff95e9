package main

import (
	"runtime"
	"strings"
	"testing"
)

// Of a package that is added, a generic declaration whose body needs what only
// compiled code can reach is found, and nothing else is left out.
func TestUnreachableGenerics(t *testing.T) {
	root, err := moduleRoot()
	if err != nil {
		t.Fatal(err)
	}
	g := newGenerator(root, added, "", goRelease{toolchain: runtime.Version()})
	loaded, err := g.load(here, []string{"database/sql", "cmp", "iter", "sync"}, func(string) bool { return true })
	if err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{
		"database/sql": "Null",        // a variable that is not exported
		"iter":         "Pull, Pull2", // internal packages
		"cmp":          "",
		"sync":         "",
	} {
		if got := strings.Join(sortedKeys(g.unreachable(loaded[path])), ", "); got != want {
			t.Errorf("%s: %q, want %q", path, got, want)
		}
	}
}

// What Go does not allow in a name is left out of one.
func TestIdentifier(t *testing.T) {
	for path, want := range map[string]string{"gopkg.in/yaml.v3": "p_gopkg_in_yaml_v3", "a.org/b-c/d+e~f": "p_a_org_b_c_d_e_f", modulePath + "/pkg/air": "p_pkg_air"} {
		if got := identifier(path); got != want {
			t.Errorf("%s: %s, want %s", path, got, want)
		}
	}
}

func TestSameIdentifier(t *testing.T) {
	if err := distinct([]string{"a.org/b/c", "a.org/b", "a.org/d"}); err != nil {
		t.Error(err)
	}
	if err := distinct([]string{"a.org/b/c", "a.org/d", "a.org/b-c"}); err == nil || !strings.Contains(err.Error(), "a.org/b/c and a.org/b-c") {
		t.Errorf("%v", err)
	}
}
