package recording

import (
	"strings"
	"testing"
)

// notRight are the files of relatives.zip that are not read as they are meant
// without a word: asked where two readings are possible, warned where what is
// lost is named, refused with what to do.
var notRight = map[outcome]string{
	asked: `book-three-sheets.xlsx date-ddmmyy-digits.csv date-digits-ms.csv date-dmy2.csv date-since-1904.csv date-year-zero.csv
		date-mjd.csv date-slash-ymd.csv date-two-columns-hhmmss.csv hundredths-bare.csv speed-6.csv
		tenths-bare.csv unit-switch-F-to-C.csv unit-switch-silent.csv`,
	warned: `mangled-minute.csv minute-only-fast.csv number-parens.csv number-trailing-minus.csv`,
	refused: `book-sideways.xlsx date-iso-week.csv date-none-year.csv elapsed-iso.csv elapsed-ticks.csv
		elapsed-quotes.csv ends-2028.csv ends-nel.csv epoch-thousands.csv head-long.csv head-statistics.csv
		key-value-colon.log key-value.log line-protocol.txt mangled-0.csv mangled-1.csv mangled-2.csv mangled-3.csv
		mangled-digits.csv mangled-s.csv number-fullwidth.csv number-middot.csv syslog.log utf32.csv`,
}

// TestRelatives reads files by somebody who had not read the reader, relatives of
// the troubles that people bring (testdata/odd/relatives.py): each is right, or
// what it is listed as, and none is wrong without a word.
func TestRelatives(t *testing.T) { checkBecame(t, "relatives.zip", notRight) }

// checkBecame reads the files of an archive and compares what became of each with
// the lists of those that are not right.
func checkBecame(t *testing.T, archive string, notRight map[outcome]string) {
	t.Helper()
	expected := map[string]outcome{}
	for o, names := range notRight {
		for _, n := range strings.Fields(names) {
			expected[n] = o
		}
	}
	count := map[outcome]int{}
	for _, f := range foreignFiles(t, archive) {
		became, why := f.became()
		count[became]++
		want := readRight
		if o, ok := expected[f.name]; ok {
			want = o
		}
		if became != want {
			t.Errorf("%s: %s, want %s: %s", f.name, became, want, why)
		}
	}
	t.Log(count)
}
