package parse

import (
	"bytes"
	"math"
)

// CompactClock reads hhmmss and hhmmss.sss, also where a program has dropped
// leading zeros.
func CompactClock(b []byte) (ClockTime, bool) {
	v, k := Digits(b, 7)
	if k == 0 || k > 6 || v%100 > 60 || v/100%100 > 59 || v > 240000 {
		return ClockTime{}, false
	}
	c := ClockTime{Seconds: v/10000*3600 + v/100%100*60 + v%100}
	if k == len(b) {
		return c, true
	}
	f, ok := Number(b[k:], '.')
	c.Nanos = int64(f * 1e9)
	return c, ok && f >= 0 && f < 1
}

// A ClockTime is a time of day, or a time since some start.
type ClockTime struct {
	Seconds int64 // whole seconds; may pass 24 h for a time since some start
	Nanos   int64
	HasZone bool
	Zone    int64 // seconds east of Greenwich
	twelve  bool  // written with AM or PM
}

// Clock reads the whole of b as a time: 14:18, 14:18:49, 14:18:49.325,
// with a comma or a colon before the fraction, 02:18:49 PM, with Z or an
// offset behind. Hours may pass 24 where long is set.
func Clock(b []byte, long bool) (ClockTime, bool) {
	var c ClockTime
	if k, n := Digits(b, 7); !long && n == 6 { // 141849, after a date
		if c, ok := CompactClock(b[:6]); ok && k < 240000 {
			return c, len(b) == 6 || c.Suffix(b[6:], k/10000)
		}
		return c, false
	}
	h, n := Digits(b, 5)
	if n == 0 || n == len(b) || (!long && (n > 2 || h > 24)) {
		return c, false
	}
	sep := b[n]
	if long && sep == '.' && len(b) > n+3 && b[n+3] == ':' { // 1.02:03:04, days before hours
		c, ok := Clock(b[n+1:], false)
		c.Seconds += h * 86400
		return c, ok
	}
	if sep != ':' && sep != '.' && sep != 'h' && (sep != '-' || long) {
		return c, false
	}
	b = b[n+1:]
	m, n := Digits(b, 2)
	if n != 2 || m > 59 {
		return c, false
	}
	b = b[2:]
	var s int64
	if len(b) > 2 && b[0] == sep && sep != 'h' {
		if s, n = Digits(b[1:], 2); n != 2 || s > 60 {
			return c, false
		}
		b = b[3:]
		if len(b) > 1 && (b[0] == '.' || b[0] == ',' || b[0] == ':') {
			var f int64
			if f, n = Digits(b[1:], 9); n == 0 {
				return c, false
			}
			b = b[1+n:]
			for ; n < 9; n++ {
				f *= 10
			}
			c.Nanos = f
			for len(b) > 0 && b[0]-'0' <= 9 { // beyond nanoseconds
				b = b[1:]
			}
		}
	} else if sep == '.' || sep == '-' { // 14.18 is a number rather than a time
		return c, false
	}
	c.Seconds = h*3600 + m*60 + s
	return c, len(b) == 0 || c.Suffix(b, h)
}

// Minutes reads minutes and seconds since some start: 83:20, 83:20.5.
func Minutes(b []byte) (ClockTime, bool) {
	m, n := Digits(b, 5)
	if n == 0 || n == len(b) || b[n] != ':' {
		return ClockTime{}, false
	}
	b = b[n+1:]
	s, n := Digits(b, 2)
	if n != 2 || s > 59 {
		return ClockTime{}, false
	}
	c := ClockTime{Seconds: 60*m + s}
	if b = b[2:]; len(b) == 0 {
		return c, true
	}
	if b[0] != '.' && b[0] != ',' {
		return ClockTime{}, false
	}
	f, ok := Number(b, b[0])
	c.Nanos = int64(math.Round(f * 1e9))
	return c, ok && len(b) > 1 && f < 1
}

// Suffix reads what may follow a time: AM or PM, a zone.
func (c *ClockTime) Suffix(b []byte, h int64) bool {
	b = bytes.TrimLeft(b, " ")
	if len(b) >= 2 && (b[0]|0x20 == 'a' || b[0]|0x20 == 'p') {
		word := b[:2]
		if k := len("a. m."); len(b) >= k && string(b[1:3]) == ". " && b[4] == '.' { // a. m.
			word = []byte{b[0], b[3]}
			b = b[k:]
		} else if b[1] == '.' && len(b) >= 4 && b[3] == '.' { // p.m.
			word = []byte{b[0], b[2]}
			b = b[4:]
		} else {
			b = b[2:]
		}
		if word[1]|0x20 != 'm' || !c.HalfDay(word[0], h) {
			return false
		}
		b = bytes.TrimLeft(b, " ")
	}
	if len(b) == 0 {
		return true
	}
	if b[0] == 'Z' || string(b) == "UTC" || string(b) == "GMT" {
		c.HasZone = true
		return len(b) == 1 || b[0] != 'Z'
	}
	if b[0] != '+' && b[0] != '-' {
		return false
	}
	oh, n := Digits(b[1:], 2)
	if n != 2 || oh > 15 {
		return false
	}
	rest := b[3:]
	if len(rest) > 0 && rest[0] == ':' {
		rest = rest[1:]
	}
	var om int64
	if len(rest) > 0 {
		if om, n = Digits(rest, 2); n != 2 || len(rest) != 2 || om > 59 {
			return false
		}
	}
	c.HasZone, c.Zone = true, oh*3600+om*60
	if b[0] == '-' {
		c.Zone = -c.Zone
	}
	return true
}

// HalfDay moves a time on the 12-hour clock into its half of the day.
func (c *ClockTime) HalfDay(letter byte, h int64) bool {
	if h < 1 || h > 12 {
		return h == 0 || h > 12 // some write 14:18 PM or 00:05 AM; the 24-hour reading stands
	}
	c.twelve = true
	pm := letter|0x20 == 'p'
	if h == 12 && !pm {
		c.Seconds -= 12 * 3600
	} else if h != 12 && pm {
		c.Seconds += 12 * 3600
	}
	return true
}

func IsZone(b []byte) bool {
	var t ClockTime
	return len(b) > 0 && (b[0] == '+' || b[0] == '-' || b[0] == 'Z') && t.Suffix(b, 0) && t.HasZone
}
