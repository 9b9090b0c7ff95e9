package repl

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
)

func TestCompleteness(t *testing.T) {
	for _, v := range []struct {
		source string
		want   execution.Completeness
		indent string
	}{
		{"", execution.Complete, ""},
		{"1+1", execution.Complete, ""},
		{"x := 1\nx", execution.Complete, ""},
		{"import \"fmt\"\nfmt.Println(1)\nfunc f() int { return 1 }\nf()", execution.Complete, ""},
		{"package main\n\nfunc main() {}\n", execution.Complete, ""},
		{"type T struct {\n\tA int\n}\nfunc (t T) M() {}\nT{1}", execution.Complete, ""},
		{"// only a comment", execution.Complete, ""},
		{"for i := range 10 {", execution.Incomplete, "\t"},
		{"func f() {\n\tif x {", execution.Incomplete, "\t\t"},
		{"f(1,", execution.Incomplete, "\t"},
		{"x := 1 +", execution.Incomplete, ""},
		{"s := `open", execution.Incomplete, ""},
		{"/* open", execution.Incomplete, ""},
		{"a.", execution.Incomplete, ""},
		{"x := 1\nfunc f(", execution.Incomplete, "\t"},
		{"s := \"open", execution.Invalid, ""},
		{"1 = = 2", execution.Invalid, ""},
		{"}", execution.Invalid, ""},
		{"f(1))", execution.Invalid, ""},
		{"if { }", execution.Invalid, ""},
		{"help fmt", execution.Complete, ""},
		{"list variables", execution.Complete, ""},
		{"stop running;", execution.Complete, ""},
		{"stop variables", execution.Invalid, ""},
		{"forget x", execution.Complete, ""},
		{"// the name of a package again\nforget len, T.M", execution.Complete, ""},
		{"forget everything", execution.Complete, ""},
		{"forget x\ny := 1", execution.Invalid, ""},
	} {
		got, indent := new(Evaluator).Completeness(v.source)
		if got != v.want || indent != v.indent {
			t.Errorf("%q is %s with indent %q, want %s with %q", v.source, got, indent, v.want, v.indent)
		}
	}
}
