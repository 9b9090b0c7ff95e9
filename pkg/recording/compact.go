package recording

// compactClock reads hhmmss and hhmmss.sss, also where a program has dropped
// leading zeros.
func compactClock(b []byte) (clockTime, bool) {
	v, k := digits(b, 7)
	if k == 0 || k > 6 || v%100 > 60 || v/100%100 > 59 || v > 240000 {
		return clockTime{}, false
	}
	c := clockTime{seconds: v/10000*3600 + v/100%100*60 + v%100}
	if k == len(b) {
		return c, true
	}
	f, ok := parseNumber(b[k:], '.')
	c.nanos = int64(f * 1e9)
	return c, ok && f >= 0 && f < 1
}

// compactStamp reports whether b begins with 14 digits that are a date and
// time, YYYYMMDDhhmmss, and no more of them.
func compactStamp(b []byte) bool {
	if len(b) < 14 || b[0]-'1' > 1 || b[4]-'0' > 9 || b[13]-'0' > 9 {
		return false
	}
	v, k := digits(b, 15)
	if k != 14 || len(b) > 14 && b[14] != 'Z' && b[14] != '+' && b[14] != '-' {
		return false
	}
	day, clock := v/1e6, v%1e6
	y, m, d := day/10000, day/100%100, day%100
	return y >= 1970 && y <= 2200 && m >= 1 && m <= 12 && d >= 1 && d <= daysIn(y, m) &&
		clock < 240000 && clock/100%100 < 60 && clock%100 <= 60
}
