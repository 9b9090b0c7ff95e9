package main

import (
	"strings"
	"testing"
)

// TestFilesAreCurrent fails when somebody has changed the table, or one of the
// files by hand, and not run make generate.
func TestFilesAreCurrent(t *testing.T) {
	t.Chdir("..")
	if err := run(true); err != nil {
		t.Error(err)
	}
}

func TestTranslate(t *testing.T) {
	for _, c := range []struct {
		line, want string
	}{
		{line: "int[a] = int[b] + c", want: "*si(s, in.a) = *si(s, in.b) + int64(in.c)"},
		{line: "uint[a] = uint[b] << (uint32(c) & 63)", want: "*su(s, in.a) = *su(s, in.b) << (uint32(in.c) & 63)"},
		{line: "float32[a] = float32[b] + float32[c]", want: "*su(s, in.a) = uint64(math.Float32bits(*sf32(s, in.b) + *sf32(s, in.c)))"},
		{line: "bool[a] = ptr[b] == ptr[c]", want: "*su(s, in.a) = b2u(*pp(p, in.b) == *pp(p, in.c))"},
		{line: "uint[8*x+8] = mem[uint64+16]", want: "*su(s, int32(in.x)*8+8) = *(*uint64)(unsafe.Add(q, 16))"},
		{line: "if int[c] == 0 { failDivide() }; int[a] = 1", want: "if *si(s, in.c) == 0 {\nt.pc = pc\nfailDivide()\nreturn\n}\n*si(s, in.a) = 1"},
		{line: "storeCopy(&ptr[a], ptrs[d], address)", want: "storeCopy(pp(p, in.a), code.ptrs[in.d], q)"},
		{line: "int[a] < b", want: "*si(s, in.a) < int64(in.b)"},
	} {
		got, err := translate(c.line)
		if err != nil || got != c.want {
			t.Errorf("%s: %q, %v", c.line, got, err)
		}
	}
	if _, err := translate("int[a] ="); err == nil {
		t.Error("half a line is translated")
	}
}

// TestTable looks at what the files can't show.
func TestTable(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range table {
		for _, op := range s.ops {
			if seen[op.name] || op.note == "" {
				t.Errorf("%s stands there twice, or without a word for its reader", op.name)
			}
			seen[op.name] = true
			if strings.Contains(op.does, "\n") {
				t.Errorf("%s does more than a line says", op.name)
			}
		}
	}
}
