package nmea

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// rmc takes the recommended minimum sentence:
//
//	$GPRMC,hhmmss.ss,A,ddmm.mmmm,N,dddmm.mmmm,E,knots,course,ddmmyy,…
func (n *reader) rmc(f [][]byte) string {
	if len(f) < 10 {
		return "too few fields"
	}
	clock, ok := clockOf(f[1])
	if !ok {
		if len(f[1]) == 0 && len(f[2]) == 1 && f[2][0] == 'V' {
			return "void fix: the receiver had no time yet"
		}
		return "time that can't be read"
	}
	day, dated := dateOf(f[9])
	n.at(clock)
	if string(f[2]) != "A" {
		n.void = true
		n.seen()
		return ""
	}
	lat, lon, ok := positionOf(f[3:7])
	if !ok {
		return "position that can't be read"
	}
	if dated {
		n.day = day
		n.hasRMC = true
		if day < 12418 { // 2004-01-01
			n.early++
		}
	}
	n.fix[0], n.fix[1] = lat, lon
	n.fix[3] = unit.Knot.SI(numberOf(f[7]))
	n.fix[4] = unit.Degree.SI(numberOf(f[8]))
	n.seen()
	return ""
}

// gga takes the fix data sentence:
//
//	$GPGGA,hhmmss.ss,ddmm.mmmm,N,dddmm.mmmm,E,quality,satellites,hdop,altitude,M,…
func (n *reader) gga(f [][]byte) string {
	if len(f) < 10 {
		return "too few fields"
	}
	clock, ok := clockOf(f[1])
	if !ok {
		return "void fix: the receiver had no time yet"
	}
	n.at(clock)
	if string(f[6]) == "0" || len(f[6]) == 0 {
		n.seen()
		return ""
	}
	lat, lon, ok := positionOf(f[2:6])
	if !ok {
		return "position that can't be read"
	}
	if math.IsNaN(n.fix[0]) {
		n.fix[0], n.fix[1] = lat, lon
	}
	n.fix[2] = numberOf(f[9])
	n.seen()
	return ""
}

// vtg takes course and ground speed: $GPVTG,course,T,course,M,knots,N,km/h,K
func (n *reader) vtg(f [][]byte) string {
	if len(f) < 8 {
		return "too few fields"
	}
	if !n.open {
		return "speed before any time"
	}
	if math.IsNaN(n.fix[3]) {
		n.fix[3] = unit.Knot.SI(numberOf(f[5]))
		if math.IsNaN(n.fix[3]) {
			n.fix[3] = unit.KmPerHour.SI(numberOf(f[7]))
		}
		n.fix[4] = unit.Degree.SI(numberOf(f[1]))
	}
	n.seen()
	return ""
}

// zda takes the date: $GPZDA,hhmmss.ss,day,month,year,…
func (n *reader) zda(f [][]byte) string {
	if len(f) < 5 {
		return "too few fields"
	}
	clock, ok := clockOf(f[1])
	d, k := parse.Digits(f[2], 2)
	m, l := parse.Digits(f[3], 2)
	y, o := parse.Digits(f[4], 4)
	if !ok || k == 0 || l == 0 || o != 4 || y < 1970 || m < 1 || m > 12 || d < 1 || d > parse.DaysIn(y, m) {
		return "date that can't be read"
	}
	n.at(clock)
	n.day = parse.DaysSinceEpoch(y, m, d)
	n.hasRMC = true
	n.seen()
	return ""
}

// clockOf reads hhmmss.sss as seconds of the day.
func clockOf(b []byte) (float64, bool) {
	v, k := parse.Digits(b, 6)
	if k != 6 || (len(b) > 6 && b[6] != '.') {
		return 0, false
	}
	h, m, s := v/10000, v/100%100, v%100
	if h > 23 || m > 59 || s > 60 {
		return 0, false
	}
	frac := 0.0
	if len(b) > 7 {
		f, ok := parse.Number(b[6:], '.')
		if !ok || !(f < 1) { // digits, not an exponent
			return 0, false
		}
		frac = f
	}
	return float64(h*3600+m*60+s) + frac, true
}

// dateOf reads ddmmyy as days since 1970.
func dateOf(b []byte) (int64, bool) {
	v, k := parse.Digits(b, 6)
	if k != 6 || len(b) != 6 {
		return 0, false
	}
	y, m, d, ok := parse.DateParts{A: v / 10000, B: v / 100 % 100, C: v % 100, FirstDigits: 2, LastDigits: 2}.Civil(layout.DayMonthYear)
	return parse.DaysSinceEpoch(y, m, d), ok
}

// positionOf reads ddmm.mmmm,N,dddmm.mmmm,E as radians.
func positionOf(f [][]byte) (lat, lon float64, ok bool) {
	angle := func(b, side []byte, negative byte) float64 {
		v, ok := parse.Number(b, '.')
		if !ok || len(side) != 1 {
			return math.NaN()
		}
		d := math.Floor(v / 100)
		a := unit.Degree.SI(d + (v-100*d)/60)
		if side[0] == negative {
			a = -a
		}
		return a
	}
	lat, lon = angle(f[0], f[1], 'S'), angle(f[2], f[3], 'W')
	return lat, lon, table.Measurable(layout.HoldsLatitude, lat) && table.Measurable(layout.HoldsLongitude, lon)
}

// numberOf reads a field that may be empty.
func numberOf(b []byte) float64 {
	v, ok := parse.Number(b, '.')
	if !ok || math.IsInf(v, 0) {
		return math.NaN()
	}
	return v
}
