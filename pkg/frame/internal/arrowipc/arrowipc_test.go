package arrowipc_test

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime/metrics"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/arrowipc"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func stored(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func readBytes(b []byte) ([]*vector.Column, []string, error) {
	return arrowipc.Read(bytes.NewReader(b), int64(len(b)))
}

// cell is what a row shows, "–" where it is missing.
func cell(c *vector.Column, i int) string {
	switch {
	case !c.Has(i):
		return "–"
	case c.Kind == vector.Text:
		s, _ := c.Text(i)
		return s
	case c.Kind == vector.Instant:
		return c.At[i].Format(time.RFC3339Nano)
	}
	return fmt.Sprint(c.Unit.FromSI(c.Num[i]))
}

// Files by two other programs, as testdata/write.mjs made them: plain and packed,
// file and stream, texts plain, by a dictionary and as views.
func TestFilesOfOthers(t *testing.T) {
	start := time.Date(2026, 5, 3, 9, 0, 0, 0, time.UTC)
	or := func(missing bool, s string) string {
		if missing {
			return "–"
		}
		return s
	}
	want := map[string]func(i int) string{
		"time": func(i int) string {
			return or(i == 5, start.Add(time.Duration(i)*2*time.Second).Format(time.RFC3339Nano))
		},
		"drive": func(i int) string {
			return or(i%10 == 3, map[bool]string{true: "first", false: "zweite, über Land"}[i < 50])
		},
		"note": func(i int) string { return or(i%7 == 0, fmt.Sprintf("note %d", i)) },
		"bay":  func(i int) string { return or(i%9 == 4, fmt.Sprint(40+float64(i)/8)) },
		"laps": func(i int) string { return fmt.Sprint(i - 50) },
		"hot":  func(i int) string { return or(i == 99, fmt.Sprint(i > 60)) },
	}
	for _, name := range []string{"javascript.arrow", "javascript.arrows", "rust-uncompressed.arrow", "rust-lz4.arrow", "rust-zstd.arrow"} {
		columns, notes, err := readBytes(stored(t, name))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if len(columns) != len(want) || len(notes) > 0 {
			t.Errorf("%s: %d columns, notes %q", name, len(columns), notes)
		}
		for _, c := range columns {
			if c.Len() != 100 {
				t.Errorf("%s, %s: %d rows", name, c.Name, c.Len())
				continue
			}
			for i := range c.Len() {
				got := cell(c, i)
				if c.Name == "bay" && c.Unit.Kind() == quantity.KindTemperature && got != "–" {
					got = fmt.Sprint(math.Round(c.Unit.FromSI(c.Num[i])*1e9) / 1e9) // through kelvin
				}
				if got != want[c.Name](i) {
					t.Fatalf("%s, %s, row %d: %s, want %s", name, c.Name, i+1, got, want[c.Name](i))
				}
			}
			if javascript := strings.HasPrefix(name, "javascript"); c.Name == "bay" && javascript != (c.Unit == quantity.KindTemperature.Unit("°C")) {
				t.Errorf("%s: unit %q", name, c.Unit.Symbol())
			}
		}
	}
}

// ours are columns of each kind, with missing values.
func ours() (columns []*vector.Column, rows int) {
	start := time.Date(2026, 5, 3, 9, 0, 0, 500_000_000, time.UTC)
	const n = 20
	at := make([]time.Time, n)
	texts := make([]string, n)
	bay, rise, plain := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		at[i], texts[i] = start.Add(time.Duration(i)*time.Second), []string{"first", "zweite, über Land", ""}[i%3]
		bay[i], rise[i], plain[i] = 300+float64(i), float64(i)/4, float64(i*i)
	}
	at[2], bay[3], rise[4] = time.Time{}, math.NaN(), math.NaN()
	return []*vector.Column{
		vector.Instants("time", at),
		vector.Texts("drive", texts, func(i int) bool { return i != 6 }).Take(vector.UpTo(n)),
		vector.Numbers("bay", quantity.KindTemperature.Unit("°F"), bay),
		vector.Numbers("rise", quantity.KindTemperatureDifference.Shown(), rise),
		vector.Numbers("laps", quantity.Unit{}, plain),
	}, n
}

// What the two other programs read of a file of ours, by testdata/read.mjs. The
// file must be what is written today: after a change of the module it is written
// again and read again.
func TestOthersReadOurs(t *testing.T) {
	columns, rows := ours()
	var b bytes.Buffer
	if err := arrowipc.Write(&b, columns, rows); err != nil {
		t.Fatal(err)
	}
	if os.Getenv("BONNETBOOK_STORE") != "" {
		if err := os.WriteFile("testdata/ours.arrow", b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(b.Bytes(), stored(t, "ours.arrow")) {
		t.Fatal("another file is written than the one that others read: store it with BONNETBOOK_STORE=1 and run testdata/read.mjs")
	}
	type column struct {
		Type, Unit, Quantity string
		Values               []any
	}
	var found map[string]map[string]column
	if err := json.Unmarshal(stored(t, "ours.json"), &found); err != nil {
		t.Fatal(err)
	}
	for _, program := range []string{"javascript", "rust"} {
		for _, c := range columns {
			got := found[program][c.Name]
			if len(got.Values) != rows {
				t.Errorf("%s, %s: %d values", program, c.Name, len(got.Values))
				continue
			}
			for i, v := range got.Values {
				var want any
				switch {
				case !c.Has(i):
				case c.Kind == vector.Text:
					want = cell(c, i)
				case c.Kind == vector.Instant:
					want = float64(c.At[i].UnixMilli())
				default:
					want = c.Unit.FromSI(c.Num[i])
				}
				if v != want {
					t.Errorf("%s, %s, row %d: %v, want %v", program, c.Name, i+1, v, want)
				}
			}
			if program == "javascript" && c.Kind == vector.Number && (got.Unit != c.Unit.Spelling() || c.Unit.Spelling() != "" && got.Quantity != c.Unit.Kind().String()) {
				t.Errorf("%s: unit %q of a %q", c.Name, got.Unit, got.Quantity)
			}
		}
		if typ := found[program]["time"].Type; !strings.Contains(typ, "UTC") {
			t.Errorf("%s: time is %s", program, typ)
		}
	}
}

// Nothing but what is in the file is said of it: a type is named, damage is damage.
func TestNamedErrors(t *testing.T) {
	if _, _, err := readBytes(stored(t, "nested.arrow")); !errors.Is(err, arrowipc.ErrType) || !strings.Contains(err.Error(), `column "rises" is of type list`) {
		t.Errorf("nested: %v", err)
	}
	for _, c := range []struct{ text, says string }{
		{"", "0 bytes"},
		{"time,bay\n1,2\n", "neither the file format nor the stream format"},
		{"ARROW1\x00\x00", "cut off"},
	} {
		if _, _, err := readBytes([]byte(c.text)); !errors.Is(err, arrowipc.ErrDamaged) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q: %v, want %s", c.text, err, c.says)
		}
	}
}

// A file that is cut off anywhere is told; a stream too, but between two
// messages, where only the mark of its end is missing.
func TestCutOff(t *testing.T) {
	for _, name := range []string{"javascript.arrow", "rust-zstd.arrow"} {
		whole := stored(t, name)
		for n := range whole {
			if _, _, err := readBytes(whole[:n]); !errors.Is(err, arrowipc.ErrDamaged) {
				t.Fatalf("%s cut off after %d bytes: %v", name, n, err)
			}
		}
	}
	whole := stored(t, "javascript.arrows")
	quiet := 0
	for n := range whole {
		_, notes, err := readBytes(whole[:n])
		switch {
		case err == nil && strings.Contains(strings.Join(notes, ""), "no mark of its end"):
			quiet++
		case !errors.Is(err, arrowipc.ErrDamaged):
			t.Fatalf("cut off after %d bytes: %v, %q", n, err, notes)
		}
	}
	if quiet > 3 { // behind the columns, the dictionary and the rows
		t.Errorf("%d cuts are only noted", quiet)
	}
}

// A small file that claims to be large takes no memory: each 4 and each 8 bytes of
// files are made a large number, one place at a time.
func TestClaimsTakeNoMemory(t *testing.T) {
	const limit = 64 << 20
	taken := []metrics.Sample{{Name: "/gc/heap/allocs:bytes"}}
	most := uint64(0)
	try := func(name string, at int, b []byte) {
		metrics.Read(taken)
		before := taken[0].Value.Uint64()
		_, _, _ = readBytes(b)
		metrics.Read(taken)
		took := taken[0].Value.Uint64() - before
		if most = max(most, took); took > limit {
			t.Fatalf("%s, a claim at %d: %d MB", name, at, took>>20)
		}
	}
	for _, name := range []string{"javascript.arrow", "javascript.arrows", "rust-zstd.arrow"} {
		whole, step := stored(t, name), 4
		if strings.Contains(name, "zstd") {
			step = 24 // each decoder takes a while to make
		}
		for at := 0; at+8 <= len(whole); at += step {
			b := bytes.Clone(whole)
			binary.LittleEndian.PutUint32(b[at:], 1<<30)
			try(name, at, b)
			if at%8 == 0 {
				binary.LittleEndian.PutUint64(b[at:], 1<<40)
				try(name, at, b)
			}
		}
	}
	t.Logf("at most %.1f MB", float64(most)/(1<<20))
}
