package simulate

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Phone records speed and position about once a second. Its speed is smoothed
// and a little late, and noisy at rest.
type Phone struct {
	Lag           float64 // s, first-order smoothing of speed
	SpeedNoise    float64 // m/s
	PositionNoise float64 // m
	Dropout       float64 // share of fixes that are lost
}

// Fix is one position of a phone, in UTC.
type Fix struct {
	Time                          time.Time
	Latitude, Longitude, Altitude float64 // degrees, m
	Speed                         float64 // m/s
}

// Origin of the demo's road: in the open sea, so that it is nobody's road.
const (
	originLatitude  = 45.0
	originLongitude = -30.0
	earthRadius     = 6371e3
)

// position returns where the road is after s metres: a winding valley.
func position(s float64) (lat, lon, alt float64) {
	north := 0.8*s + 900*math.Sin(s/4200)
	east := 0.5*s + 1400*math.Sin(s/6100)
	lat = originLatitude + quantity.Angle(north/earthRadius).Degrees()
	lon = originLongitude + quantity.Angle(east/earthRadius/math.Cos(lat*float64(quantity.Degree))).Degrees()
	return lat, lon, 420 + 25*math.Sin(s/5200)
}

// Fixes returns what the phone records of a run that began at start.
func (p Phone) Fixes(start time.Time, h *History, random *rand.Rand) []Fix {
	var fixes []Fix
	speed := h.Speed[0]
	var driftN, driftE float64 // position error wanders slowly
	for i := range h.Speed {
		speed += (h.Speed[i] - speed) * -math.Expm1(-1/math.Max(p.Lag, 1e-9))
		driftN += -driftN/60 + p.PositionNoise*0.18*random.NormFloat64()
		driftE += -driftE/60 + p.PositionNoise*0.18*random.NormFloat64()
		shown := math.Abs(speed + p.SpeedNoise*random.NormFloat64())
		if random.Float64() < p.Dropout {
			continue
		}
		lat, lon, alt := position(h.Distance[i])
		fixes = append(fixes, Fix{
			Time:     start.Add(time.Duration(i) * time.Second).UTC(),
			Latitude: lat + quantity.Angle(driftN/earthRadius).Degrees(), Longitude: lon + quantity.Angle(driftE/earthRadius).Degrees(),
			Altitude: alt + 2*driftN, Speed: shown,
		})
	}
	return fixes
}

// CSV returns the fixes as a phone's text export, speed in km/h.
func CSV(fixes []Fix) []byte {
	var b bytes.Buffer
	b.WriteString("time,latitude,longitude,altitude_m,speed_kmh\n")
	for _, f := range fixes {
		fmt.Fprintf(&b, "%s,%.6f,%.6f,%.1f,%.2f\n", f.Time.Format("2006-01-02T15:04:05.000Z"), f.Latitude, f.Longitude, f.Altitude, quantity.Speed(f.Speed).KilometresPerHour())
	}
	return b.Bytes()
}

// GPX returns the fixes as GPX 1.1 (topografix.com/GPX/1/1), which has no
// speed element.
func GPX(fixes []Fix) []byte {
	var b bytes.Buffer
	b.WriteString(`<?xml version="1.0" encoding="UTF-8"?>` + "\n" + `<gpx version="1.1" creator="simulation" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>` + "\n")
	for _, f := range fixes {
		fmt.Fprintf(&b, `<trkpt lat="%.6f" lon="%.6f"><ele>%.1f</ele><time>%s</time></trkpt>`+"\n", f.Latitude, f.Longitude, f.Altitude, f.Time.Format(time.RFC3339))
	}
	b.WriteString("</trkseg></trk></gpx>\n")
	return b.Bytes()
}

// NMEA returns the fixes as NMEA 0183 sentences RMC and GGA with checksums.
func NMEA(fixes []Fix) []byte {
	var b bytes.Buffer
	sentence := func(body string) {
		sum := byte(0)
		for i := range len(body) {
			sum ^= body[i]
		}
		fmt.Fprintf(&b, "$%s*%02X\r\n", body, sum)
	}
	for _, f := range fixes {
		lat, ns := degreesMinutes(f.Latitude, 2, "N", "S")
		lon, ew := degreesMinutes(f.Longitude, 3, "E", "W")
		clock := f.Time.Format("150405.00")
		sentence(fmt.Sprintf("GPRMC,%s,A,%s,%s,%s,%s,%.2f,0.0,%s,,,A", clock, lat, ns, lon, ew, quantity.Speed(f.Speed).Knots(), f.Time.Format("020106")))
		sentence(fmt.Sprintf("GPGGA,%s,%s,%s,%s,%s,1,08,1.0,%.1f,M,0.0,M,,", clock, lat, ns, lon, ew, f.Altitude))
	}
	return b.Bytes()
}

func degreesMinutes(deg float64, width int, pos, neg string) (string, string) {
	side := pos
	if deg < 0 {
		deg, side = -deg, neg
	}
	whole := math.Floor(deg)
	return fmt.Sprintf("%0*d%07.4f", width, int(whole), (deg-whole)*60), side
}
