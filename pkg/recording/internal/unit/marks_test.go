package unit

import "testing"

// No text without a letter, a percent sign or a sign beyond ASCII is a unit: what
// LookUp does not look for is not there.
func TestWhatMarksAUnit(t *testing.T) {
	var signs []byte
	for c := byte(' '); c < 0x7f; c++ {
		if !marksUnit(rune(c)) {
			signs = append(signs, c)
		}
	}
	if len(signs) != 95-52-1 {
		t.Fatalf("%d signs of ASCII mark no unit, want all 95 but 52 letters and %%", len(signs))
	}
	var each func(s []byte, more int)
	each = func(s []byte, more int) {
		if u := find(string(s)); len(s) > 0 && u != nil {
			t.Errorf("%q is %s", s, u.Name)
		}
		for _, c := range signs {
			if more > 0 {
				each(append(s[:len(s):len(s)], c), more-1)
			}
		}
	}
	each(nil, 3)
	for _, k := range partMarks {
		for _, mark := range k.marks {
			if u, ok := LookUp(mark + " °C"); !ok || u != k.unit {
				t.Errorf("%q is %v", mark+" °C", u)
			}
		}
	}
}
