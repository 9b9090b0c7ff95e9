package messy

import (
	"math/rand/v2"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/instrument"
)

// The harms that a logger's files may have come to, each in all its files.
const (
	powerOnValue = "first row shows 85.0 on all channels, the value at power-on"
	cutRow       = "last row cut short"
	nulTail      = "200 NUL bytes at the end"
	damagedRow   = "one row in the middle damaged"
)

func drawHarm(rng *rand.Rand) []string {
	var harm []string
	for _, h := range []string{powerOnValue, cutRow, nulTail, damagedRow} {
		if rng.IntN(12) == 0 {
			harm = append(harm, h)
		}
	}
	return harm
}

func (d *device) powerOn(rec *instrument.Recording) {
	if !slices.Contains(d.harm, powerOnValue) || len(rec.Stamps) == 0 {
		return
	}
	for _, c := range rec.Channels {
		c.Values[0] = 85
	}
}

// hurt damages a text as the device's harms say.
func (d *device) hurt(text string) string {
	rows := strings.SplitAfter(text, "\n")
	if slices.Contains(d.harm, damagedRow) && len(rows) > 40 {
		at := len(rows) / 2
		rows[at] = "\x7f\x01" + rows[at][len(rows[at])/2:]
	}
	text = strings.Join(rows, "")
	if slices.Contains(d.harm, cutRow) && len(text) > 400 {
		text = text[:len(text)-7]
		for !('\x00' < text[len(text)-1] && text[len(text)-1] < '\x80') { // not within a letter
			text = text[:len(text)-1]
		}
	}
	if slices.Contains(d.harm, nulTail) {
		text += strings.Repeat("\x00", 200)
	}
	return text
}
