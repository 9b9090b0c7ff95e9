//go:build proof

package oracle

import (
	"flag"
	"fmt"
	"os"
	"runtime"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "store the result")

// Ten thousand sequences, in parts that BONNETBOOK_ORACLE_SEED and _COUNT may
// choose; testdata/result.txt holds what came out.
//
//	go test -tags proof -timeout 120m -run TestTenThousand ./kernelsetup/internal/interpreter/oracle -update
func TestTenThousandSequences(t *testing.T) {
	first, count := number("BONNETBOOK_ORACLE_SEED", 1), number("BONNETBOOK_ORACLE_COUNT", 10_000)
	total := sequences(first, count, func(done int) {
		if done%500 == 0 {
			fmt.Printf("%d of %d\n", done, count)
		}
	})
	for _, f := range total.fails {
		t.Error(f)
	}
	text := report(first, total)
	t.Log(text)
	if *update {
		if err := os.WriteFile("testdata/result.txt", []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func report(first int, total sum) string {
	var b strings.Builder
	fmt.Fprintf(&b, "go test -tags proof -timeout 120m -run TestTenThousand ./kernelsetup/internal/interpreter/oracle -update\n\n")
	fmt.Fprintf(&b, "release      %s\n", runtime.Version())
	fmt.Fprintf(&b, "seeds        %d to %d\n", first, first+total.sequences-1)
	fmt.Fprintf(&b, "sequences    %d, %d of them failed\n", total.sequences, len(total.fails))
	fmt.Fprintf(&b, "answers      %d\n", total.probes)
	fmt.Fprintf(&b, "  old        %d, each announced by a notice\n", total.excused)
	fmt.Fprintf(&b, "needless     %d notices about names whose answers were equal all the same\n", total.needless)
	for _, f := range total.fails {
		line, _, _ := strings.Cut(f, "\n")
		fmt.Fprintf(&b, "failed       %s\n", line)
	}
	return b.String()
}
