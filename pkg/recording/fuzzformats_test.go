package recording

import (
	"archive/zip"
	"bytes"
	"io"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
)

// fuzzFormat feeds any bytes to the reader of one format, beginning with the
// smallest of foreign.zip's files whose names end so.
func fuzzFormat(f mutant.F, format Format, ends string, more ...string) {
	z, err := zip.OpenReader(filepath.Join("testdata", "odd", "foreign.zip"))
	if err != nil {
		f.Fatal(err)
	}
	defer z.Close()
	var least *zip.File
	for _, e := range z.File {
		if strings.HasSuffix(e.Name, ends) && (least == nil || e.UncompressedSize64 < least.UncompressedSize64) {
			least = e
		}
	}
	if least == nil {
		f.Fatalf("no file ends in %q", ends)
	}
	r, err := least.Open()
	if err != nil {
		f.Fatal(err)
	}
	defer r.Close()
	b, err := io.ReadAll(r)
	if err != nil {
		f.Fatal(err)
	}
	addSeeds(f, b)
	for _, m := range more {
		f.Add([]byte(m))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := Read("fuzz"+ends, bytes.NewReader(b), Options{Layout: Layout{Format: format}, Workers: 1})
		checkRecording(t, r, err)
	})
}

// kin returns files of kin.zip.
func kin(f mutant.F, names ...string) []string {
	f.Helper()
	z, err := zip.OpenReader(filepath.Join("testdata", "odd", "kin.zip"))
	if err != nil {
		f.Fatal(err)
	}
	defer z.Close()
	var all []string
	for _, n := range names {
		r, err := z.Open(n)
		if err != nil {
			f.Fatal(err)
		}
		b, err := io.ReadAll(r)
		if err != nil {
			f.Fatal(err)
		}
		all = append(all, string(b))
	}
	return all
}

// addSeeds adds a file, its beginning, and, of an archive, one of the same parts
// as they are: in it a byte that is changed is one of the parts.
func addSeeds(f mutant.F, b []byte) {
	f.Helper()
	f.Add(b)
	f.Add(b[:len(b)*2/3])
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		return
	}
	var plain bytes.Buffer
	w := zip.NewWriter(&plain)
	for _, e := range z.File {
		r, err := e.Open()
		if err != nil {
			f.Fatal(err)
		}
		part, err := w.CreateHeader(&zip.FileHeader{Name: e.Name, Method: zip.Store})
		if err == nil {
			_, err = io.Copy(part, r)
		}
		r.Close()
		if err != nil {
			f.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		f.Fatal(err)
	}
	f.Add(plain.Bytes())
}

func FuzzKML(f *testing.F) { fuzzKML(f) }
func fuzzKML(f mutant.F) {
	fuzzFormat(f, KML, ".kml", `<kml><Track><when>2025-01-02T03:04:05Z</when><coord>8 47 1</coord><SimpleArrayData name="speed"><value>3</value></SimpleArrayData></Track></kml>`)
}

func FuzzTCX(f *testing.F) { fuzzTCX(f) }
func fuzzTCX(f mutant.F) {
	fuzzFormat(f, TCX, ".tcx", `<TrainingCenterDatabase><Trackpoint><Time>2025-01-02T03:04:05Z</Time><Position><LatitudeDegrees>47</LatitudeDegrees><LongitudeDegrees>8</LongitudeDegrees></Position></Trackpoint></TrainingCenterDatabase>`)
}

func FuzzFIT(f *testing.F)          { fuzzFIT(f) }
func fuzzFIT(f mutant.F)            { fuzzFormat(f, FIT, ".fit") }
func FuzzOpenDocument(f *testing.F) { fuzzOpenDocument(f) }
func fuzzOpenDocument(f mutant.F)   { fuzzFormat(f, OpenDocument, ".ods") }
func FuzzBinarySheet(f *testing.F)  { fuzzBinarySheet(f) }
func fuzzBinarySheet(f mutant.F)    { fuzzFormat(f, BinarySheet, "-0-0-1.xls") }
func FuzzDatabase(f *testing.F)     { fuzzDatabase(f) }
func fuzzDatabase(f mutant.F) {
	fuzzFormat(f, Database, ".db", kin(f, "db-key-last.db", "db-key-falling.db", "db-added.db", "db-vacuumed.db")...)
}

func FuzzHTMLTable(f *testing.F) { fuzzHTMLTable(f) }
func fuzzHTMLTable(f mutant.F) {
	fuzzFormat(f, HTMLTable, "page-0.xls", "<table><tr><td colspan=3>a<th>b<tr><td>1<br>2<td>&deg;")
}

func FuzzJSON(f *testing.F) { fuzzJSON(f) }
func fuzzJSON(f mutant.F) {
	maps := kin(f, "map-times.geojson", "map-pieces.geojson", "map-points.geojson", "map-places.geojson", "list-samples-one.json", "frame-split.json")
	for i, m := range maps {
		maps[i] = m[:min(len(m), 3000)]
	}
	maps = append(maps, `{"type":"Feature","properties":{"coordTimes":["2025-01-02T03:04:05Z","2025-01-02T03:04:06Z"],"speed":[1,2]},"geometry":{"type":"LineString","coordinates":[[7,46,5],[7.1,46]]}}`,
		`{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"time":1700000000},"geometry":{"type":"Point","coordinates":[7,46]}}]}`, `{"columns":["time","a"],"rows":[[1,2],[2,3]]}`)
	fuzzFormat(f, JSON, "-values.json", append(maps, `[{"time":1,"a":{"b":2}},{"time":2,"a":{"b":3}}]`, `{"time":[1,2,3],"T1 (°C)":[20,21,null]}`, `{"time":{"0":1,"1":2},"a":{"0":3,"1":4}}`)...)
}

func FuzzJSONLines(f *testing.F) { fuzzJSONLines(f) }
func fuzzJSONLines(f mutant.F) {
	fuzzFormat(f, JSONLines, ".jsonl", "{\"time\":1,\"T1 (°C)\":20.5}\n{\"time\":2,\"T1 (°C)\":{\"a\":21}}\n\n{\"time\":3}\n",
		"{\"t\":[1,2,3],\"v\":[4,5,6]}\n{\"t\":[4],\"v\":[7]}\n", "{\"samples\":[{\"t\":1,\"v\":2},{\"t\":2,\"v\":[3,4]}]}\n{\"time\":9,\"temps\":[1,2,3]}\n")
}
