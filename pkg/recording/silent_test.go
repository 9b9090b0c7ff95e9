package recording

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// TestCommaForBoth refuses rows that use the comma between cells and in the
// numbers, also where no header tells; whole numbers are taken on demand.
func TestCommaForBoth(t *testing.T) {
	text := ""
	for i := range 20 {
		text += fmt.Sprintf("2025-03-24 14:18:%02d,%d,%d,%d,%d\n", i, 16+i, i*7%10, 20+i, i*3%10)
	}
	for _, head := range []string{"", "Time,A (°C),B (°C)\n"} {
		_, err := readBytes([]byte(head + text))
		if !errors.Is(err, ErrNoData) || !strings.Contains(err.Error(), "comma both") || !strings.Contains(err.Error(), "semicolon") {
			t.Errorf("header %q: %v", head, err)
		}
	}
	if r, err := readBytesWith([]byte(text), Layout{Delimiter: Comma, Decimal: DecimalPoint, TemperatureUnit: "°C"}); err != nil || len(r.Columns) != 4 {
		t.Errorf("whole numbers: %v", err)
	}
	// What is no such file: a sign, a decimal point, digits of any number.
	for name, row := range map[string]string{"point": "20.5,3", "sign": "20,-3", "digits": "20,%d"} {
		text := ""
		for i := range 20 {
			cells := row
			if name == "digits" {
				cells = fmt.Sprintf(row, 5+i)
			}
			text += fmt.Sprintf("2025-03-24 14:18:%02d,%s\n", i, cells)
		}
		if _, err := readBytesWith([]byte(text), Layout{TemperatureUnit: "°C"}); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestPaddedRows finds cells left out where the row was filled up at its end,
// and leaves empty cells where they belong otherwise.
func TestPaddedRows(t *testing.T) {
	build := func(row func(i int, v []string) []string) string {
		text := "Time,A (°C),B (°C),C (°C),D (°C)\n"
		for i := range 60 {
			v := []string{fmt.Sprintf("%d.5", 18), fmt.Sprintf("%d.5", 35+i%3), fmt.Sprintf("%d.5", 60+i%2), fmt.Sprintf("%d.5", 88)}
			text += fmt.Sprintf("2025-03-24 14:18:%02d,%s\n", i, strings.Join(row(i, v), ","))
		}
		return text
	}
	missing := func(r *Recording, row int) string {
		s := ""
		for _, c := range r.Columns {
			if math.IsNaN(c.Series.Value[row]) {
				s += c.Name
			}
		}
		return s
	}
	r := readShape(t, build(func(i int, v []string) []string {
		switch i {
		case 20:
			return append(v[1:], "")
		case 21:
			return append(v[:1:1], v[2], v[3], "")
		case 40: // the last one itself
			return append(v[:3:3], "")
		}
		return v
	}))
	for row, want := range map[int]string{19: "", 20: "A", 21: "B", 40: "D", 41: ""} {
		if got := missing(r, row); got != want {
			t.Errorf("row %d misses %q, want %q", row, got, want)
		}
	}
	if v := r.Columns[3].Series.Value[20]; v != 88.5+273.15 {
		t.Errorf("D in row 20 is %v K", v)
	}
	if !strings.Contains(r.Account.String(), "filled up at its end") {
		t.Errorf("the move is not told:\n%s", r.Account)
	}
	// A logger that leaves cells empty in place.
	r = readShape(t, build(func(i int, v []string) []string {
		switch i {
		case 10:
			v[0] = ""
		case 20:
			return []string{v[1], v[2], v[3], ""}
		}
		return v
	}))
	if strings.Contains(r.Account.String(), "filled up at its end") || !strings.HasSuffix(missing(r, 20), "D") {
		t.Errorf("row 20 misses %q\n%s", missing(r, 20), r.Account)
	}
}

// TestGluedNumbers takes two numbers that ran together for none, but many
// digits where a program writes all numbers so.
func TestGluedNumbers(t *testing.T) {
	text := "Time,A (°C)\n"
	long := "Time,A (°C)\n"
	for i := range 30 {
		cell := "20.5"
		if i == 7 {
			cell += "99999999999999999999999"
		}
		text += fmt.Sprintf("2025-03-24 14:18:%02d,%s\n", i, cell)
		long += fmt.Sprintf("2025-03-24 14:18:%02d,%.24f\n", i, 20.1+float64(i)/10)
	}
	r := readShape(t, text)
	if s := r.Columns[0].Series; !math.IsNaN(s.Value[7]) || s.Present() != 29 || !strings.Contains(r.Account.String(), "run together") {
		t.Errorf("%v\n%s", s.Value, r.Account)
	}
	if r := readShape(t, long); r.Columns[0].Series.Present() != 30 {
		t.Errorf("%s", r)
	}
}

// TestBesideTheTable leaves out single numbers that someone has put beside the
// table, and says so.
func TestBesideTheTable(t *testing.T) {
	text := "Time,A (°C),,\n"
	for i := range 40 {
		beside := ""
		if i == 3 {
			beside = "21.7"
		}
		text += fmt.Sprintf("2025-03-24 14:18:%02d,%d.5,,%s\n", i, 20+i, beside)
	}
	r := readShape(t, text)
	if len(r.Columns) != 1 || r.Rows() != 40 || !strings.Contains(strings.Join(estimate.Texts(r.Warnings), "\n"), "column 4 is not read: beside the table") {
		t.Errorf("%s", r)
	}
}

// TestUnlikeUnits asks for the unit of one temperature where the others' differ.
func TestUnlikeUnits(t *testing.T) {
	text := "Time,A (°C),B (°F),T3\n"
	for i := range 20 {
		text += fmt.Sprintf("2025-03-24 14:18:%02d,%d,%d,%d\n", i, 20+i, 68+2*i, 20+3*i)
	}
	_, err := readBytes([]byte(text))
	var ask *AmbiguousError
	if !errors.As(err, &ask) || !strings.Contains(err.Error(), `temperature_unit = "°F"`) {
		t.Errorf("no question: %v", err)
	}
}

// TestUnicodeMinus reads the minus sign U+2212, as typesetting programs and
// some spreadsheets write it.
func TestUnicodeMinus(t *testing.T) {
	for _, c := range []struct{ text, cells string }{
		{"Time;A (°C)\n%s", "−5,5"}, {"Time,A (°C)\n%s", "−5.5"},
	} {
		rows := ""
		sep := c.text[4:5]
		for i := range 5 {
			rows += fmt.Sprintf("2025-03-24 14:18:%02d%s%s\n", i, sep, c.cells)
		}
		r := readShape(t, fmt.Sprintf(c.text, rows))
		if s := r.Columns[0].Series; s.Present() != 5 || math.Abs(s.Value[0]-273.15+5.5) > 1e-9 {
			t.Errorf("%q: %v", c.cells, s.Value)
		}
	}
}

// TestTrackSpeedUnit warns of a track whose speeds are not in the schema's m/s.
func TestTrackSpeedUnit(t *testing.T) {
	for factor, warns := range map[float64]bool{1: false, 3.6: true, 2.2369: true} {
		text := `<gpx version="1.0"><trk><trkseg>`
		for i := range 40 {
			// 0.0001° of latitude is 11.12 m on the mean sphere: 11.12 m/s.
			text += fmt.Sprintf(`<trkpt lat="%.4f" lon="7.25"><time>2025-03-24T14:18:%02dZ</time><speed>%.3f</speed></trkpt>`, 46.5+float64(i)*1e-4, i, 11.12*factor)
		}
		r := readShape(t, text+`</trkseg></trk></gpx>`)
		said := strings.Contains(strings.Join(estimate.Texts(r.Warnings), "\n"), fmt.Sprintf("%.2f times the speed between the positions", factor))
		if said != warns {
			t.Errorf("factor %v: warnings %q", factor, r.Warnings)
		}
	}
}

// TestStepBack reads on over a clock that is set back by some seconds, and
// names it; rows of time already covered are rejected, not mixed in.
func TestStepBack(t *testing.T) {
	text := "Time,A (°C)\n"
	for i := range 90 {
		at := i
		if i >= 50 {
			at = i - 4
		}
		text += fmt.Sprintf("2025-03-24 14:%02d:%02d,%.1f\n", 18+at/60, at%60, 20+float64(i)/10)
	}
	r := readShape(t, text)
	s := r.Columns[0].Series
	for i := 1; i < s.Len(); i++ {
		if s.Time[i] <= s.Time[i-1] {
			t.Fatalf("times do not rise at row %d: %v", i, s.Time[i-1:i+1])
		}
	}
	told := r.Account.List() + strings.Join(estimate.Texts(r.Warnings), "\n")
	if !strings.Contains(told, "back") {
		t.Errorf("the step is not named:\n%s", told)
	}
	if r.Account.Read+len(r.Account.Rejects) < 90 {
		t.Errorf("%d read, %d rejected of 90", r.Account.Read, len(r.Account.Rejects))
	}
}

// TestSmallLetterSentences reads NMEA sentences in small letters, with the
// checksum of either spelling.
func TestSmallLetterSentences(t *testing.T) {
	sum := func(s string) string {
		x := byte(0)
		for _, c := range []byte(s[1:]) {
			x ^= c
		}
		return fmt.Sprintf("%s*%02X\r\n", s, x)
	}
	capitals, own, bare := "", "", ""
	for line := range strings.Lines(nmeaSample) {
		if body, _, _ := strings.Cut(strings.TrimSpace(line), "*"); body != "" && body[0] == '$' {
			capitals += sum(body)
			own += sum(strings.ToLower(body))
			bare += strings.ToLower(body) + "\r\n"
		}
	}
	want, kept := readShape(t, capitals), strings.ToLower(capitals)
	for name, text := range map[string]string{"own checksum": own, "capitals' checksum": kept, "no checksum": bare} {
		r := readShape(t, text)
		if r.Rows() != want.Rows() || !r.Start.Equal(want.Start) || r.Columns[0].Series.Value[0] != want.Columns[0].Series.Value[0] {
			t.Errorf("%s: %s, want %s", name, r, want)
		}
	}
}

// TestDegreeSign keeps a column whose numbers carry a degree sign an angle, and
// codes of one letter no column at all.
func TestDegreeSign(t *testing.T) {
	text := "Time,Tilt,Event,A (°C)\n"
	for i := range 5 {
		text += fmt.Sprintf("2025-03-24 14:18:%02d,%d.5°,E%d,%d\n", i, i, i, 20+i)
	}
	r := readShape(t, text)
	if len(r.Columns) != 2 || math.Abs(r.Columns[0].Series.Value[2]-2.5*math.Pi/180) > 1e-12 {
		t.Errorf("%s", r)
	}
}

// TestLayoutOfParts reads by a layout that names the parts of a time, and asks
// for those that it leaves out.
func TestLayoutOfParts(t *testing.T) {
	text := "a,b,c,d,e,f,g\n"
	for i := range 5 {
		text += fmt.Sprintf("%d,2025,3,24,14,18,%d\n", 20+i, 49+i)
	}
	l := Layout{TemperatureUnit: "°C", Columns: []ColumnLayout{{Number: 1, Holds: HoldsTemperature}}}
	for i, holds := range []Content{HoldsYear, HoldsMonth, HoldsDay, HoldsHour, HoldsMinute, HoldsSecond} {
		l.Columns = append(l.Columns, ColumnLayout{Number: i + 2, Holds: holds})
	}
	r, err := readBytesWith([]byte(text), l)
	if err != nil || r.Start.Format("2006-01-02T15:04:05") != "2025-03-24T14:18:49" || r.Rows() != 5 {
		t.Fatalf("%v, %v", r, err)
	}
	sameByLayout(t, r, text)
	l.Columns = l.Columns[:6]
	if _, err := readBytesWith([]byte(text), l); err == nil || !strings.Contains(err.Error(), `no column that holds "second"`) {
		t.Errorf("without seconds: %v", err)
	}
	l.Columns = []ColumnLayout{{Number: 1, Holds: HoldsTemperature}, {Number: 2, Holds: HoldsMillis}}
	if _, err := readBytesWith([]byte(text), l); err == nil || !strings.Contains(err.Error(), `holds = "date"`) {
		t.Errorf("milliseconds alone: %v", err)
	}
}

// TestLayoutOfFractions saves and reads again what has a unit by its numbers
// only.
func TestLayoutOfFractions(t *testing.T) {
	r := readShape(t, "Time,Humidity,Pressure,A (K),Volume\n2025-03-24 14:18:49,0.4,1001,290,3\n2025-03-24 14:18:50,0.41,1002,291,4\n2025-03-24 14:18:51,0.42,1002,291,4\n")
	if v := r.Columns[0].Series.Value[1]; v != 0.41 {
		t.Errorf("humidity %v", v)
	}
}

// TestDegreesInText reads 46° 30' 9" north, 7° 15' east, and their opposites.
func TestDegreesInText(t *testing.T) {
	for row, sign := range map[string]float64{
		"46°30.15'N,7°15.0'E":                1,
		`"46° 30' 9.0"" N","7° 15' 0.0"" E"`: 1,
		`46°30′9″S,7°15′0″W`:                 -1,
		"S 46.5025,W 7.25":                   -1,
		"N46.5025,E7.25":                     1,
		"46.5025°N,7.25°E":                   1,
	} {
		text := "time,lat,lon,speed (m/s)\n"
		for i := range 5 {
			text += fmt.Sprintf("2025-03-24T14:18:%02dZ,%s,%d\n", i, row, i)
		}
		r := readShape(t, text)
		lat, lon := r.Columns[0].Series.Value[0]*180/math.Pi, r.Columns[1].Series.Value[0]*180/math.Pi
		if math.Abs(lat-sign*46.5025) > 1e-9 || math.Abs(lon-sign*7.25) > 1e-9 {
			t.Errorf("%s: %v, %v", row, lat, lon)
		}
	}
}

// Minutes and seconds with a point between are no seconds, and a relative humidity
// that never passes 1 is no percentage, also where its name is that of percent.
func TestNumbersOfOtherScales(t *testing.T) {
	text := "min:sec,T1 (°C)\n"
	for i := range 120 {
		text += fmt.Sprintf("%d.%02d,%.1f\n", 2*i/60, 2*i%60, 20+float64(i)/20)
	}
	if _, err := readBytes([]byte(text)); !errors.Is(err, ErrNoTime) || !strings.Contains(err.Error(), "minutes and seconds") {
		t.Errorf("minutes and seconds: %v", err)
	}
	for unit, scale := range map[string]float64{"fraction": 1, "%": 100} {
		text := "time,RH\n"
		for i := range 60 {
			text += fmt.Sprintf("2025-03-24 14:18:%02d,%.3f\n", i, scale*(0.4+float64(i%20)/100))
		}
		r, err := readBytes([]byte(text))
		if err != nil || r.Columns[0].Unit != unit || math.Abs(r.Columns[0].Series.Value[0]-0.4) > 1e-9 {
			t.Errorf("RH in %s: %v, %v", unit, err, r)
		}
	}
}
