package recording

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/xuri/excelize/v2"
)

func TestGPX(t *testing.T) {
	r, err := readBytes([]byte(gpxOf(30)))
	checkRecording(t, r, err)
	if err != nil {
		t.Fatal(err)
	}
	v, err := r.Column("speed from positions")
	if err != nil || r.Rows() != 30 || math.Abs(v.Series.Value[10]-11.1195) > 0.01 || !r.ZoneKnown {
		t.Errorf("%v\n%s", err, r)
	}
	// Cut in the middle: what is good is kept and the cut is named.
	whole := gpxOf(30)
	r, err = readBytes([]byte(whole[:len(whole)*2/3]))
	checkRecording(t, r, err)
	if err != nil || r.Rows() < 15 || !changed(r, "cut") {
		t.Errorf("cut file: %v %v", err, r)
	}
	// Version 1.0 with its speed element, and one in an extension.
	for _, speed := range []string{"<speed>7.5</speed>", "<extensions><g:x xmlns:g=\"urn:g\"><g:speed>7.5</g:speed></g:x></extensions>"} {
		r, err = readBytes([]byte(strings.ReplaceAll(whole, "</trkpt>", speed+"</trkpt>")))
		if err != nil {
			t.Fatal(err)
		}
		if v, err := r.Column("speed"); err != nil || v.Derived || v.Series.Value[3] != 7.5 {
			t.Errorf("%s: %v", speed, err)
		}
	}
}

func TestGPXRefused(t *testing.T) {
	bomb := `<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]><gpx><trk><trkseg><trkpt lat="1" lon="2"><time>&b;</time></trkpt></trkseg></trk></gpx>`
	outside := `<?xml version="1.0"?><!DOCTYPE gpx SYSTEM "file:///etc/passwd"><gpx/>`
	deep := `<gpx version="1.1">` + strings.Repeat("<a>", 100)
	for text, want := range map[string]string{bomb: "DOCTYPE", outside: "DOCTYPE", deep: "deep", `<gpx version="1.1"></gpx>`: "without any track point",
		`<gpx><trk><trkseg><trkpt lat="1" lon="2"/></trkseg></trk></gpx>`: "without a time", `<gpx><wpt lat="1" lon="2"/></gpx>`: "no track"} {
		_, err := readBytes([]byte(text))
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.60s: %v, want %q in it", text, err, want)
		}
	}
}

// The first two sentences are the example that circulates with descriptions of
// NMEA 0183, with checksums 6A and 47 (from memory).
func TestNMEA(t *testing.T) {
	if !strings.Contains(nmeaSample, "W*6A\r\n") || !strings.Contains(nmeaSample, "M,,*47\r\n") {
		t.Fatalf("checksums: %s", nmeaSample)
	}
	r, err := readBytes([]byte(nmeaSample))
	checkRecording(t, r, err)
	if err != nil {
		t.Fatal(err)
	}
	if r.Rows() != 3 || rejected(r, "void") != 1 || rejected(r, "checksum") != 1 || r.Account.Other != 1 || r.Account.Read != 4 {
		t.Errorf("%s\n%s", r, r.Account)
	}
	if want := time.Date(1994, 3, 23, 12, 35, 19, 0, time.UTC); !r.Start.Equal(want) {
		t.Errorf("start %v, want %v", r.Start, want)
	}
	for name, want := range map[string]float64{"latitude": (48 + 7.038/60) * math.Pi / 180, "longitude": (11 + 31.0/60) * math.Pi / 180, "altitude": 545.4, "speed": 22.4 * 1852 / 3600} {
		c, err := r.Column(name)
		if err != nil || math.Abs(c.Series.Value[0]-want) > 1e-12*math.Abs(want) {
			t.Errorf("%s: %v, want %v", name, c, want)
		}
	}
	if c, _ := r.Column("longitude"); c.Series.Value[2] >= 0 {
		t.Error("west is not negative")
	}
	if !strings.Contains(strings.Join(estimate.Texts(r.Warnings), " "), "week_rollovers") {
		t.Errorf("a date of 1994 is not remarked on: %v", r.Warnings)
	}
}

func TestNMEAMidnight(t *testing.T) {
	var b strings.Builder
	b.WriteString(nmeaOf("GPRMC,235950,A,4807.0,N,01131.0,E,10,84,310120,,"))
	for i := range 20 { // GGA alone carries no date
		s := (86391 + i) % 86400
		b.WriteString(nmeaOf(fmt.Sprintf("GPGGA,%02d%02d%02d,4807.%03d,N,01131.0,E,1,08,0.9,%d,M,,M,,", s/3600, s/60%60, s%60, i, 500+i)))
	}
	r, err := readBytes([]byte(b.String()))
	checkRecording(t, r, err)
	if err != nil || lastTime(r) != 20 || r.Rows() != 21 {
		t.Errorf("%v\n%s", err, r)
	}
}

// workbook writes rows into a sheet and returns the file.
func workbook(t *testing.T, sheets map[string][][]any, dateFormat string) []byte {
	t.Helper()
	book := excelize.NewFile()
	style, err := book.NewStyle(&excelize.Style{CustomNumFmt: &dateFormat})
	if err != nil {
		t.Fatal(err)
	}
	for name, rows := range sheets {
		if _, err := book.NewSheet(name); err != nil {
			t.Fatal(err)
		}
		for i, row := range rows {
			cell, _ := excelize.CoordinatesToCellName(1, i+1)
			if err := book.SetSheetRow(name, cell, &row); err != nil {
				t.Fatal(err)
			}
			if len(row) > 0 {
				if _, ok := row[0].(time.Time); ok {
					if err := book.SetCellStyle(name, cell, cell, style); err != nil {
						t.Fatal(err)
					}
				}
			}
		}
	}
	var b bytes.Buffer
	if err := book.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestSpreadsheet(t *testing.T) {
	rows := [][]any{{"Drive of the valley"}, {}, {"When", "T1 (°C)", "T2 (°C)"}}
	for i := range 50 {
		row := []any{noon.Add(time.Duration(i) * 1500 * time.Millisecond), 20.5 + float64(i), 30.25}
		if i == 10 {
			row[1] = "OL"
		}
		if i == 20 {
			row = row[:2] // the last cell is empty, which a sheet leaves out
		}
		rows = append(rows, row)
	}
	file := workbook(t, map[string][][]any{"Readings": rows, "Notes": {{"nothing", "here"}}}, "dd.mm.yyyy hh:mm:ss")
	r, err := readBytes(file)
	checkRecording(t, r, err)
	if err != nil {
		t.Fatal(err)
	}
	if r.Rows() != 50 || !r.Start.Equal(noon) || math.Abs(lastTime(r)-73.5) > 1e-6 || r.Columns[0].Series.Present() != 49 || r.Columns[1].Series.Present() != 49 {
		t.Errorf("%s\n%s", r, r.Account)
	}
	if r.Account.Lines != 53 || r.Layout.Sheet != "Readings" || r.Parts[0].FirstLine != 4 {
		t.Errorf("%+v %q %+v", r.Account, r.Layout.Sheet, r.Parts)
	}
	if _, err = Read("x", bytes.NewReader(file), Options{Layout: Layout{Sheet: "Raedings"}}); err == nil || !strings.Contains(err.Error(), "Readings") {
		t.Errorf("a sheet that is not there: %v", err)
	}
}

// TestZipBomb claims sizes that only a bomb has, in one entry and in many.
func TestZipBomb(t *testing.T) {
	for _, entries := range []int{1, 100, 10001} {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		for i := range entries {
			h := &zip.FileHeader{Name: fmt.Sprintf("xl/worksheets/sheet%d.xml", i), Method: zip.Deflate, CompressedSize64: 3, UncompressedSize64: 600 << 20 / uint64(entries) * 2}
			w, err := z.CreateRaw(h)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := w.Write([]byte{1, 2, 3}); err != nil {
				t.Fatal(err)
			}
		}
		if err := z.Close(); err != nil {
			t.Fatal(err)
		}
		if _, err := readBytes(b.Bytes()); !errors.Is(err, ErrLimit) {
			t.Errorf("%d entries: %v", entries, err)
		}
	}
}
