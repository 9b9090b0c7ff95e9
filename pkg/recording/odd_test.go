package recording

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
)

// oddTruth is what stands in an odd file: rows of seconds and of values in SI
// units. Start is the first row's instant, the zero time where the file can't
// say.
type oddTruth struct {
	Start  time.Time
	Time   []float64
	Values map[string][]float64 // by a column's name in small letters
}

// oddFile is a file as people have it, with what it means.
type oddFile struct {
	name   string
	text   []byte
	layout Layout
	truth  oddTruth
}

// outcome is what became of an odd file.
type outcome string

const (
	readRight   outcome = "right"
	asked       outcome = "asked"   // an AmbiguousError that names the ways
	refused     outcome = "refused" // an error that says why
	warned      outcome = "warned"  // not as meant, and a warning of the kind says so
	silentWrong outcome = "silently wrong"
)

// became reads an odd file and compares it with its truth.
func (f oddFile) became() (outcome, string) {
	r, err := Read(f.name, bytes.NewReader(f.text), Options{Layout: f.layout, Workers: 2})
	var ambiguous *AmbiguousError
	switch {
	case errors.As(err, &ambiguous):
		return asked, err.Error()
	case err != nil:
		return refused, err.Error()
	}
	if !r.Account.Balanced() {
		return silentWrong, "account does not balance\n" + r.Account.String()
	}
	wrong, kinds := f.truth.compare(r)
	if wrong == "" {
		return readRight, strings.Join(estimate.Texts(r.Warnings), "\n")
	}
	told := wrong + "\n" + r.String() + r.Account.String() + r.Detection.String()
	for _, k := range kinds {
		if estimate.Has(r.Warnings, k) {
			return warned, told
		}
	}
	return silentWrong, told
}

// compare says what of a recording is not as the truth, and which kinds of
// warning would name it. Up to one row in fifty may be missing where the
// account lists it.
func (w oddTruth) compare(r *Recording) (wrong string, kinds []estimate.Kind) {
	lost := []estimate.Kind{estimate.LostReadings, account.OtherColumns, account.DeadChannel}
	value := []estimate.Kind{account.UnitAssumed, estimate.Ambiguous, estimate.Disagreement}
	clock := []estimate.Kind{estimate.ClockDoubtful, account.TimeUnit, estimate.Ambiguous, account.GapInTime}
	all := append([]*Recording{r}, r.Separate...)
	for _, name := range slices.Sorted(mapsKeys(w.Values)) {
		expected, found := 0, 0
		for _, v := range w.Values[name] {
			if !math.IsNaN(v) {
				expected++
			}
		}
		known := false
		for _, one := range all {
			c := oddColumn(one, name)
			if c == nil {
				continue
			}
			known = true
			offset := 0.0
			if !w.Start.IsZero() && one.Dated {
				offset = one.Start.Sub(w.Start).Seconds()
			} else if !w.Start.IsZero() && one == r && one.Start.IsZero() {
				return "no date, want " + w.Start.String(), clock
			} else if !w.Start.IsZero() && !one.Start.IsZero() {
				at, want := one.Start, w.Start
				offset = at.Sub(time.Date(at.Year(), at.Month(), at.Day(), want.Hour(), want.Minute(), want.Second(), want.Nanosecond(), time.UTC)).Seconds()
			}
			for i, at := range c.Series.Time {
				k, ok := slices.BinarySearchFunc(w.Time, at+offset-0.02, func(a, b float64) int {
					if a < b {
						return -1
					}
					return 1
				})
				_ = ok
				if k == len(w.Time) || math.Abs(w.Time[k]-at-offset) > 0.02 {
					return fmt.Sprintf("%s: row %d at %.3f s is none of the file's", name, i, at+offset), clock
				}
				want, got := w.Values[name][k], c.Series.Value[i]
				switch {
				case math.IsNaN(got) && !math.IsNaN(want):
					found--
				case math.IsNaN(want) && !math.IsNaN(got):
					return fmt.Sprintf("%s at %.2f s: %g, want none", name, at+offset, got), value
				case !math.IsNaN(want) && math.Abs(got-want) > 2e-4*math.Abs(want)+1e-9:
					return fmt.Sprintf("%s at %.2f s: %g, want %g", name, at+offset, got, want), value
				}
				if !math.IsNaN(want) {
					found++
				}
			}
		}
		switch absent := expected - found; {
		case !known:
			return "no column " + name, lost
		case absent*50 > len(w.Time):
			return fmt.Sprintf("%s: %d of %d values lost", name, absent, expected), lost
		}
	}
	return "", nil
}

func mapsKeys(m map[string][]float64) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// oddColumn finds a column by its name in small letters, or by its number as
// "#3".
func oddColumn(r *Recording, name string) *Column {
	for _, c := range r.Columns {
		if strings.ToLower(c.Name) == name || fmt.Sprintf("#%d", c.Number) == name {
			return c
		}
	}
	return nil
}

// oddDrive is the drive that all odd files tell of: four probes that warm up, a
// row every two seconds.
func oddDrive(n int) (start time.Time, at []float64, celsius [4][]float64) {
	start = time.Date(2025, 9, 23, 17, 42, 6, 0, time.UTC)
	for i := range n {
		x := float64(i) / float64(n)
		at = append(at, 2*float64(i))
		wave := 1.3 * math.Sin(float64(i)/3.1)
		for c, v := range [4]float64{17.4 + 22*x + wave, 21.8 + 38*math.Sqrt(x) - wave/2, 16.9 + 0.7*wave, 19.2 + 71*math.Sqrt(x) + wave/4} {
			celsius[c] = append(celsius[c], math.Round(v*10)/10)
		}
	}
	return start, at, celsius
}

// kelvins turns °C into SI.
func kelvins(c []float64) []float64 {
	k := make([]float64, len(c))
	for i, v := range c {
		k[i] = quantity.Celsius(v).Kelvin()
	}
	return k
}

// TestOddFiles reads files as people have them: each is read as it is meant, or
// asked about, or refused with a reason, or a warning of the kind says so.
func TestOddFiles(t *testing.T) {
	count := map[outcome]int{}
	for _, f := range append(oddFiles(), oddTimes()...) {
		became, why := f.became()
		count[became]++
		if became == silentWrong {
			t.Errorf("%s: %s: %s", f.name, became, why)
		}
		if want, ok := oddOutcome[f.name]; ok && became != want || !ok && became != readRight {
			t.Errorf("%s: %s: %s", f.name, became, why)
		}
	}
	t.Log(count)
}

// oddOutcome lists the files that are not read without a question.
var oddOutcome = map[string]outcome{
	"hot °C.csv": asked, "hot °C 2.csv": asked, "tenths.csv": asked, "tenths marked °C.csv": warned,
	"mangled epoch ms.csv": refused, "mangled epoch s.csv": refused, "mangled epoch ms 7.csv": refused, "mangled epoch plain.csv": refused,
	"switch to F Time,T1,T2,T false.csv": asked, "switch to F Time,T1,T2,T true.csv": asked,
}
