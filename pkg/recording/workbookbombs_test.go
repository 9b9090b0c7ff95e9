//go:build unix

package recording

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math/rand"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"
)

// parts are those of a workbook with one sheet, for a few of which something
// else may be given.
func parts(other map[string]func(io.Writer)) []byte {
	const head = `<?xml version="1.0" encoding="UTF-8"?>`
	rels := "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
	whole := map[string]string{
		"[Content_Types].xml":        head + `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="xml" ContentType="application/xml"/><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/><Override PartName="/xl/sharedStrings.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/></Types>`,
		"_rels/.rels":                head + `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="` + rels + `/officeDocument" Target="xl/workbook.xml"/></Relationships>`,
		"xl/workbook.xml":            head + `<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="` + rels + `"><sheets><sheet name="S" sheetId="1" r:id="r1"/></sheets></workbook>`,
		"xl/_rels/workbook.xml.rels": head + `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="` + rels + `/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="r2" Type="` + rels + `/sharedStrings" Target="sharedStrings.xml"/><Relationship Id="r3" Type="` + rels + `/styles" Target="styles.xml"/></Relationships>`,
		"xl/worksheets/sheet1.xml":   sheetHead + `<row r="1"><c r="A1" t="inlineStr"><is><t>time</t></is></c><c r="B1" t="inlineStr"><is><t>Air (°C)</t></is></c></row><row r="2"><c r="A2"><v>0</v></c><c r="B2"><v>20.5</v></c></row><row r="3"><c r="A3"><v>1</v></c><c r="B3" ><v>20.7</v></c></row>` + sheetEnd,
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, text := range whole {
		if other[name] == nil {
			w, _ := z.Create(name)
			io.WriteString(w, text)
		}
	}
	for name, write := range other {
		w, _ := z.Create(name)
		write(w)
	}
	z.Close()
	return b.Bytes()
}

const (
	spaceName = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
	sheetHead = `<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>`
	sheetEnd  = `</sheetData></worksheet>`
)

// times writes a text until it has come to so many bytes.
func times(bytes int, text func(i int) string) func(io.Writer) {
	return func(w io.Writer) {
		for i, n := 0, 0; n < bytes; i++ {
			m, _ := io.WriteString(w, text(i))
			n += m
		}
	}
}

func same(text string) func(int) string { return func(int) string { return text } }

func together(all ...any) func(io.Writer) {
	return func(w io.Writer) {
		for _, a := range all {
			switch a := a.(type) {
			case string:
				io.WriteString(w, a)
			case func(io.Writer):
				a(w)
			}
		}
	}
}

// padded writes comments that can't be packed, so that a file unpacks to no
// more than fifty times its size.
func padded(unpacked int, write func(io.Writer)) func(io.Writer) {
	random := rand.New(rand.NewSource(1))
	return together(write, times(unpacked/50, func(int) string { return fmt.Sprintf("<!--%x-->", random.Uint64()) }))
}

// workbookBombs are small files that would cost much.
var workbookBombs = map[string]func() []byte{
	"a sheet of spaces": func() []byte {
		return parts(map[string]func(io.Writer){"xl/worksheets/sheet1.xml": together(sheetHead, times(400<<20, same(strings.Repeat(" ", 1000))), sheetEnd)})
	},
	"a sheet of rows": func() []byte {
		return parts(map[string]func(io.Writer){"xl/worksheets/sheet1.xml": together(sheetHead, times(400<<20, same(`<row><c><v>1</v></c><c><v>2</v></c></row>`)), sheetEnd)})
	},
	"one long text": func() []byte {
		return parts(map[string]func(io.Writer){"xl/worksheets/sheet1.xml": padded(7<<20, together(sheetHead, times(7<<20, same("x")), sheetEnd))})
	},
	"one long tag": func() []byte {
		return parts(map[string]func(io.Writer){"xl/worksheets/sheet1.xml": padded(7<<20, together(sheetHead, "<row", times(7<<20, func(i int) string { return fmt.Sprintf(` a%d=""`, i) }), ">", sheetEnd))})
	},
	"tags full of what ends a tag": func() []byte {
		return parts(map[string]func(io.Writer){"xl/worksheets/sheet1.xml": padded(120<<20, together(sheetHead, times(60<<20, same(`<row x="`+strings.Repeat(">", 250<<10)+`"/>`)), sheetEnd))})
	},
	"one cell of many texts": func() []byte {
		return parts(map[string]func(io.Writer){"xl/worksheets/sheet1.xml": padded(120<<20, together(sheetHead, `<row><c t="inlineStr"><is>`, times(60<<20, same("<t>x</t>")), "</is></c></row>", sheetEnd))})
	},
	"one long comment": func() []byte {
		return parts(map[string]func(io.Writer){"xl/workbook.xml": together("<!--", times(7<<20, same("> <a> ")), "-->")})
	},
	"two million columns": func() []byte {
		return parts(map[string]func(io.Writer){"xl/worksheets/sheet1.xml": together(sheetHead, "<row>", times(7<<20, same("<c/>")), "</row>", sheetEnd)})
	},
	"columns far to the right": func() []byte {
		return parts(map[string]func(io.Writer){"xl/worksheets/sheet1.xml": together(sheetHead, times(7<<20, func(i int) string {
			return fmt.Sprintf(`<row r="%d"><c r="XFD%[1]d"><v>1</v></c></row>`, i+1)
		}), sheetEnd)})
	},
	"a column beyond all": func() []byte {
		return parts(map[string]func(io.Writer){"xl/worksheets/sheet1.xml": together(sheetHead, `<row r="1"><c r="ZZZZZZZ1"><v>1</v></c></row>`, sheetEnd)})
	},
	"a row beyond all": func() []byte {
		return parts(map[string]func(io.Writer){"xl/worksheets/sheet1.xml": together(sheetHead, `<row r="999999999999"><c><v>1</v></c></row>`, sheetEnd)})
	},
	"shared texts without number": func() []byte {
		return parts(map[string]func(io.Writer){"xl/sharedStrings.xml": padded(120<<20, together(`<sst xmlns="`+spaceName+`" count="4000000000" uniqueCount="4000000000">`, times(120<<20, same("<si><t/></si>")), "</sst>"))})
	},
	"shared texts, small": func() []byte {
		return parts(map[string]func(io.Writer){"xl/sharedStrings.xml": together(`<sst xmlns="`+spaceName+`" count="4000000000" uniqueCount="4000000000">`, times(7<<20, same("<si/>")), "</sst>"),
			"xl/worksheets/sheet1.xml": together(sheetHead, `<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>3999999999</v></c></row>`, sheetEnd)})
	},
	"one text in every cell": func() []byte {
		return parts(map[string]func(io.Writer){"xl/sharedStrings.xml": together(`<sst xmlns="`+spaceName+`"><si><t>`, times(32000, same("x")), "</t></si></sst>"),
			"xl/worksheets/sheet1.xml": together(sheetHead, times(7<<20, same(`<row><c t="s"><v>0</v></c><c t="s"><v>0</v></c></row>`)), sheetEnd)})
	},
	"one wide row": func() []byte {
		return parts(map[string]func(io.Writer){"xl/worksheets/sheet1.xml": together(sheetHead, `<row r="1"><c r="A1"><v>1</v></c><c r="ALL1"><v>1</v></c></row>`,
			times(7<<20, same(`<row><c><v>1</v></c><c><v>2</v></c></row>`)), sheetEnd)})
	},
	"deep in the sheet": func() []byte {
		return parts(map[string]func(io.Writer){"xl/worksheets/sheet1.xml": padded(100<<20, together(sheetHead, times(100<<20, same("<a>"))))})
	},
	"deep in the workbook": func() []byte {
		return parts(map[string]func(io.Writer){"xl/workbook.xml": together("<workbook>", times(7<<20, same("<sheets>")))})
	},
	"deep in a part of another name": func() []byte {
		return parts(map[string]func(io.Writer){"xl/styles.xml": together("<styleSheet>", times(7<<20, same("<a>"))), "xl/media/a.bin": together(times(7<<20, same("<a>")))})
	},
	"deep in UTF-16": func() []byte {
		return parts(map[string]func(io.Writer){"xl/styles.xml": together(`<?xml version="1.0" encoding="UTF-16"?>`, times(7<<20, same("<\x00a\x00>\x00")))})
	},
	"styles": func() []byte {
		return parts(map[string]func(io.Writer){"xl/styles.xml": together(`<styleSheet xmlns="`+spaceName+`"><cellXfs>`, times(7<<20, same("<xf/>")), "</cellXfs></styleSheet>")})
	},
	"sheets": func() []byte {
		return parts(map[string]func(io.Writer){"xl/workbook.xml": together(`<workbook xmlns="`+spaceName+`" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets>`, times(4<<20, func(i int) string {
			return fmt.Sprintf(`<sheet name="S%d" sheetId="%d" r:id="r1"/>`, i, i+1)
		}), "</sheets></workbook>")})
	},
	"merged cells": func() []byte {
		return parts(map[string]func(io.Writer){"xl/worksheets/sheet1.xml": together(sheetHead, `<row r="1"><c r="A1"><v>1</v></c></row></sheetData><mergeCells>`,
			times(7<<20, same(`<mergeCell ref="A1:XFD1048576"/>`)), "</mergeCells></worksheet>")})
	},
	"rows far down, in each sheet": func() []byte {
		all := map[string]func(io.Writer){}
		var list, links strings.Builder
		for i := range 200 {
			fmt.Fprintf(&list, `<sheet name="S%d" sheetId="%d" r:id="x%[1]d"/>`, i, i+1)
			fmt.Fprintf(&links, `<Relationship Id="x%d" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/t%[1]d.xml"/>`, i)
			all[fmt.Sprintf("xl/worksheets/t%d.xml", i)] = together(sheetHead, `<row r="1048576"><c><v>1</v></c></row>`, sheetEnd)
		}
		all["xl/workbook.xml"] = together(`<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets>`, list.String(), "</sheets></workbook>")
		all["xl/_rels/workbook.xml.rels"] = together(`<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">`, links.String(), "</Relationships>")
		return parts(all)
	},
}

const bombFile = "BONNETBOOK_TEST_BOMB"

// TestOneWorkbook reads one file, for TestWorkbookBombs, which looks from
// outside at what that costs.
func TestOneWorkbook(t *testing.T) {
	path := os.Getenv(bombFile)
	if path == "" {
		t.Skip("for TestWorkbookBombs")
	}
	start := time.Now()
	r, err := Open(path, Options{})
	fmt.Printf("\ntook %v\n", time.Since(start).Round(time.Millisecond))
	switch {
	case err == nil && r != nil:
		fmt.Println("read", r.Account)
	case errors.Is(err, ErrLimit), errors.Is(err, ErrNotText), errors.Is(err, ErrNoData), errors.Is(err, ErrEmpty):
		fmt.Println("refused:", err)
	default:
		fmt.Println("failed:", err)
	}
}

// A small file costs little, whatever is in it, and the answer names it.
func TestWorkbookBombs(t *testing.T) {
	good := t.TempDir() + "/good.xlsx"
	os.WriteFile(good, parts(nil), 0o600)
	if r, err := Open(good, Options{Layout: Layout{TimeFormat: "elapsed s"}}); err != nil || r.Account.Read != 2 {
		t.Fatalf("the workbook without anything wrong: %v, %v", r, err)
	}
	for name, make := range workbookBombs {
		path := t.TempDir() + "/bomb.xlsx"
		file := make()
		if len(file) > 4<<20 {
			t.Fatalf("%s: %d bytes are not small", name, len(file))
		}
		if err := os.WriteFile(path, file, 0o600); err != nil {
			t.Fatal(err)
		}
		c := exec.Command(os.Args[0], "-test.run=^TestOneWorkbook$")
		c.Env = append(os.Environ(), bombFile+"="+path)
		stop := time.AfterFunc(20*time.Second, func() { c.Process.Kill() })
		out, err := c.CombinedOutput()
		stop.Stop()
		took := c.ProcessState.UserTime() + c.ProcessState.SystemTime()
		used := c.ProcessState.SysUsage().(*syscall.Rusage).Maxrss >> 10
		if runtime.GOOS == "darwin" {
			used >>= 10
		}
		said := string(out[:min(len(out), 500)])
		if err != nil || !strings.Contains(said, "bomb.xlsx") || strings.Contains(said, "failed:") && !strings.Contains(said, "can't be read") {
			t.Errorf("%s: %v after %v of processor time:\n%s", name, err, took, said)
		}
		if used > 200 {
			t.Errorf("%s: %d kB take %d MB:\n%s", name, len(file)>>10, used, said)
		}
		t.Logf("%s: %d kB, %v, %d MB: %s", name, len(file)>>10, took, used, strings.Join(strings.Fields(said), " "))
	}
}
