// Package binarysheet reads a sheet of a binary workbook in the format BIFF8,
// which spreadsheet programs wrote as .xls from 1997 on (published as
// [MS-XLS]).
package binarysheet

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"

	"github.com/richardlehane/mscfb"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/sheet"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Format is the binary workbook.
var Format = format.Format{Name: layout.BinarySheet, Recognise: recognise, Read: read}

func recognise(src *source.Source) bool {
	return bytes.HasPrefix(src.Head, []byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1")) || bytes.HasPrefix(src.Head, []byte("\x09\x08\x10\x00\x00\x06"))
}

// maxStream bounds the workbook within the file. 65536 rows of 256 columns are
// the most that a sheet can have.
const maxStream = 256 << 20

const saveAgain = "open it in a spreadsheet program and save it as .xlsx or .csv"

func read(src *source.Source, how format.Request) (t *table.Table, err error) {
	defer func() { // the library and the offsets of a damaged file
		if p := recover(); p != nil {
			t, err = nil, src.Fail(fmt.Sprintf("is a damaged binary workbook: %v", p), saveAgain, account.ErrNotText)
		}
	}()
	stream, err := workbook(src)
	if err != nil {
		return nil, err
	}
	b := &book{stream: stream}
	if err := b.globals(); err != nil {
		return nil, src.Fail("is a binary workbook that can't be read: "+err.Error(), saveAgain, err)
	}
	src.DayZero = b.shift
	var all []*sheet.Rows
	for _, s := range b.sheets {
		rows := &sheet.Rows{Name: s.name}
		if err := b.rows(s, rows); err != nil {
			return nil, src.Fail(fmt.Sprintf("sheet %q can't be read: %v", s.name, err), saveAgain, err)
		}
		all = append(all, rows)
	}
	return sheet.Read(src, all, how, layout.BinarySheet, sheet.OnlySheet)
}

// workbook returns the stream of records: one in a compound file, or the file.
func workbook(src *source.Source) ([]byte, error) {
	if src.Size > maxStream {
		return nil, src.Fail(fmt.Sprintf("is larger than %d MB", maxStream>>20), saveAgain, account.ErrLimit)
	}
	if src.Head[0] == 9 {
		return io.ReadAll(io.NewSectionReader(src.R, 0, src.Size))
	}
	doc, err := mscfb.New(io.NewSectionReader(src.R, 0, src.Size))
	if err != nil {
		return nil, src.Fail("is a damaged compound file: "+err.Error(), saveAgain, account.ErrNotText)
	}
	names := []string{}
	for entry, err := doc.Next(); err == nil; entry, err = doc.Next() {
		if entry.Name == "Workbook" {
			if entry.Size > src.Size {
				return nil, src.Fail("is a damaged compound file: a stream is longer than the file", saveAgain, account.ErrNotText)
			}
			stream, err := io.ReadAll(io.LimitReader(entry, maxStream))
			if err != nil {
				return nil, src.Fail("is a damaged compound file: "+err.Error(), saveAgain, account.ErrNotText)
			}
			return stream, nil
		}
		if len(names) < 20 {
			names = append(names, entry.Name)
		}
	}
	found := "is a compound file (OLE2) without a workbook"
	for _, n := range names {
		switch n {
		case "Book":
			found = "is a binary workbook from before 1997"
		case "EncryptedPackage":
			found = "is a workbook locked by a password"
		case "WordDocument":
			found = "is a text document"
		}
	}
	return nil, src.Fail(found, saveAgain, account.ErrNotText)
}

// Kinds of records.
const (
	recFormula    = 0x0006
	recEOF        = 0x000a
	recDateMode   = 0x0022
	recFilePass   = 0x002f
	recContinue   = 0x003c
	recBoundSheet = 0x0085
	recMulRK      = 0x00bd
	recXF         = 0x00e0
	recSST        = 0x00fc
	recLabelSST   = 0x00fd
	recNumber     = 0x0203
	recLabel      = 0x0204
	recBoolErr    = 0x0205
	recString     = 0x0207
	recRK         = 0x027e
	recFormat     = 0x041e
	recBOF        = 0x0809
)

// record is one record of the stream.
type record struct {
	kind int
	data []byte
	next int // where the next begins
}

var errCut = errors.New("it is cut")

// at returns the record at an offset of the stream.
func (b *book) at(offset int) (record, error) {
	if offset < 0 || offset+4 > len(b.stream) {
		return record{}, errCut
	}
	kind, n := binary.LittleEndian.Uint16(b.stream[offset:]), int(binary.LittleEndian.Uint16(b.stream[offset+2:]))
	if offset+4+n > len(b.stream) {
		return record{}, errCut
	}
	return record{int(kind), b.stream[offset+4 : offset+4+n], offset + 4 + n}, nil
}
