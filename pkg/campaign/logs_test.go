package campaign_test

import (
	"fmt"
	"math"
	"strings"
	"time"
)

var begin = time.Date(2026, 5, 3, 9, 0, 0, 0, time.UTC)

// logs returns a four-channel logger's text and a phone's over so many
// seconds. The phone's clock is 12.5 s slow. Invented, for plumbing only.
func logs(duration int) (logger, phone string) {
	var a, b strings.Builder
	a.WriteString("Date,Time,CH1 (°C),CH2 (°C),CH3 (°C),CH4 (°C)\n")
	for s := 0; s < duration; s += 2 {
		at := begin.Add(time.Duration(s) * time.Second)
		warm := 1 - math.Exp(-float64(s)/300)
		fmt.Fprintf(&a, "%s,%s,%.1f,%.1f,%.1f,%.1f\n", at.Format("2006-01-02"), at.Format("15:04:05"),
			17+0.3*math.Sin(float64(s)/40), 20+20*warm+math.Sin(float64(s)/30), 20+40*warm+2*math.Sin(float64(s)/25), 18+65*warm)
	}
	b.WriteString("time,latitude,longitude,altitude,speed (km/h)\n")
	for s := range duration {
		at := begin.Add(time.Duration(s)*time.Second - 12500*time.Millisecond)
		v := math.Max(0, 40*math.Sin(float64(s)/60))
		fmt.Fprintf(&b, "%s,%.6f,%.6f,%.1f,%.2f\n", at.Format("2006-01-02T15:04:05.000Z"), 48+float64(s)*1e-5, 9.0, 310.0, v)
	}
	return a.String(), b.String()
}
