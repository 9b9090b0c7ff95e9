package recording

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/xuri/excelize/v2"
)

// readShape reads a text that stands in the test, whose truth stands beside it.
func readShape(t *testing.T, text string) *Recording {
	t.Helper()
	r, err := readBytes([]byte(text))
	checkRecording(t, r, err)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	sameByLayout(t, r, text)
	return r
}

// sameByLayout saves the layout that was found, loads it and reads the text by
// it: nothing may change.
func sameByLayout(t *testing.T, r *Recording, text string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "layout.toml")
	if err := r.Layout.Save(path); err != nil {
		t.Error(err)
		return
	}
	l, err := Load(path)
	if err != nil {
		t.Error(err)
		return
	}
	again, err := readBytesWith([]byte(text), l)
	if err != nil {
		t.Errorf("by its own layout: %v", err)
		return
	}
	if !again.Start.Equal(r.Start) || again.ZoneKnown != r.ZoneKnown || len(again.Columns) != len(r.Columns) || again.Rows() != r.Rows() {
		t.Errorf("by its own layout: %s\nwant %s", again, r)
		return
	}
	for i, c := range r.Columns {
		k := again.Columns[i]
		if k.Name != c.Name || k.Dimension != c.Dimension || fmt.Sprint(k.Series.Time) != fmt.Sprint(c.Series.Time) || fmt.Sprint(k.Series.Value) != fmt.Sprint(c.Series.Value) {
			t.Errorf("by its own layout, column %q %v: %v\nwant %q %v: %v", k.Name, k.Dimension, k.Series, c.Name, c.Dimension, c.Series)
		}
	}
}

// TestOddShapes reads the same three rows, 20, 21 and 70 °C at 14:18:49, :50
// and :51 on 24 March 2025, in shapes that loggers and spreadsheets write.
func TestOddShapes(t *testing.T) {
	const want = "2025-03-24T14:18:49"
	for name, text := range map[string]string{
		"unit in two words":        "Time,A Deg C,B Deg C\n2025-03-24 14:18:49,20,1\n2025-03-24 14:18:50,21,1\n2025-03-24 14:18:51,70,1\n",
		"unit as a letter":         "Time,Intake_C,Bay_C\n2025-03-24 14:18:49,20,1\n2025-03-24 14:18:50,21,1\n2025-03-24 14:18:51,70,1\n",
		"unit in the preamble":     "Unit: Fahrenheit\nTime,T1\n2025-03-24 14:18:49,68\n2025-03-24 14:18:50,69.8\n2025-03-24 14:18:51,158\n",
		"compact stamps":           "Time,A (°C)\n20250324T141849Z,20\n20250324T141850Z,21\n20250324T141851Z,70\n",
		"stamps of 14 digits":      "Time,A (°C)\n20250324141849,20\n20250324141850,21\n20250324141851,70\n",
		"14 digits and a zone":     "Time,A (°C)\n20250324151849+0100,20\n20250324151850+0100,21\n20250324151851+0100,70\n",
		"dashes in the time":       "Time,A (°C)\n2025-03-24 14-18-49,20\n2025-03-24 14-18-50,21\n2025-03-24 14-18-51,70\n",
		"eight digits, no header":  "20250324  14:18:49  20°C\n20250324  14:18:50  21°C\n20250324  14:18:51  70°C\n",
		"a. m. and p. m.":          "Time,A (°C)\n24/03/2025 02:18:49 p. m.,20\n24/03/2025 02:18:50 p. m.,21\n24/03/2025 02:18:51 p. m.,70\n",
		"six columns":              "Year,Month,Day,Hour,Minute,Second,A (°C)\n2025,3,24,14,18,49,20\n2025,3,24,14,18,50,21\n2025,3,24,14,18,51,70\n",
		"milliseconds in a column": "Date,Time,Millisecond,A (°C)\n2025-03-24,14:18:49,0,20\n2025-03-24,14:18:50,0,21\n2025-03-24,14:18:51,0,70\n",
		"offset in a column":       "Date,Time,UTC offset,A (°C)\n2025-03-24,15:18:49,+01:00,20\n2025-03-24,15:18:50,+01:00,21\n2025-03-24,15:18:51,+01:00,70\n",
		"empty columns unnamed":    "Time,A (°C)\n2025-03-24 14:18:49,20,,\n2025-03-24 14:18:50,21,,\n2025-03-24 14:18:51,70,,\n",
		"units without a name":     "Time,A\n2025-03-24 14:18:49,20,C\n2025-03-24 14:18:50,21,C\n2025-03-24 14:18:51,70,C\n",
		"number as a name":         "timestamp,101 (°C),102 (°C)\n1742825929,20,1\n1742825930,21,1\n1742825931,70,1\n",
		"header again with a mark": "Time,A (°C)\n2025-03-24 14:18:49,20\n2025-03-24 14:18:50,21\n\ufeffTime,A (°C)\n2025-03-24 14:18:51,70\n",
		"an event beside a row":    "Time,A (°C)\n2025-03-24 14:18:49,20\n2025-03-24 14:18:50,door opened\n2025-03-24 14:18:50,21\n2025-03-24 14:18:51,70\n",
	} {
		t.Run(name, func(t *testing.T) {
			r := readShape(t, text)
			if got := r.Start.Format("2006-01-02T15:04:05"); got != want {
				t.Errorf("starts at %s, want %s", got, want)
			}
			s := r.Columns[0].Series
			if fmt.Sprint(s.Time) != "[0 1 2]" {
				t.Fatalf("times %v, want 0, 1, 2", s.Time)
			}
			for i, c := range []float64{20, 21, 70} {
				if math.Abs(s.Value[i]-273.15-c) > 1e-9 {
					t.Errorf("row %d is %v K, want %v °C", i, s.Value[i], c)
				}
			}
		})
	}
}

// TestOneRow reads a file that was stopped at once.
func TestOneRow(t *testing.T) {
	r := readShape(t, "Time,A (°C),B (°C)\n2025-03-24 14:18:49,20,21\n")
	if r.Rows() != 1 || r.Columns[1].Series.Value[0] != 294.15 {
		t.Errorf("%s", r)
	}
}

// TestMinutesAndSeconds reads what a spreadsheet makes of times when it shows
// mm:ss.0, and asks where one colon leaves two readings.
func TestMinutesAndSeconds(t *testing.T) {
	r := readShape(t, "Elapsed,A (°C)\n00:59.5,20\n01:00.0,21\n75:00.5,22\n")
	if s := r.Columns[0].Series; fmt.Sprint(s.Time) != "[59.5 60 4500.5]" {
		t.Errorf("times %v", s.Time)
	}
	_, err := readBytes([]byte("Time,A (°C)\n00:00,20\n00:01,21\n00:02,22\n"))
	var ask *AmbiguousError
	if !errors.As(err, &ask) || !strings.Contains(err.Error(), `time_format = "elapsed m:s"`) {
		t.Errorf("no question: %v", err)
	}
}

// TestOtherHeader keeps rows apart that stand under a header with columns
// changed round, instead of reading them under the wrong names; the first
// header again begins a third part.
func TestOtherHeader(t *testing.T) {
	r := readShape(t, "Time,A (°C),B (°C)\n2025-03-24 14:18:49,20,80\n2025-03-24 14:18:50,21,81\nTime,B (°C),A (°C)\n2025-03-24 14:18:51,82,22\n2025-03-24 14:18:52,83,23\nbroken\n\nTime,A (°C),B (°C)\n2025-03-24 14:18:53,24,84\n2025-03-24 14:18:54,25,85\n")
	a := r.Account
	if r.Rows() != 2 || len(r.Separate) != 2 || !a.Balanced() || a.Lines != 11 || a.Read != 6 || a.Header != 4 || a.Blank != 1 || len(a.Rejects) != 0 { // the torn line stands before a header
		t.Fatalf("%d separate\n%s%s", len(r.Separate), a, a.List())
	}
	for i, want := range []struct {
		line int
		a    float64
	}{{5, 22}, {10, 24}} {
		s := r.Separate[i]
		c, err := s.Column("A")
		if err != nil || s.Parts[0].FirstLine != want.line || s.Rows() != 2 || math.Abs(c.Series.Value[0]-273.15-want.a) > 1e-9 {
			t.Errorf("part %d: %v %v", i, s, err)
		}
	}
	if all := r.Sessions(); len(all) != 3 || all[1].Account.Lines+all[0].Account.Lines+all[2].Account.Lines != 11 {
		t.Errorf("%d sessions", len(r.Sessions()))
	}
}

// TestLongFormat reads tables of one value a row as one column a channel, and
// accounts for every line, also where a channel comes as a whole before the next.
func TestLongFormat(t *testing.T) {
	b := "time;channel;value;unit\n"
	for i := range 20 {
		for k := range 3 {
			if i == 7 && k == 1 {
				b += "\nnonsense\n"
				continue
			}
			b += fmt.Sprintf("2025-03-24 14:18:%02d;T%d;%d,5;°C\n", i, k+1, 20+10*k)
		}
	}
	r := readShape(t, b)
	if a := r.Account; r.Rows() != 20 || len(r.Columns) != 3 || !a.Balanced() || a.Lines != 62 || a.Read != 59 || a.Blank != 1 || len(a.Rejects) != 1 || a.Rejects[0].Line != 25 || r.Columns[1].Series.Present() != 19 {
		t.Errorf("%s%s", r.Account, r.Account.List())
	}
	for k, c := range r.Columns {
		if c.Dimension != series.Temperature || c.Series.Value[0] != 273.15+20.5+10*float64(k) || c.Name != fmt.Sprintf("T%d", k+1) {
			t.Errorf("%+v", c)
		}
	}
	blocks := "time,channel,value\n"
	for k := range 3 {
		for i := range 20 {
			blocks += fmt.Sprintf("2025-03-24 14:18:%02d,T%d,%d\n", i, k+1, 20+30*k)
		}
	}
	r, err := readBytes([]byte(blocks))
	if err != nil || r.Rows() != 20 || len(r.Columns) != 3 || r.Account.Read != 60 || !r.Account.Balanced() {
		t.Fatalf("read: %v\n%v", err, r)
	}
	for k, c := range r.Columns {
		if c.Series.Present() != 20 || c.Series.Value[7] != 273.15+20+30*float64(k) {
			t.Errorf("%s: %v", c.Name, c.Series.Value)
		}
	}
}

// TestChannelsInTurn reads a log in which two channels take turns, one of whose
// names has as many words as would make a table between spaces: each second line
// alone would be one.
func TestChannelsInTurn(t *testing.T) {
	text := "When\tchannel\tvalue\tunit\n"
	for i := range 400 {
		at := fmt.Sprintf("05-17-2026 05:%02d:%02d PM", i/60, i%60)
		text += fmt.Sprintf("%s\t1 oil\t%d.5\t°C\n%s\t2 bay rear\t%d.5\t°C\n", at, 20+i%40, at, 30+i%20)
	}
	r := readShape(t, text)
	if len(r.Columns) != 2 || r.Rows() != 400 {
		t.Fatalf("%s", r)
	}
	for k, c := range r.Columns {
		if c.Name != []string{"1 oil", "2 bay rear"}[k] || c.Series.Value[7] != 273.15+[]float64{27.5, 37.5}[k] {
			t.Errorf("%s: %v", c.Name, c.Series.Value[:9])
		}
	}
}

// TestPositionForms reads 46° 30' north, 7° 15' east in three forms, and their
// opposites.
func TestPositionForms(t *testing.T) {
	for name, row := range map[string]string{"ddmm.mmmm": "4630.0,00715.0", "E7": "465000000,72500000", "side behind": "46.5N,7.25E", "south": "46.5S,7.25W"} {
		text := "time,lat,lon,speed (m/s)\n"
		for i := range 5 {
			text += fmt.Sprintf("2025-03-24T14:18:%02dZ,%s,%d\n", i, row, i)
		}
		r := readShape(t, text)
		sign := 1.0
		if name == "south" {
			sign = -1
		}
		lat, lon := r.Columns[0].Series.Value[0]*180/math.Pi, r.Columns[1].Series.Value[0]*180/math.Pi
		if math.Abs(lat-sign*46.5) > 1e-9 || math.Abs(lon-sign*7.25) > 1e-9 {
			t.Errorf("%s: %v, %v", name, lat, lon)
		}
	}
}

// TestHalfSentence rejects a last sentence that lost its checksum.
func TestHalfSentence(t *testing.T) {
	whole := strings.TrimRight(nmeaSample, "\r\n")
	cut := whole[:strings.LastIndexByte(whole, '*')]
	a, errA := readBytes([]byte(whole + "\r\n"))
	b, errB := readBytes([]byte(cut))
	if errA != nil || errB != nil {
		t.Fatal(errA, errB)
	}
	if len(b.Account.Rejects) != len(a.Account.Rejects)+1 {
		t.Errorf("%s", b.Account)
	}
}

// TestExtensionTimes keeps the point's own time where an extension has another.
func TestExtensionTimes(t *testing.T) {
	text := `<gpx version="1.1"><trk><trkseg>`
	for i := range 3 {
		text += fmt.Sprintf(`<trkpt lat="46.5" lon="7.25"><ele>400</ele><time>2025-03-24T14:18:%02dZ</time><extensions><x:time xmlns:x="u">7</x:time><x:ele xmlns:x="u">9</x:ele></extensions></trkpt>`, i)
	}
	r := readShape(t, text+`</trkseg></trk></gpx>`)
	if r.Rows() != 3 || r.Columns[2].Series.Value[0] != 400 {
		t.Errorf("%s", r)
	}
}

// bookOf writes a workbook of the given sheets, in order of their names.
func bookOf(t *testing.T, names []string, rows [][]any, style func(*excelize.File)) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	for k, name := range names {
		if k == 0 {
			f.SetSheetName("Sheet1", name)
		} else if _, err := f.NewSheet(name); err != nil {
			t.Fatal(err)
		}
		for i, row := range rows {
			if err := f.SetSheetRow(name, fmt.Sprintf("A%d", i+1), &row); err != nil {
				t.Fatal(err)
			}
		}
	}
	if style != nil {
		style(f)
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestSheets reads percentages as shown and numbers typed with a comma, passes
// by hidden sheets, and asks between two of one kind.
func TestSheets(t *testing.T) {
	rows := [][]any{{"Time (s)", "A (°C)", "B (°C)", "RH"}, {0, 20.5, "30,5", 0.4}, {1, 21.5, "31,5", 0.41}, {2, 22.5, "32,5", 0.42}}
	percent := func(f *excelize.File) {
		s, err := f.NewStyle(&excelize.Style{NumFmt: 10})
		if err != nil {
			t.Fatal(err)
		}
		if err := f.SetCellStyle("Drive", "D2", "D4", s); err != nil {
			t.Fatal(err)
		}
	}
	hide := func(f *excelize.File) {
		percent(f)
		if err := f.SetSheetVisible("Drive 2", false); err != nil {
			t.Fatal(err)
		}
	}
	for _, names := range [][]string{{"Drive"}, {"Drive", "Drive 2"}} {
		r, err := readBytes(bookOf(t, names, rows, map[bool]func(*excelize.File){true: percent, false: hide}[len(names) == 1]))
		if err != nil {
			t.Fatal(err)
		}
		sameByLayout(t, r, string(bookOf(t, names, rows, map[bool]func(*excelize.File){true: percent, false: hide}[len(names) == 1])))
		for i, want := range []float64{293.65, 303.65, 0.4} {
			if got := r.Columns[i].Series.Value[0]; math.Abs(got-want) > 1e-9 {
				t.Errorf("%s is %v, want %v", r.Columns[i].Name, got, want)
			}
		}
	}
	_, err := readBytes(bookOf(t, []string{"Drive", "Drive 2"}, rows, nil))
	var ask *AmbiguousError
	if !errors.As(err, &ask) || !strings.Contains(err.Error(), `sheet = "Drive 2"`) {
		t.Errorf("no question between sheets: %v", err)
	}
}

// TestHostileFiles refuses entities in every part of a workbook and in GPX, and
// a workbook that unpacks to too much.
func TestHostileFiles(t *testing.T) {
	for _, entity := range []string{`<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;&a;">`, `<!ENTITY a SYSTEM "file:///etc/hostname">`} {
		doctype := "<!DOCTYPE x [" + entity + "]>"
		for _, part := range []string{"xl/worksheets/sheet1.xml", "xl/sharedStrings.xml", "xl/workbook.xml"} {
			var b bytes.Buffer
			z := zip.NewWriter(&b)
			w, err := z.Create(part)
			if err != nil {
				t.Fatal(err)
			}
			fmt.Fprintf(w, "<?xml version=\"1.0\"?>%s<x>&a;</x>", doctype)
			z.Close()
			if _, err := readBytes(b.Bytes()); err == nil || !strings.Contains(err.Error(), "DOCTYPE") {
				t.Errorf("%s in %s: %v", entity, part, err)
			}
		}
		if _, err := readBytes([]byte(doctype + "<gpx>&a;</gpx>")); err == nil || !strings.Contains(err.Error(), "DOCTYPE") {
			t.Errorf("GPX with %s: %v", entity, err)
		}
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	w, err := z.Create("xl/worksheets/sheet1.xml")
	if err != nil {
		t.Fatal(err)
	}
	blank := bytes.Repeat([]byte(" "), 1<<20)
	for range (512<<20)>>20 + 1 {
		if _, err := w.Write(blank); err != nil {
			t.Fatal(err)
		}
	}
	z.Close()
	if _, err := readBytes(b.Bytes()); !errors.Is(err, ErrLimit) {
		t.Errorf("zip bomb of %d bytes: %v", b.Len(), err)
	}
}

// TestLeftOutColumn names a column of positions that can't be read.
func TestLeftOutColumn(t *testing.T) {
	r := readShape(t, "time,lat,A (°C)\n2025-03-24 14:18:49,46d30m,20\n2025-03-24 14:18:50,46d31m,21\n")
	if !strings.Contains(strings.Join(estimate.Texts(r.Warnings), "\n"), "46d30m") {
		t.Errorf("warnings %q", r.Warnings)
	}
}

// TestDaysBeforeHours reads times since a start that count days before a
// point: 1.02:03:04 is 93784 s.
func TestDaysBeforeHours(t *testing.T) {
	r := readShape(t, "Elapsed,A (°C)\n23:59:58,20\n23:59:59,21\n1.00:00:00,22\n1.00:00:01.5,23\n")
	if s := r.Columns[0].Series; fmt.Sprint(s.Time) != "[86398 86399 86400 86401.5]" {
		t.Errorf("times %v", s.Time)
	}
}
