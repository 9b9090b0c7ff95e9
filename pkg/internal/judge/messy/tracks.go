package messy

import (
	"bytes"
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/instrument"
)

// The shapes of phone files.
const (
	trackCSV    = "CSV, ISO stamps in UTC, m/s"
	trackKMH    = "CSV, epoch milliseconds, km/h, words of the owner's language"
	trackGPX    = "GPX 1.1"
	trackFolder = "a folder a drive with one CSV a sensor"
	trackNMEA   = "NMEA sentences"
	trackLines  = "JSON, one object a line"
)

var trackShapes = []string{trackCSV, trackKMH, trackGPX, trackFolder, trackNMEA, trackLines}

// file is one file of the folder, path relative to it, with slashes.
type file struct {
	path string
	data []byte
}

// track writes one drive's track; the first file is the one that counts.
func track(shape string, lang language, fixes []instrument.Fix) []file {
	var w bytes.Buffer
	first := fixes[0].At
	stamp := first.Format("20060102-150405")
	switch shape {
	case trackCSV:
		w.WriteString("time,latitude,longitude,altitude (m),speed (m/s),accuracy (m)\n")
		for _, f := range fixes {
			fmt.Fprintf(&w, "%s,%.6f,%.6f,%.1f,%.2f,%.0f\n", f.At.Format("2006-01-02T15:04:05.000Z"), f.LatDeg, f.LonDeg, f.HeightM, f.SpeedMPS, f.AccurM)
		}
		return []file{{"track_" + stamp + ".csv", w.Bytes()}}
	case trackKMH:
		fmt.Fprintf(&w, "epoch ms;lat;lon;%s [m];%s [km/h];%s [m]\n", lang.height, lang.speed, lang.accuracy)
		for _, f := range fixes {
			row := fmt.Sprintf("%d;%.6f;%.6f;%.1f;%.1f;%.0f\n", f.At.UnixMilli(), f.LatDeg, f.LonDeg, f.HeightM, f.SpeedMPS*3.6, f.AccurM)
			w.WriteString(strings.ReplaceAll(row, ".", ","))
		}
		return []file{{"gps " + first.Format("2006-01-02 1504") + ".csv", w.Bytes()}}
	case trackGPX:
		w.WriteString("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"phone\" xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><name>drive</name><trkseg>\n")
		for _, f := range fixes {
			fmt.Fprintf(&w, "<trkpt lat=\"%.6f\" lon=\"%.6f\"><ele>%.1f</ele><time>%s</time></trkpt>\n", f.LatDeg, f.LonDeg, f.HeightM, f.At.Format("2006-01-02T15:04:05Z"))
		}
		w.WriteString("</trkseg></trk></gpx>\n")
		return []file{{"track_" + stamp + ".gpx", w.Bytes()}}
	case trackFolder:
		return sensorFolder(first.Format("2006-01-02_15-04-05"), fixes)
	case trackNMEA:
		for _, f := range fixes {
			nmea(&w, f)
		}
		return []file{{"nmea_" + stamp + ".txt", w.Bytes()}}
	case trackLines:
		for _, f := range fixes {
			fmt.Fprintf(&w, "{\"t\":\"%s\",\"lat\":%.6f,\"lon\":%.6f,\"alt\":%.1f,\"speed_kmh\":%.1f}\n", f.At.Format("2006-01-02T15:04:05Z"), f.LatDeg, f.LonDeg, f.HeightM, f.SpeedMPS*3.6)
		}
		return []file{{"drive_" + stamp + ".jsonl", w.Bytes()}}
	}
	return nil
}

// sensorFolder is an archive of a sensor app: position, and what else it
// recorded that is of no use here.
func sensorFolder(name string, fixes []instrument.Fix) []file {
	var w, m, meta bytes.Buffer
	w.WriteString("time,seconds_elapsed,latitude,longitude,altitude,speed,horizontalAccuracy\n")
	m.WriteString("time,seconds_elapsed,x,y,z\n")
	for i, f := range fixes {
		s := f.At.Sub(fixes[0].At).Seconds()
		fmt.Fprintf(&w, "%d,%.3f,%.6f,%.6f,%.1f,%.2f,%.1f\n", f.At.UnixNano(), s, f.LatDeg, f.LonDeg, f.HeightM, f.SpeedMPS, f.AccurM)
		if i < 200 {
			fmt.Fprintf(&m, "%d,%.3f,%.4f,%.4f,%.4f\n", f.At.UnixNano(), s, 0.02*math.Sin(s), 0.01*math.Cos(2*s), 9.81)
		}
	}
	fmt.Fprintf(&meta, "version,device\n1,phone\n")
	return []file{{name + "/Location.csv", w.Bytes()}, {name + "/Accelerometer.csv", m.Bytes()}, {name + "/Metadata.csv", meta.Bytes()}}
}

// nmea writes one fix as RMC and GGA (IEC 61162-1) with checksums.
func nmea(w *bytes.Buffer, f instrument.Fix) {
	say := func(s string) {
		sum := byte(0)
		for i := range len(s) {
			sum ^= s[i]
		}
		fmt.Fprintf(w, "$%s*%02X\r\n", s, sum)
	}
	angle := func(deg float64, width int, pos, neg string) string {
		side := pos
		if deg < 0 {
			side, deg = neg, -deg
		}
		whole := math.Floor(deg)
		return fmt.Sprintf("%0*d%07.4f,%s", width, int(whole), (deg-whole)*60, side)
	}
	lat, lon := angle(f.LatDeg, 2, "N", "S"), angle(f.LonDeg, 3, "E", "W")
	say(fmt.Sprintf("GPRMC,%s,A,%s,%s,%.1f,,%s,,", f.At.Format("150405.00"), lat, lon, f.SpeedMPS*1.943844, f.At.Format("020106")))
	say(fmt.Sprintf("GPGGA,%s,%s,%s,1,08,1.1,%.1f,M,47.0,M,,", f.At.Format("150405.00"), lat, lon, f.HeightM))
}
