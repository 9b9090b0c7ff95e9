package draft

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

func sketchOf(n int) *Sketch {
	s := &Sketch{}
	for i := range n {
		s.Drives = append(s.Drives, Drive{Name: fmt.Sprintf("day %d", i+1), Configuration: "?"})
	}
	return s
}

// One answer settles many drives: by spans, by lists, by both, by names.
func TestConfigure(t *testing.T) {
	for answer, want := range map[string]string{
		"open":                              "open open open open open open",
		"1-3=open,4-6=duct":                 "open open open duct duct duct",
		"1,3,5=open":                        "open ? open ? open ?",
		"1,3,5=open,2,4,6=duct":             "open duct open duct open duct",
		"1,3-5=open,2,6=duct":               "open duct open open open duct",
		" 1 , 3 to 4 = open , day 6 = duct": "open ? open open ? duct",
		"all=open":                          "open open open open open open",
		"1,1-2=open":                        "open open ? ? ? ?",
	} {
		s := sketchOf(6)
		if err := s.configure(answer); err != nil {
			t.Errorf("%q: %v", answer, err)
			continue
		}
		var got []string
		for _, d := range s.Drives {
			got = append(got, d.Configuration)
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%q: %v, want %s", answer, got, want)
		}
	}
}

// Nonsense is told in words, and no drive is given anything then.
func TestConfigureNonsense(t *testing.T) {
	for answer, says := range map[string]string{
		"1,3,5=":          "names no configuration",
		"1,3=open,5":      `nothing says what "5" was driven with`,
		"1,,3=open":       "empty place",
		"1,9=open":        "numbered from 1 to 6",
		"0-2=open":        "numbered from 1 to 6",
		"3-1=open":        "runs backwards",
		"1,two=open":      `"two" names no drive`,
		"1,3=open,3=duct": `drive 3 is given both "open" and "duct"`,
		"1,3=?":           "names no configuration",
		"=open":           "empty place",
		"1 3 5=open":      `"1 3 5" names no drive`,
	} {
		s := sketchOf(6)
		err := s.configure(answer)
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want a word of %q", answer, err, says)
		}
		if slices.ContainsFunc(s.Drives, func(d Drive) bool { return d.Configuration != "?" }) {
			t.Errorf("%q: something was given all the same: %v", answer, s.Drives)
		}
	}
}
