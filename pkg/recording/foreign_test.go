package recording

import (
	"archive/zip"
	"encoding/json"
	"io"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// foreignFiles are those of an archive in testdata/odd with what they mean:
// foreign.zip is by libraries of Python (write.py), others.zip by those of Perl,
// JavaScript, R and Ruby and by general converters of tracks (writers/all.sh).
func foreignFiles(t *testing.T, archive string) []oddFile {
	t.Helper()
	z, err := zip.OpenReader(filepath.Join("testdata", "odd", archive))
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	content := func(name string) []byte {
		f, err := z.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		b, err := io.ReadAll(f)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	var all []oddFile
	for _, f := range z.File {
		if strings.HasSuffix(f.Name, ".truth") {
			continue
		}
		var said struct {
			Start                     *time.Time
			Time                      []float64
			Temperature, Speed, Angle map[string][]*float64
		}
		if err := json.Unmarshal(content(f.Name+".truth"), &said); err != nil {
			t.Fatalf("%s: %v", f.Name, err)
		}
		truth := oddTruth{Time: said.Time, Values: map[string][]float64{}}
		if said.Start != nil {
			truth.Start = *said.Start
		}
		add := func(columns map[string][]*float64, si func([]float64) []float64) {
			for name, values := range columns {
				v := make([]float64, len(values))
				for i, x := range values {
					v[i] = math.NaN()
					if x != nil {
						v[i] = *x
					}
				}
				truth.Values[name] = si(v)
			}
		}
		add(said.Temperature, kelvins)
		add(said.Speed, func(v []float64) []float64 { return v })
		add(said.Angle, func(v []float64) []float64 {
			for i := range v {
				v[i] *= math.Pi / 180
			}
			return v
		})
		all = append(all, oddFile{name: f.Name, text: content(f.Name), truth: truth})
	}
	return all
}

// TestForeignFiles reads what other languages' libraries wrote, value by value.
func TestForeignFiles(t *testing.T) {
	count := map[outcome]int{}
	for _, f := range append(foreignFiles(t, "foreign.zip"), foreignFiles(t, "others.zip")...) {
		became, why := f.became()
		count[became]++
		if became != readRight && !(became == asked && strings.HasSuffix(f.name, "-11.csv")) { // 25/10/27
			t.Errorf("%s: %s: %s", f.name, became, why)
		}
	}
	t.Log(count)
}

// TestBrokenText reads a track whose texts hold line ends and tabs: each point
// stays one row, and is told by its own line.
func TestBrokenText(t *testing.T) {
	point := func(at, distance string) string {
		return "<Trackpoint><Time>" + at + "</Time><Position><LatitudeDegrees>47</LatitudeDegrees><LongitudeDegrees>8</LongitudeDegrees></Position><DistanceMeters>" + distance + "</DistanceMeters></Trackpoint>\n"
	}
	text := "<TrainingCenterDatabase>\n" + point("2025-01-02T03:04:05Z", "1\n2\t3") + point("2025-01-02T03:04:06Z", "4") + point("2025-01-02\n03:04:07Z", "5") + point("2025-01-02T03:04:08Z", "6") + "</TrainingCenterDatabase>"
	r, err := Read("track.tcx", strings.NewReader(text), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !r.Account.Balanced() || r.Account.Lines != 4 || r.Rows() != 4 {
		t.Errorf("%d rows\n%s", r.Rows(), r.Account.String())
	}
	if c := oddColumn(r, "distance"); c == nil || c.Series.Present() != 3 {
		t.Errorf("%s", r)
	}
}
