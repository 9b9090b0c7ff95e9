//go:build proof

package oracle

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "store the result")

// aPart makes the test binary run some sequences and write their sum there.
const aPart = "BONNETBOOK_ORACLE_PART"

// Ten thousand sequences, or those that BONNETBOOK_ORACLE_SEED and _COUNT
// choose; testdata/result.txt holds what came out. Each thousand has a process
// of its own: methods of types are never given back, and thousands of
// notebooks in one process would use them up.
//
//	go test -tags proof -timeout 120m -run TestTenThousand ./kernelsetup/internal/interpreter/oracle -update
func TestTenThousandSequences(t *testing.T) {
	first, count := number("BONNETBOOK_ORACLE_SEED", 1), number("BONNETBOOK_ORACLE_COUNT", 10_000)
	if file := os.Getenv(aPart); file != "" {
		text, err := json.Marshal(partOf(sequences(first, count, nil)))
		if err == nil {
			err = os.WriteFile(file, text, 0o644)
		}
		if err != nil {
			t.Fatal(err)
		}
		return
	}
	const most = 1000
	var total sum
	for done := 0; done < count; done += most {
		total.add(inProcess(t, first+done, min(most, count-done)))
		fmt.Printf("%d of %d, %d failed\n", total.sequences, count, len(total.fails))
	}
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

// part is a sum as another process tells it.
type part struct {
	Sequences, Probes, Excused, Needless int
	Fails                                []string
}

func partOf(s sum) part { return part{s.sequences, s.probes, s.excused, s.needless, s.fails} }

func (s *sum) add(p part) {
	s.sequences += p.Sequences
	s.probes += p.Probes
	s.excused += p.Excused
	s.needless += p.Needless
	s.fails = append(s.fails, p.Fails...)
}

func inProcess(t *testing.T, first, count int) (p part) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "part.json")
	c := exec.Command(os.Args[0], "-test.run=^TestTenThousandSequences$", "-test.timeout=60m")
	c.Env = append(os.Environ(), aPart+"="+file,
		fmt.Sprint("BONNETBOOK_ORACLE_SEED=", first), fmt.Sprint("BONNETBOOK_ORACLE_COUNT=", count))
	if out, err := c.CombinedOutput(); err != nil {
		t.Fatalf("seeds from %d on: %v\n%s", first, err, out)
	}
	text, err := os.ReadFile(file)
	if err == nil {
		err = json.Unmarshal(text, &p)
	}
	if err != nil || p.Sequences != count {
		t.Fatalf("seeds from %d on: %d of %d ran, %v", first, p.Sequences, count, err)
	}
	return p
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
