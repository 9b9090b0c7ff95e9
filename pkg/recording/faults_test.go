package recording

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
)

func missing(r *Recording, column, reason string) int {
	n := 0
	for _, m := range r.Account.Missing {
		if m.Column == column && strings.HasPrefix(m.Reason, reason) {
			n += m.Cells
		}
	}
	return n
}

func TestSentinels(t *testing.T) {
	for _, cell := range []string{"", "----", "--.-", "OL", "O.L", "Err", "9999", "-9999", "+9.90000000E+37", "99000000000000000000000000000000000000.00",
		"NaN", "n/a", "1372.0", "-200.0", "1400", "open", "****", "Inf", "1e400"} {
		text := strings.Replace(temperatures("T1 (°C),T2 (°C)", 20, 40), "\n", ",1\n", -1)
		lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
		lines[0] = "Time (s),T1 (°C),T2 (°C)"
		for i := range lines[1:] {
			f := strings.Split(lines[i+1], ",")
			if i >= 30 && i < 45 {
				f[1] = cell
			}
			f[2] = fmt.Sprint(20 + i%7)
			lines[i+1] = strings.Join(f, ",")
		}
		r := open(t, strings.Join(lines, "\n")+"\n", Layout{})
		if n := r.Account.MissingCells(); n != 15 || r.Columns[0].Series.Present() != 85 || r.Columns[1].Series.Present() != 100 || r.Account.Missing[0].FirstLine != 32 {
			t.Errorf("%q: %d missing\n%s", cell, n, r.Account)
		}
	}
	r := open(t, temperatures("T1 (°C)", 20, 40), Layout{Sentinels: []string{"20.0", "22.0"}})
	if n := missing(r, "T1", table.MissWord); n != 2 {
		t.Errorf("layout's sentinels: %d missing\n%s", n, r.Account)
	}
}

// noisy writes a temperature in hundredths that changes from row to row, with
// f changing what is written.
func noisy(n int, f func(i int, v float64) float64) string {
	var b strings.Builder
	b.WriteString("Time (s),T1 (°C),v (km/h)\n")
	for i := range n {
		v := 40 + 10*math.Sin(float64(i)/50) + float64(i*7919%13)/100
		fmt.Fprintf(&b, "%d,%.2f,%d\n", 2*i, f(i, v), max(0, i%120-60))
	}
	return b.String()
}

func TestFrozenAndSpike(t *testing.T) {
	r := open(t, noisy(1000, func(i int, v float64) float64 {
		switch {
		case i >= 300 && i < 500:
			return 47.11
		case i == 700:
			return v + 80
		}
		return v
	}), Layout{})
	if n := missing(r, "T1", table.MissFrozen); n != 199 {
		t.Errorf("%d cells frozen, want 199\n%s", n, r.Account)
	}
	if n := missing(r, "T1", table.MissSpike); n != 1 || !math.IsNaN(r.Columns[0].Series.Value[700]) {
		t.Errorf("%d spikes, want 1\n%s", n, r.Account)
	}
	// A stop of two minutes is no frozen speed.
	if n := missing(r, "v", ""); n != 0 {
		t.Errorf("%d speeds missing", n)
	}
	// A coarse sensor that rests is not frozen, and a step is not a spike.
	r = open(t, noisy(1000, func(i int, v float64) float64 {
		if i < 500 {
			return math.Round(v / 5)
		}
		return math.Round(v/5) + 30
	}), Layout{})
	if n := r.Account.MissingCells(); n != 0 {
		t.Errorf("%d cells missing\n%s", n, r.Account)
	}
	r = open(t, noisy(1000, func(i int, v float64) float64 { return 21.5 }), Layout{})
	if !strings.Contains(strings.Join(estimate.Texts(r.Warnings), " "), "never changes") {
		t.Errorf("a dead channel is not named: %v", r.Warnings)
	}
}

func TestDamage(t *testing.T) {
	good := noisy(100, func(i int, v float64) float64 { return v })
	lines := strings.SplitAfter(good, "\n")
	join := func(parts ...string) string { return strings.Join(parts, "") }
	half := strings.Join(lines[:50], "")
	for _, c := range []struct {
		name, text string
		rows       int
		reason     string
		rejects    int
	}{
		{"NUL tail", good + strings.Repeat("\x00", 3000), 100, "NUL", 1},
		{"NUL tail after a begun line", good + "200,4\x00\x00\x00", 100, "half-written", 1},
		{"NUL run of megabytes", half + strings.Repeat("\x00", 3<<20) + strings.Join(lines[50:], ""), 100, "", 0},
		{"half-written last line", good + "200,41.3", 100, "half-written", 1},
		{"last digits cut", good[:len(good)-len(lines[100])] + "198,4", 99, "half-written", 1},
		{"last line without an end", strings.TrimSuffix(good, "\n"), 100, "", 0},
		{"a line of a megabyte", join(half, strings.Repeat("x", 1<<20), "\n", strings.Join(lines[50:], "")), 100, "longer", 1},
		{"a line of three megabytes", join(half, strings.Repeat("x,", 3<<19), "\n", strings.Join(lines[50:], "")), 100, "longer", 1},
		{"text between", join(half, "memory card changed\n", strings.Join(lines[50:], "")), 100, "", 1},
		{"header again", join(half, lines[0], strings.Join(lines[50:], "")), 100, "", 0},
		{"too many cells", join(half, "1,2,3,4,5\n", strings.Join(lines[50:], "")), 100, "5 cells", 1},
		{"cut in the middle", good[:len(good)/2], 49, "", -1},
		{"control Z at the end", good + "\x1a", 100, "", -1},
	} {
		r := open(t, c.text, Layout{})
		if r.Rows() != c.rows && c.rejects >= 0 || (c.rejects >= 0 && len(r.Account.Rejects) != c.rejects) || rejected(r, c.reason) < c.rejects {
			t.Errorf("%s: %d rows, want %d\n%s%s", c.name, r.Rows(), c.rows, r.Account, r.Account.List())
		}
	}
}

// TestSameOnAnyNumberOfWorkers reads a file of many chunks with one and with
// many goroutines.
func TestSameOnAnyNumberOfWorkers(t *testing.T) {
	path := writeFile(t, "log.csv", []byte(noisy(200000, func(i int, v float64) float64 {
		if i%1000 == 0 {
			return 9999
		}
		return v
	})))
	one, err := Open(path, Options{Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	many, err := Open(path, Options{Workers: 7})
	if err != nil {
		t.Fatal(err)
	}
	if one.String() != many.String() || one.Account.String() != many.Account.String() {
		t.Errorf("%s%s\n%s%s", one, one.Account, many, many.Account)
	}
	for c := range one.Columns {
		a, b := one.Columns[c].Series, many.Columns[c].Series
		for i := range a.Value {
			if a.Time[i] != b.Time[i] || math.Float64bits(a.Value[i]) != math.Float64bits(b.Value[i]) {
				t.Fatalf("row %d differs", i)
			}
		}
	}
}
