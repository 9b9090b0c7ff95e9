package recording

import (
	"fmt"
	"strings"
)

// nmeaOf closes a sentence with its checksum.
func nmeaOf(body string) string {
	var sum byte
	for i := range len(body) {
		sum ^= body[i]
	}
	return fmt.Sprintf("$%s*%02X\r\n", body, sum)
}

var nmeaSample = strings.Join([]string{
	nmeaOf("GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W"),
	nmeaOf("GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,"),
	nmeaOf("GPGSV,1,1,00"),
	nmeaOf("GPRMC,123520,V,,,,,,,230394,,"),
	nmeaOf("GPRMC,123521,A,4807.040,N,01131.010,E,022.4,084.4,230394,003.1,W"),
	"$GPRMC,123522,A,4807.042,N,01131.020,E,022.4,084.4,230394,003.1,W*00\r\n",
	nmeaOf("GPRMC,123523,A,4807.044,N,01131.030,W,022.4,084.4,230394,003.1,W"),
}, "")

// gpxOf makes a track of n points, one a second, some 11 m apart, going north.
func gpxOf(n int) string {
	var b strings.Builder
	b.WriteString(`<?xml version="1.0" encoding="UTF-8"?><gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>` + "\n")
	for i := range n {
		fmt.Fprintf(&b, `<trkpt lat="%.6f" lon="7.0"><ele>%d</ele><time>2021-05-01T10:00:%02dZ</time></trkpt>`+"\n", 46+float64(i)*1e-4, 400+i, i)
	}
	b.WriteString("</trkseg></trk></gpx>\n")
	return b.String()
}
