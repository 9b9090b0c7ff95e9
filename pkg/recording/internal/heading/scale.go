package heading

import (
	"regexp"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
)

// scales match what a header says of a factor on its numbers, with the characters
// beside that stay: "T1*10", "T1 x10", "10x", "*0.1", "(0.1)", "tenths".
var scales = []*regexp.Regexp{
	regexp.MustCompile(`(?i)(?:[*×·⋅]|(^|[^a-z])x)\s?(10{1,3}|0[.,]0{0,2}1)([^0-9.,a-z]|$)`),
	regexp.MustCompile(`(?i)(^|[^0-9a-z.,])(10{1,3})\s?(?:[*×·⋅]()|x([^0-9a-z]|$))`),
	regexp.MustCompile(`(?i)(^|[^0-9a-z])(tenths?|10ths|zehntel|hundredths?|hundertstel)([^a-z]|$)`),
	regexp.MustCompile(`([(\[]\s*)(0[.,]0{0,2}1)(\s*[)\]])`),
}

// emptied matches what is left of brackets whose content was cut, and a comma
// before the end of one.
var emptied = regexp.MustCompile(`[(\[]\s*[)\]]|\s*[,;]\s*$|[,;]\s*([)\]])`)

// tidy closes the gaps that a cut leaves.
var tidy = strings.NewReplacer("( ", "(", " )", ")", "[ ", "[", " ]", "]", "__", "_")

// CutScale takes what a header says of a factor out of it, and returns how many of
// its counts make one of the unit: 10 for "T1*10 (°C)", whose rest is "T1 (°C)". It
// is 0 where the header says nothing.
func CutScale(header string) (rest string, counts float64) {
	for _, scale := range scales {
		m := scale.FindStringSubmatchIndex(header)
		if m == nil {
			continue
		}
		mark := strings.ToLower(header[m[4]:m[5]])
		switch zeros := strings.Count(mark, "0"); {
		case zeros == 2, strings.HasPrefix(mark, "h"): // hundredths
			counts = 100
		case zeros == 3:
			counts = 1000
		default:
			counts = 10
		}
		kept := ""
		for i := 2; i < len(m); i += 2 {
			if i != 4 && m[i] >= 0 {
				kept += header[m[i]:m[i+1]]
			}
		}
		rest = emptied.ReplaceAllString(header[:m[0]]+kept+header[m[1]:], "$1")
		return strings.Trim(tidy.Replace(strings.Join(strings.Fields(rest), " ")), " _"), counts
	}
	return header, 0
}

// divided matches a quotient at the end of what names a column, or in brackets of its
// own, with the characters beside that stay: "T1/10", "T1 (°C, /10)", "T1 (div 10)".
// "l/100 km" is a unit.
var divided = regexp.MustCompile(`(?i)\s*(?:[/÷]|(^|[^\pL])(?:div|divided? by|(?:geteilt )?durch|divisé par|dividido (?:por|entre)|diviso(?: per)?))\s?(10{1,3})(\s*(?:$|[(\[)\]]))`)

// CutDivided does as CutScale for a quotient: "T1/10 (°C)". What it says is less sure:
// the first of ten probes is written so, too, and a tenth of T1.
func CutDivided(header string) (rest string, counts float64) {
	m := divided.FindStringSubmatchIndex(header)
	if m == nil {
		return header, 0
	}
	kept := header[m[6]:m[7]]
	if m[2] >= 0 {
		kept = header[m[2]:m[3]] + kept
	}
	counts, _ = strconv.ParseFloat(header[m[4]:m[5]], 64)
	rest = emptied.ReplaceAllString(header[:m[0]]+kept+header[m[1]:], "$1")
	return strings.Trim(tidy.Replace(strings.Join(strings.Fields(rest), " ")), " _"), counts
}

// Scale is what a header says of a factor on its numbers.
type Scale struct {
	Counts  float64 // that make one of the unit; 0 where it says nothing
	Divided bool    // as a quotient, see CutDivided
	Name    string  // of the column without it
}

// CutScaled cuts a header as CutUnit does, and what it says of a factor beside the
// unit, see CutScale. A quotient stays in the name.
func CutScaled(header string) (name, found string, u *unit.Unit, s Scale) {
	name, found, u = CutUnit(header)
	if u != nil && u.Parts() > 0 { // the unit holds the factor, as in "T1 (0.1 °C)"
		return name, found, u, s
	}
	rest, counts := CutScale(header)
	if counts > 0 {
		name, found, u = CutUnit(rest)
		return name, found, u, Scale{Counts: counts, Name: name}
	}
	if rest, counts = CutDivided(header); counts > 0 {
		n, f, k := CutUnit(rest)
		if u == nil {
			name, found, u = n, f, k
		}
		s = Scale{counts, true, n}
	}
	return name, found, u, s
}
