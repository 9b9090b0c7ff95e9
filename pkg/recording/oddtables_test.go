package recording

import (
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// oddTable builds an odd file row by row.
type oddTable struct {
	start   time.Time
	at      []float64
	celsius [4][]float64
	b       strings.Builder
}

func newOdd(n int) *oddTable {
	t := &oddTable{}
	t.start, t.at, t.celsius = oddDrive(n)
	return t
}

func (t *oddTable) line(format string, a ...any) { fmt.Fprintf(&t.b, format+"\n", a...) }

// file ends the table: the columns by name are the four probes in order.
func (t *oddTable) file(name string, dated bool, names ...string) oddFile {
	f := oddFile{name: name, text: []byte(t.b.String()), truth: oddTruth{Time: t.at, Values: map[string][]float64{}}}
	if dated {
		f.truth.Start = t.start
	}
	for i, n := range names {
		if n != "" {
			f.truth.Values[n] = kelvins(t.celsius[i])
		}
	}
	return f
}

func (t *oddTable) stamp(i int, layout string) string {
	return t.start.Add(time.Duration(t.at[i] * 1e9)).Format(layout)
}

func (t *oddTable) c(p, i int) float64 { return t.celsius[p][i] }

func fahr(c float64) float64 { return math.Round(quantity.Celsius(c).Fahrenheit()*10) / 10 }

const isoStamp = "2006-01-02 15:04:05"

func oddFiles() []oddFile {
	var all []oddFile
	add := func(f oddFile) { all = append(all, f) }
	const n = 120

	// Serial number in the first row only.
	t := newOdd(n)
	t.line("Index,Time,Celsius(°C),Humidity(%%rh),Dew Point(°C),Serial Number")
	for i := range n {
		if i == 0 {
			t.line("%d,%s,%.1f,50.5,10.1,010053412", i+1, t.stamp(i, isoStamp), t.c(0, i))
		} else {
			t.line("%d,%s,%.1f,50.5,10.1", i+1, t.stamp(i, isoStamp), t.c(0, i))
		}
	}
	add(t.file("serial in first row.csv", true, "celsius"))

	// Mixed line ends: most rows end in a bare carriage return.
	for _, share := range []int{2, 3, 5} {
		t = newOdd(n)
		t.b.WriteString("Time,T1 (°C),T2 (°C)\r\n")
		for i := range n {
			end := "\r\n"
			if i%share != 0 {
				end = "\r"
			}
			fmt.Fprintf(&t.b, "%s,%.1f,%.1f%s", t.stamp(i, isoStamp), t.c(0, i), t.c(1, i), end)
		}
		add(t.file(fmt.Sprintf("mixed line ends %d.csv", share), true, "t1", "t2"))
	}

	// Unpadded milliseconds.
	t = newOdd(n)
	for i := range t.at {
		t.at[i] = float64(i)*2 + float64((i*37)%1000)/1000
	}
	t.line("Time,T1 (°C),T2 (°C)")
	for i := range n {
		ms := int(math.Round(math.Mod(t.at[i], 1) * 1000))
		t.line("%s.%d,%.1f,%.1f", t.start.Add(time.Duration(math.Floor(t.at[i]))*time.Second).Format(isoStamp), ms, t.c(0, i), t.c(1, i))
	}
	add(t.file("unpadded ms dot.csv", true, "t1", "t2"))
	t2 := newOdd(n)
	t2.at = t.at
	t2.line("Time,T1 (°C),T2 (°C)")
	for i := range n {
		ms := int(math.Round(math.Mod(t2.at[i], 1) * 1000))
		t2.line("%s:%d,%.1f,%.1f", t2.start.Add(time.Duration(math.Floor(t2.at[i]))*time.Second).Format(isoStamp), ms, t2.c(0, i), t2.c(1, i))
	}
	add(t2.file("unpadded ms colon.csv", true, "t1", "t2"))
	// unpadded h:m:s
	t = newOdd(n)
	t.line("Time,T1 (°C),T2 (°C)")
	for i := range n {
		x := t.start.Add(time.Duration(t.at[i] * 1e9))
		t.line("2025-9-23 %d:%d:%d,%.1f,%.1f", x.Hour(), x.Minute(), x.Second(), t.c(0, i), t.c(1, i))
	}
	add(t.file("unpadded clock.csv", true, "t1", "t2"))

	// Damaged first row.
	for name, first := range map[string]string{"glued": "2025-09-23 17:42:0621.,3", "nul": "2025-\x00\x00\x00", "half": "3 17:42:06,17.4,21.8", "garbage": "ÿÿþ§$%&"} {
		t = newOdd(n)
		t.line("Time,Intake (°C),Bay (°C)")
		for i := range n {
			if i == 0 {
				t.b.WriteString(first + "\n")
				continue
			}
			t.line("%s,%.1f,%.1f", t.stamp(i, isoStamp), t.c(0, i), t.c(1, i))
		}
		add(t.file("damaged first row "+name+".csv", true, "intake", "bay"))
	}

	// 18.7 as 18. Jul
	t = newOdd(n)
	month := []string{"", "Jan", "Feb", "Mrz", "Apr", "Mai", "Jun", "Jul", "Aug", "Sep", "Okt", "Nov", "Dez"}
	t.line("Zeit;Luft (°C);Motor (°C)")
	cell := func(v float64) string {
		w := math.Floor(v)
		f := int(math.Round((v - w) * 10))
		if w >= 1 && w <= 31 && f >= 1 && f <= 12 {
			return fmt.Sprintf("%02.0f. %s", w, month[f])
		}
		return strings.Replace(fmt.Sprintf("%.1f", v), ".", ",", 1)
	}
	for i := range n {
		t.line("%s;%s;%s", t.stamp(i, "02.01.2006 15:04:05"), cell(t.c(0, i)), cell(t.c(1, i)))
	}
	add(t.file("18. Jul.csv", true, "luft", "motor"))
	t = newOdd(n)
	t.line("Time,Air (°C),Engine (°C)")
	emonth := []string{"", "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}
	ecell := func(v float64) string {
		w := math.Floor(v)
		f := int(math.Round((v - w) * 10))
		if w >= 1 && w <= 31 && f >= 1 && f <= 12 {
			return fmt.Sprintf("%.0f-%s", w, emonth[f])
		}
		return fmt.Sprintf("%.1f", v)
	}
	for i := range n {
		t.line("%s,%s,%s", t.stamp(i, isoStamp), ecell(t.c(0, i)), ecell(t.c(1, i)))
	}
	add(t.file("18-Jul.csv", true, "air", "engine"))

	// °C without unit whose coldest is above 52 °C.
	t = newOdd(n)
	t.line("Time,T1,T2,T3,T4")
	for i := range n {
		for p := range 4 {
			t.celsius[p][i] += 36
		}
		t.line("%s,%.1f,%.1f,%.1f,%.1f", t.stamp(i, isoStamp), t.c(0, i), t.c(1, i), t.c(2, i), t.c(3, i))
	}
	add(t.file("hot °C.csv", true, "t1", "t2", "t3", "t4"))
	t = newOdd(n)
	t.line("Time,T1,T2")
	for i := range n {
		t.celsius[0][i] += 60
		t.celsius[1][i] += 90
		t.line("%s,%.1f,%.1f", t.stamp(i, isoStamp), t.c(0, i), t.c(1, i))
	}
	add(t.file("hot °C 2.csv", true, "t1", "t2"))

	// Epochs mangled by a spreadsheet.
	for _, m := range []struct {
		name, head, form string
		ms               float64 // of one count
	}{
		{"mangled epoch ms.csv", "time", "%.5E", 1},
		{"mangled epoch s.csv", "timestamp", "%.5E", 1e3},
		{"mangled epoch ms 7.csv", "timestamp", "%.7E", 1},
		{"mangled epoch plain.csv", "timestamp", "%.0f000000", 1e6},
	} {
		t = newOdd(n)
		t.line("%s,T1 (°C),T2 (°C)", m.head)
		for i := range n {
			t.line(m.form+",%.1f,%.1f", (float64(t.start.UnixMilli())+t.at[i]*1000)/m.ms, t.c(0, i), t.c(1, i))
		}
		add(t.file(m.name, true, "t1", "t2"))
	}

	// Days.
	for _, h := range []string{"Elapsed days", "Time (days)", "Time (d)", "Days", "days since start", "Time [day]", "t (d)", "Elapsed (h)", "Hours", "Elapsed hours", "Time (hours)", "Time (min)", "Minutes", "elapsed minutes", "Time_min", "Time (s)", "seconds", "Time (µs)", "Time (us)", "microseconds", "Time (ns)", "t_ms", "ms", "Time (ms)"} {
		t = newOdd(n)
		t.line("%s,Intake (°C),Bay (°C)", h)
		low := strings.ToLower(h)
		per := 1.0
		switch {
		case strings.Contains(low, "da") || strings.Contains(low, "(d)"):
			per = 86400
		case strings.Contains(low, "h)") || strings.Contains(low, "hour"):
			per = 3600
		case strings.Contains(low, "ms"):
			per = 1e-3
		case strings.Contains(low, "min"):
			per = 60
		case strings.Contains(low, "us)") || strings.Contains(low, "µs") || strings.Contains(low, "micro"):
			per = 1e-6
		case strings.Contains(low, "ns)"):
			per = 1e-9
		}
		for i := range n {
			if per < 1 {
				t.line("%.0f,%.1f,%.1f", t.at[i]/per, t.c(0, i), t.c(1, i))
			} else {
				t.line("%.8f,%.1f,%.1f", t.at[i]/per, t.c(0, i), t.c(1, i))
			}
		}
		add(t.file("elapsed "+strings.NewReplacer("/", "").Replace(h)+".csv", false, "intake", "bay"))
	}

	// T,T,T,T
	for _, h := range []string{"T,T,T,T", "Temp,Temp,Temp,Temp", "°C,°C,°C,°C", "C,C,C,C", "t,t,t,t", "Temperature,Temperature,Temperature,Temperature", "T [°C],T [°C],T [°C],T [°C]"} {
		for _, first := range []string{"Time", "Date/Time", "t"} {
			t = newOdd(n)
			t.line("%s,%s", first, h)
			for i := range n {
				t.line("%s,%.1f,%.1f,%.1f,%.1f", t.stamp(i, isoStamp), t.c(0, i), t.c(1, i), t.c(2, i), t.c(3, i))
			}
			add(t.file(first+" "+h+".csv", true, "#2", "#3", "#4", "#5"))
			t = newOdd(n)
			t.line("%s,%s", first, h)
			for i := range n {
				t.line("%.1f,%.1f,%.1f,%.1f,%.1f", t.at[i], t.c(0, i), t.c(1, i), t.c(2, i), t.c(3, i))
			}
			add(t.file(first+" elapsed "+h+".csv", false, "#2", "#3", "#4", "#5"))
		}
	}

	// 2.013 rpm beside 18,0
	t = newOdd(n)
	rpm := make([]float64, n)
	t.line("Zeit;Drehzahl (1/min);Luft (°C)")
	for i := range n {
		r := 800 + float64((i*137)%2400)
		rpm[i] = r / 60
		text := fmt.Sprintf("%.0f", r)
		if r >= 1000 {
			text = fmt.Sprintf("%d.%03d", int(r)/1000, int(r)%1000)
		}
		t.line("%s;%s;%s", t.stamp(i, "02.01.2006 15:04:05"), text, strings.Replace(fmt.Sprintf("%.1f", t.c(0, i)), ".", ",", 1))
	}
	f := t.file("thousands dot.csv", true, "")
	f.truth.Values["drehzahl"], f.truth.Values["luft"] = rpm, kelvins(t.celsius[0])
	add(f)
	t = newOdd(n)
	t.line(`Time,"Engine (rpm)",Air (°C)`)
	for i := range n {
		r := 800 + float64((i*137)%2400)
		text := fmt.Sprintf("%.0f", r)
		if r >= 1000 {
			text = fmt.Sprintf("\"%d,%03d\"", int(r)/1000, int(r)%1000)
		}
		t.line("%s,%s,%.1f", t.stamp(i, isoStamp), text, t.c(0, i))
	}
	f = t.file("thousands comma.csv", true, "")
	f.truth.Values["engine"], f.truth.Values["air"] = rpm, kelvins(t.celsius[0])
	add(f)

	// minute-only stamps
	for _, first := range []int{0, 20, 26, 40} {
		for _, l := range []string{"2006-01-02 15:04", "02.01.2006 15:04", "15:04"} {
			t = newOdd(n)
			t.start = t.start.Truncate(time.Minute).Add(time.Duration(first) * time.Second)
			t.line("Time;T1 (°C);T2 (°C)")
			for i := range n {
				t.line("%s;%.1f;%.1f", t.stamp(i, l), t.c(0, i), t.c(1, i))
			}
			add(t.file(fmt.Sprintf("minutes only %d %s.csv", first, strings.ReplaceAll(l, ":", "")), true, "t1", "t2"))
		}
	}

	// tenths of °C
	t = newOdd(n)
	t.line("Time,T1,T2,T3,T4")
	for i := range n {
		t.line("%s,%.0f,%.0f,%.0f,%.0f", t.stamp(i, isoStamp), t.c(0, i)*10, t.c(1, i)*10, t.c(2, i)*10, t.c(3, i)*10)
	}
	add(t.file("tenths.csv", true, "t1", "t2", "t3", "t4"))
	t = newOdd(n)
	t.line("Time,T1 (0.1 °C),T2 (0.1 °C)")
	for i := range n {
		t.line("%s,%.0f,%.0f", t.stamp(i, isoStamp), t.c(0, i)*10, t.c(1, i)*10)
	}
	add(t.file("tenths named.csv", true, "t1", "t2"))
	t = newOdd(n)
	t.line("Time,T1 (°C),T2 (°C)")
	for i := range n {
		t.line("%s,%.0f,%.0f", t.stamp(i, isoStamp), t.c(0, i)*10, t.c(1, i)*10)
	}
	add(t.file("tenths marked °C.csv", true, "t1", "t2"))

	// switch °C → °F midway
	for _, h := range []string{"Time,T1,T2,T3,T4", "Time,T1 (°C),T2 (°C),T3 (°C),T4 (°C)"} {
		for _, back := range []bool{false, true} {
			t = newOdd(n)
			t.line("%s", h)
			for i := range n {
				v := [4]float64{t.c(0, i), t.c(1, i), t.c(2, i), t.c(3, i)}
				if i >= n/2 && !(back && i >= 3*n/4) {
					for p := range v {
						v[p] = fahr(v[p])
					}
				}
				t.line("%s,%.1f,%.1f,%.1f,%.1f", t.stamp(i, isoStamp), v[0], v[1], v[2], v[3])
			}
			add(t.file(fmt.Sprintf("switch to F %s %t.csv", h[:12], back), true, "t1", "t2", "t3", "t4"))
		}
	}

	// power-on 85.0
	for _, which := range []string{"all", "one", "two rows"} {
		t = newOdd(n)
		t.line("Time,Intake (°C),Bay (°C),Grille (°C)")
		for i := range n {
			v := [3]float64{t.c(0, i), t.c(1, i), t.c(2, i)}
			if i == 0 || which == "two rows" && i == 1 {
				v[0] = 85
				t.celsius[0][i] = math.NaN()
				if which != "one" {
					v[1], v[2] = 85, 85
					t.celsius[1][i], t.celsius[2][i] = math.NaN(), math.NaN()
				}
			}
			t.line("%s,%.1f,%.1f,%.1f", t.stamp(i, isoStamp), v[0], v[1], v[2])
		}
		add(t.file("power-on "+which+".csv", true, "intake", "bay", "grille"))
	}

	// swapped columns after a repeated header
	t = newOdd(n)
	t.line("Time,Intake (°C),Coolant (°C)")
	t.celsius[1] = t.celsius[3]
	for i := range n {
		if i == n/2 {
			t.line("Time,Coolant (°C),Intake (°C)")
		}
		if i >= n/2 {
			t.line("%s,%.1f,%.1f", t.stamp(i, isoStamp), t.c(1, i), t.c(0, i))
		} else {
			t.line("%s,%.1f,%.1f", t.stamp(i, isoStamp), t.c(0, i), t.c(1, i))
		}
	}
	add(t.file("swapped header.csv", true, "intake", "coolant"))
	for _, rep := range []string{"", "Time,Intake (°C),Coolant (°C)"} {
		t = newOdd(n)
		t.line("Time,Intake (°C),Coolant (°C)")
		t.celsius[1] = t.celsius[3]
		for i := range n {
			if i == n/2 && rep != "" {
				t.line("%s", rep)
			}
			if i >= n/2 {
				t.line("%s,%.1f,%.1f", t.stamp(i, isoStamp), t.c(1, i), t.c(0, i))
			} else {
				t.line("%s,%.1f,%.1f", t.stamp(i, isoStamp), t.c(0, i), t.c(1, i))
			}
		}
		add(t.file("swapped silently "+rep+".csv", true, "intake", "coolant"))
	}
	return all
}
