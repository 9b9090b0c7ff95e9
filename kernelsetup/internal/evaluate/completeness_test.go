package evaluate

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/cell"
)

func TestCompleteness(t *testing.T) {
	for _, v := range []struct {
		source string
		want   cell.Completeness
		indent string
	}{
		{"", cell.Complete, ""},
		{"1+1", cell.Complete, ""},
		{"x := 1\nx", cell.Complete, ""},
		{"import \"fmt\"\nfmt.Println(1)\nfunc f() int { return 1 }\nf()", cell.Complete, ""},
		{"package main\n\nfunc main() {}\n", cell.Complete, ""},
		{"type T struct {\n\tA int\n}\nfunc (t T) M() {}\nT{1}", cell.Complete, ""},
		{"// only a comment", cell.Complete, ""},
		{"for i := range 10 {", cell.Incomplete, "\t"},
		{"func f() {\n\tif x {", cell.Incomplete, "\t\t"},
		{"f(1,", cell.Incomplete, "\t"},
		{"x := 1 +", cell.Incomplete, ""},
		{"s := `open", cell.Incomplete, ""},
		{"/* open", cell.Incomplete, ""},
		{"a.", cell.Incomplete, ""},
		{"x := 1\nfunc f(", cell.Incomplete, "\t"},
		{"s := \"open", cell.Invalid, ""},
		{"1 = = 2", cell.Invalid, ""},
		{"}", cell.Invalid, ""},
		{"f(1))", cell.Invalid, ""},
		{"if { }", cell.Invalid, ""},
	} {
		got, indent := completeness(v.source)
		if got != v.want || indent != v.indent {
			t.Errorf("%q is %s with indent %q, want %s with %q", v.source, got, indent, v.want, v.indent)
		}
	}
}
