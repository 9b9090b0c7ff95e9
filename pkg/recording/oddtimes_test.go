package recording

import (
	"fmt"
	"strings"
	"time"

	"golang.org/x/text/encoding/japanese"
	"golang.org/x/text/encoding/simplifiedchinese"
)

// oddTimes are files whose times are written as few people would.
func oddTimes() []oddFile {
	var all []oddFile
	const n = 60
	rows := func(name, header string, dated bool, f func(t *oddTable, i int) string) {
		t := newOdd(n)
		t.line("%s", header)
		for i := range n {
			t.line("%s,%.1f,%.1f", f(t, i), t.c(0, i), t.c(1, i))
		}
		file := t.file(name, dated, "intake", "bay")
		all = append(all, file)
	}
	at := func(t *oddTable, i int) time.Time { return t.start.Add(time.Duration(t.at[i] * 1e9)) }

	// Week and time of week: 2025-09-23 17:42:06 UTC lies in week 2385, which
	// began on 2025-09-21, and is 18 s further on the clock of the GPS.
	sunday := time.Date(2025, 9, 21, 0, 0, 0, 0, time.UTC)
	rows("gps week.csv", "GPS week,TOW (s),Intake (°C),Bay (°C)", true, func(t *oddTable, i int) string {
		return fmt.Sprintf("2385,%.1f", at(t, i).Sub(sunday).Seconds()+18)
	})
	rows("gps week ms.csv", "Week,iTOW,Intake (°C),Bay (°C)", true, func(t *oddTable, i int) string {
		return fmt.Sprintf("2385,%.0f", (at(t, i).Sub(sunday).Seconds()+18)*1000)
	})
	rows("day of year.csv", "Year,DOY,Time,Intake (°C),Bay (°C)", true, func(t *oddTable, i int) string {
		return fmt.Sprintf("2025,%d,%s", at(t, i).YearDay(), t.stamp(i, "15:04:05"))
	})
	rows("day of year parts.csv", "Year,Day of year,Hour,Minute,Second,Intake (°C),Bay (°C)", true, func(t *oddTable, i int) string {
		x := at(t, i)
		return fmt.Sprintf("2025,%d,%d,%d,%d", x.YearDay(), x.Hour(), x.Minute(), x.Second())
	})
	rows("dotted clock.csv", "Date,Time,Intake (°C),Bay (°C)", true, func(t *oddTable, i int) string { return t.stamp(i, "2006-01-02,15.04.05") })
	rows("dotted stamp.csv", "Time,Intake (°C),Bay (°C)", true, func(t *oddTable, i int) string { return t.stamp(i, "02.01.2006 15.04.05") })
	rows("ordinal stamp.csv", "Time,Intake (°C),Bay (°C)", true, func(t *oddTable, i int) string { return t.stamp(i, "2006-002T15:04:05") })
	rows("basic stamp.csv", "Time,Intake (°C),Bay (°C)", true, func(t *oddTable, i int) string { return t.stamp(i, "20060102T150405Z") })
	rows("month name.csv", "Time,Intake (°C),Bay (°C)", true, func(t *oddTable, i int) string { return t.stamp(i, "02 January 2006 15:04:05") })
	rows("us half day.csv", "Time,Intake (°C),Bay (°C)", true, func(t *oddTable, i int) string { return t.stamp(i, "1/2/2006 3:04:05 PM") })
	rows("zone name.csv", "Time,Intake (°C),Bay (°C)", true, func(t *oddTable, i int) string { return t.stamp(i, "2006-01-02 15:04:05 UTC") })
	rows("clock first.csv", "Time,Intake (°C),Bay (°C)", true, func(t *oddTable, i int) string { return t.stamp(i, "15:04:05 02/01/2006") })
	rows("h m s.csv", "Date,Time,Intake (°C),Bay (°C)", true, func(t *oddTable, i int) string { return t.stamp(i, "2006-01-02,15h04m05s") })
	rows("hours only.csv", "Elapsed (h),Intake (°C),Bay (°C)", false, func(t *oddTable, i int) string { return fmt.Sprintf("%.7f", t.at[i]/3600) })

	for _, p := range []string{"Interval: 2 s", "Sampling interval,2 s", "Sample rate: 0.5 Hz", "Interval (s),2", "Logging interval 00:00:02", "Intervall: 2 Sekunden", "Sampling period = 2000 ms"} {
		for _, h := range []string{"No.,Intake (°C),Bay (°C)", "Index,Intake (°C),Bay (°C)", "Sample,Intake (°C),Bay (°C)"} {
			rows("interval in preamble "+strings.ReplaceAll(p, "/", "")+h[:3]+".csv", "Four-channel logger\n"+p+"\n\n"+h, false, func(_ *oddTable, i int) string { return fmt.Sprint(i + 1) })
		}
	}

	for name, e := range map[string]func(string) (string, error){
		"gbk": simplifiedchinese.GBK.NewEncoder().String, "shift-jis": japanese.ShiftJIS.NewEncoder().String,
	} {
		for _, h := range []string{"时间,温度1(℃),温度2(℃)", "日期,时间,温度1,温度2", "時間,温度1(℃),温度2(℃)", "日時,温度1（℃）,温度2（℃）", "日付,時刻,温度1(°C),温度2(°C)"} {
			text, err := e(h)
			if err != nil {
				continue
			}
			t := newOdd(n)
			t.line("%s", text)
			for i := range n {
				l := isoStamp
				if strings.Count(h, ",") == 3 {
					l = "2006-01-02,15:04:05"
				}
				t.line("%s,%.1f,%.1f", t.stamp(i, l), t.c(0, i), t.c(3, i))
			}
			f := t.file(name+" "+h+".csv", true, "温度1", "", "", "温度2")
			all = append(all, f)
		}
	}
	return all
}
