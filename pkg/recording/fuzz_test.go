package recording

import (
	"bytes"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/xuri/excelize/v2"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
)

// readBytes reads a file that is held in memory.
func readBytes(b []byte) (*Recording, error) { return readBytesWith(b, Layout{}) }

func readBytesWith(b []byte, l Layout) (*Recording, error) {
	return Read("fuzz", bytes.NewReader(b), Options{Layout: l, Workers: 2})
}

// checkRecording fails if a recording breaks what its documentation promises.
func checkRecording(t *testing.T, r *Recording, err error) {
	t.Helper()
	if err != nil {
		if r != nil && len(r.Columns) == 0 {
			t.Fatalf("error %v beside a recording without columns", err)
		}
		if err.Error() == "" {
			t.Fatal("an error without words")
		}
		return
	}
	if !r.Account.Balanced() {
		t.Fatalf("account does not balance:\n%s", r.Account)
	}
	if len(r.Columns) == 0 || len(r.Parts) == 0 {
		t.Fatalf("%d columns, %d parts", len(r.Columns), len(r.Parts))
	}
	for _, one := range append([]*Recording{r}, r.Separate...) {
		for _, c := range one.Columns {
			s := c.Series
			if len(s.Time) != len(s.Value) {
				t.Fatalf("%d times, %d values", len(s.Time), len(s.Value))
			}
			for i, x := range s.Time {
				if math.IsNaN(x) || math.IsInf(x, 0) || (i > 0 && x <= s.Time[i-1]) {
					t.Fatalf("time %d of %s is %v", i, c.Name, x)
				}
				if math.IsInf(s.Value[i], 0) {
					t.Fatalf("value %d of %s is infinite", i, c.Name)
				}
			}
		}
	}
	_ = r.String() + r.Account.String() + r.Account.List() + r.Detection.String()
}

// FuzzText feeds any bytes to Open's way of reading: it must end without panic
// and keep its promises.
func FuzzText(f *testing.F) { fuzzText(f) }

func fuzzText(f mutant.F) {
	for seed := range uint64(12) {
		r := rand.New(rand.NewPCG(seed, 11))
		f.Add(randomShape(r).write(randomTruth(r))[:600])
	}
	f.Add([]byte("Time,A,B\n0:00:01,1,2\n0:00:02,1\n\x00\x00\n0:00:0"))
	f.Add([]byte("t;x\n1;2\n1;2\n0;3\n99999999999999999999;4\n-5;1e300\n"))
	f.Add([]byte("time,lat,lon,speed\n1700000000,46.1,7.2,13.1\n1700000001,46.1001,7.2,13.2\n1700000002,46.1002,7.2,13\n"))
	for _, packed := range kin(f, "pack-tar.tar", "pack-gz-in-zip.zip", "pack.tgz") {
		f.Add([]byte(packed))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := readBytes(b)
		checkRecording(t, r, err)
	})
}

// FuzzGPX does the same for GPX.
func FuzzGPX(f *testing.F) { fuzzGPX(f) }

func fuzzGPX(f mutant.F) {
	f.Add([]byte(gpxOf(3)))
	f.Add([]byte(`<?xml version="1.0"?><gpx version="1.0"><trk><trkseg><trkpt lat="1" lon="2"><time>2020-01-01T00:00:00Z</time><speed>3</speed></trkpt></trkseg></trk></gpx>`))
	f.Add([]byte(`<!DOCTYPE x [<!ENTITY a "aaaa">]><gpx>&a;</gpx>`))
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := Read("fuzz.gpx", bytes.NewReader(b), Options{Layout: Layout{Format: GPX}})
		checkRecording(t, r, err)
	})
}

// FuzzNMEA does the same for NMEA.
func FuzzNMEA(f *testing.F) { fuzzNMEA(f) }

func fuzzNMEA(f mutant.F) {
	f.Add([]byte(nmeaSample))
	f.Add([]byte("$GPRMC,235959.5,A,4807.0,N,01131.0,E,1,2,311299,,\r\n$GPGGA,000000,4807.0,N,01131.0,E,1,8,1,5,M,,M,,\r\n$GPVTG,1,T,,M,2,N,3,K\r\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := Read("fuzz.nmea", bytes.NewReader(b), Options{Layout: Layout{Format: NMEA}})
		checkRecording(t, r, err)
	})
}

// FuzzSpreadsheet does the same for workbooks.
func FuzzSpreadsheet(f *testing.F) { fuzzSpreadsheet(f) }

func fuzzSpreadsheet(f mutant.F) {
	book := excelize.NewFile()
	for i, row := range [][]any{{"Time (s)", "T1 (°C)"}, {0, 20.5}, {1, 21.5}, {2, "OL"}, {3, 23}} {
		cell, _ := excelize.CoordinatesToCellName(1, i+1)
		if err := book.SetSheetRow("Sheet1", cell, &row); err != nil {
			f.Fatal(err)
		}
	}
	var b bytes.Buffer
	if err := book.Write(&b); err != nil {
		f.Fatal(err)
	}
	addSeeds(f, b.Bytes())
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := Read("fuzz.xlsx", bytes.NewReader(b), Options{Layout: Layout{Format: Spreadsheet}})
		checkRecording(t, r, err)
	})
}
