package mutant

import (
	"bytes"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"
)

// The input of a number is the same again, whatever was made in between, and
// never longer than it may be; others differ.
func TestInputsAreAFunctionOfTheirNumber(t *testing.T) {
	pool := []input{{1, "82 °C"}, {2, strings.Repeat("a,b;1\n", 500)}, {0, ""}}
	a, b := newMutator(pool, largestValue), newMutator(pool, largestValue)
	different := map[string]bool{}
	for n := range uint64(20_000) {
		in := a.input(7, n)
		if n%10 == 0 {
			if again := b.input(7, n); !reflect.DeepEqual(in, again) {
				t.Fatalf("number %d is %q, and %q", n, in, again)
			}
		}
		text := in[1].(string)
		if len(text) > largestValue && (n%512 != 0 || len(text) > largestFile) {
			t.Fatalf("number %d has %d bytes", n, len(text))
		}
		different[text] = true
	}
	if len(different) < 10_000 {
		t.Errorf("only %d of 20,000 differ", len(different))
	}
	if other := a.input(8, 5); reflect.DeepEqual(other, b.input(7, 5)) {
		t.Errorf("seeds 7 and 8 both make %q", other)
	}
}

// What is written is read as the same, NaN's bits and all.
func TestCorpusRoundTrip(t *testing.T) {
	in := input{[]byte("a\x00\xff\n`\""), "°\x80", -12, math.Float64frombits(0x7ff8000000000123), math.Inf(-1)}
	got, err := decode(encode(in))
	if err != nil {
		t.Fatal(err)
	}
	for i := range in {
		if x, ok := in[i].(float64); ok {
			if math.Float64bits(x) != math.Float64bits(got[i].(float64)) {
				t.Errorf("%v is read as %v", x, got[i])
			}
		} else if !reflect.DeepEqual(in[i], got[i]) {
			t.Errorf("%q is read as %q", in[i], got[i])
		}
	}
	// As the go command writes numbers (internal/fuzz, encoding.go).
	got, err = decode([]byte("go test fuzz v1\nfloat64(-0.5)\nfloat64(NaN)\nint(-3)\n[]byte(\"\\x00\")\n"))
	if err != nil || got[0] != -0.5 || !math.IsNaN(got[1].(float64)) || got[2] != -3 || !bytes.Equal(got[3].([]byte), []byte{0}) {
		t.Errorf("read as %v, error %v", got, err)
	}
	for _, bad := range []string{"", "go test fuzz v2\n", "go test fuzz v1\nchan(1)\n", "go test fuzz v1\nstring(\n"} {
		if in, err := decode([]byte(bad)); err == nil {
			t.Errorf("%q is read as %v", bad, in)
		}
	}
}

// TestPlanted is run by TestFaultsAreFound in a process of its own: it fails.
func TestPlanted(t *testing.T) {
	fault := os.Getenv("MUTANT_PLANTED")
	if fault == "" {
		t.Skip("run by TestFaultsAreFound")
	}
	never := make(chan int)
	Values(t, map[string]func(F){"FuzzPlanted": func(f F) {
		f.Add("12:30")
		f.Fuzz(func(t *testing.T, s string) {
			if !strings.Contains(s, "1e309") {
				return
			}
			switch fault {
			case "fails":
				t.Errorf("%q is no time", s)
			case "stops":
				t.Fatalf("%q is no time", s)
			case "panics":
				panic(s)
			case "hangs":
				<-never
			}
		})
	}})
}

// A fault that is planted is found, its input is kept, and the go command reads
// it; without a fault all executions are counted.
func TestFaultsAreFound(t *testing.T) {
	for fault, says := range map[string]string{
		"fails": "the target failed", "stops": "the target failed", "panics": "panic: ", "hangs": "runs for more than 1s", "none": "",
	} {
		t.Run(fault, func(t *testing.T) {
			t.Parallel()
			self, err := os.Executable()
			if err != nil {
				t.Fatal(err)
			}
			cmd := exec.Command(self, "-test.run=^TestPlanted$", "-test.v")
			cmd.Dir = t.TempDir()
			cmd.Env = append(os.Environ(), "MUTANT_PLANTED="+fault, "FUZZ_HANG=10m", "FUZZ_EXECUTIONS=30000", "FUZZ_CORPUS=", "FUZZ_TIME=", "FUZZ_SEED=", "FUZZ_FROM=", "FUZZ_RECORD=tried")
			switch fault {
			case "none":
				cmd.Env = append(cmd.Env, "FUZZ_RECORD=")
			case "hangs":
				cmd.Env = append(cmd.Env, "FUZZ_HANG=1s")
			}
			out, err := cmd.CombinedOutput()
			if (err == nil) != (fault == "none") || !strings.Contains(string(out), says) {
				t.Fatalf("%v\n%s", err, out)
			}
			if fault == "none" {
				if !regexp.MustCompile(`(?m)^fuzzed\tFuzzPlanted\t30000\t\d+\t1\t1$`).Match(out) {
					t.Errorf("no count in\n%s", out)
				}
				return
			}
			kept, err := filepath.Glob(filepath.Join(cmd.Dir, "testdata/fuzz/FuzzPlanted/*"))
			if err != nil || len(kept) != 1 {
				t.Fatalf("kept %v, error %v\n%s", kept, err, out)
			}
			for _, path := range []string{kept[0], filepath.Join(cmd.Dir, "tried")} {
				data, err := os.ReadFile(path)
				if err != nil {
					t.Fatal(err)
				}
				if in, err := decode(data); err != nil || !strings.Contains(in[0].(string), "1e309") {
					t.Errorf("%s holds %q, error %v", path, in, err)
				}
			}
		})
	}
}

// Time is a limit of its own: what is quick goes on until it is over.
func TestTimeIsALimit(t *testing.T) {
	n := 0 // read when all is over
	began := time.Now()
	p := &prover{T: t, name: "FuzzNothing", largest: largestValue, limits: limits{executions: 1, length: 50 * time.Millisecond, hang: time.Minute, seed: 1}}
	p.Add("")
	p.Fuzz(func(*testing.T, string) { n++ })
	if took := time.Since(began); took < 50*time.Millisecond || n == 0 {
		t.Errorf("%d executions in %v", n, took)
	}
	p = &prover{T: t, name: "FuzzNothing", largest: largestValue, limits: limits{executions: math.MaxUint64, most: 50 * time.Millisecond, hang: time.Minute, seed: 1}}
	p.Add("")
	p.Fuzz(func(*testing.T, string) {}) // ends
}
