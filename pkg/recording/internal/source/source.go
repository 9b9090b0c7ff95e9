// Package source gives out the bytes of a file, from a path or from any reader,
// as text in pieces that end at line ends.
package source

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"
	"unicode/utf8"

	"github.com/bonnetbook/bonnetbook/internal/pathname"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Limits on what a file may hold, so that a wrong or hostile file costs
// neither memory nor time without bound.
const (
	MaxLine   = 64 << 10 // bytes in one line of text
	chunkSize = 1 << 20
	HeadSize  = 256 << 10
)

// Days1904 is the DayZero of the other date system that workbooks have, which
// counts from 1904-01-01 (ECMA-376 part 1, 18.17.4.1).
const Days1904 = 1462

// Source is a file's bytes and what is known of their form.
type Source struct {
	Path     string
	R        io.ReaderAt
	Size     int64
	Head     []byte // the first bytes as they are
	Encoding layout.Encoding
	Mark     int  // length of the byte order mark
	CR       bool // lines, or some of them, end in a bare carriage return
	// DayZero is the day from which day numbers in a workbook count, as days
	// behind 1899-12-30.
	DayZero int64
	// Changed is when the file was last written, zero where that is not known.
	Changed time.Time
}

// Open opens the file and refuses what no recording can be. A leading ~ is the
// home folder; messages name the file as it was given.
func Open(given string) (*Source, func(), error) {
	fail := func(found, do string, err error) (*Source, func(), error) {
		return nil, nil, &account.FileError{File: given, Found: found, Do: do, Err: err}
	}
	path := pathname.Expand(given)
	if archive, inner, ok := Within(path); ok {
		s, err := openWithin(archive, inner)
		return s, func() {}, err
	}
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fail("there is no such file"+pathname.Sought(path), "check the name and the folder", fs.ErrNotExist)
	case err != nil:
		return fail("can't be opened: "+err.Error(), "check that you may read it", err)
	case info.IsDir():
		return fail("is a folder, not a file", "name one file in it", account.ErrNotText)
	case !info.Mode().IsRegular():
		return fail("is not a regular file", "copy its content into a file first", account.ErrNotText)
	}
	f, err := os.Open(path)
	if err != nil {
		return fail("can't be opened: "+err.Error(), "check that you may read it", err)
	}
	s, err := New(given, f, info.Size())
	if err != nil {
		f.Close()
		return nil, nil, err
	}
	s.Changed = info.ModTime()
	return s, func() { f.Close() }, nil
}

// maxHeld is how much is held in memory of what can't be read in pieces.
const maxHeld = 1 << 30

// Read takes what is left of r.
func Read(name string, r io.Reader) (*Source, error) {
	fail := func(err error) (*Source, error) {
		return nil, &account.FileError{File: name, Found: "can't be read: " + err.Error(), Do: "copy it again from the device", Err: err}
	}
	if at, ok := r.(interface {
		io.ReaderAt
		io.Seeker
	}); ok {
		from, err := at.Seek(0, io.SeekCurrent)
		if err == nil {
			to, err := at.Seek(0, io.SeekEnd)
			if err != nil {
				return fail(err)
			}
			return New(name, io.NewSectionReader(at, from, max(0, to-from)), max(0, to-from))
		}
	}
	held, err := io.ReadAll(io.LimitReader(r, maxHeld+1))
	switch {
	case err != nil:
		return fail(err)
	case len(held) > maxHeld:
		return nil, &account.FileError{File: name, Found: fmt.Sprintf("is larger than %d MB and can't be read in pieces", maxHeld>>20), Do: "unpack it into a file and open that", Err: account.ErrLimit}
	}
	return New(name, bytes.NewReader(held), int64(len(held)))
}

// New looks at the first bytes of r, and into r where it is packed.
func New(path string, r io.ReaderAt, size int64) (*Source, error) {
	s, err := plain(path, r, size)
	if err != nil {
		return nil, err
	}
	return unpacked(s, 0)
}

// plain looks at the first bytes of what is not packed.
func plain(path string, r io.ReaderAt, size int64) (*Source, error) {
	s := &Source{Path: path, R: r, Size: size}
	if size == 0 {
		return nil, s.Fail("is empty (0 bytes)", "export it again; the logger may have been stopped before it wrote anything", account.ErrEmpty)
	}
	s.Head = make([]byte, min(size, HeadSize))
	if _, err := io.ReadFull(io.NewSectionReader(r, 0, size), s.Head); err != nil {
		return nil, s.Fail("can't be read: "+err.Error(), "copy it again from the device", err)
	}
	if len(bytes.Trim(s.Head, "\x00")) == 0 {
		return nil, s.Fail("holds nothing but NUL bytes", "the logger lost power before it wrote; there is nothing to recover", account.ErrEmpty)
	}
	return s, nil
}

// Name is the file's name without its folder.
func (s *Source) Name() string { return filepath.Base(s.Path) }

// Beginning returns up to n of the first bytes without NULs, so that UTF-16 can
// be told by its ASCII characters, and without mark and blanks before them.
func (s *Source) Beginning(n int) []byte {
	return bytes.TrimLeft(bytes.ReplaceAll(s.Head[:min(len(s.Head), n)], []byte{0}, nil), "\xef\xbb\xbf\xff\xfe \t\r\n")
}

// First returns the first bytes of the text, limit at most, in UTF-8: into room that
// is made once, since each kind of file looks at them.
func (s *Source) First(limit int64) ([]byte, error) {
	room := bytes.NewBuffer(make([]byte, 0, min(limit, s.Size)+bytes.MinRead))
	_, err := room.ReadFrom(io.LimitReader(s.Reader(0), limit))
	return room.Bytes(), err
}

// Fail says what the file holds and what to do about it.
func (s *Source) Fail(found, do string, err error) error {
	return &account.FileError{File: s.Path, Found: found, Do: do, Err: err}
}

// magics are the first bytes of files that people pick by mistake.
var magics = []struct{ bytes, found, do string }{
	{"%PDF", "a PDF document", "export the readings as .csv instead"},
	{"\x89PNG", "a PNG picture", "export the readings as .csv instead"},
	{"\xff\xd8\xff", "a JPEG picture", "export the readings as .csv instead"},
	{"Rar!", "a RAR archive", "unpack it first"},
	{"7z\xbc\xaf", "a 7z archive", "unpack it first"},
	{"\x7fELF", "a program", "pick the logger's export file"},
	{"MZ", "a program", "pick the logger's export file"},
}

// CheckText refuses bytes that are not text in any encoding read here, and
// finds out which encoding it is, unless one is wanted.
func (s *Source) CheckText(want layout.Encoding) error {
	h := s.Head
	for _, m := range magics {
		// "MZ" could begin a text; a program has NUL bytes soon after.
		if bytes.HasPrefix(h, []byte(m.bytes)) && (m.bytes != "MZ" || bytes.IndexByte(h[:min(len(h), 64)], 0) >= 0) {
			return s.Fail("is "+m.found, m.do, account.ErrNotText)
		}
	}
	s.Encoding, s.Mark = byMark(h)
	if s.Mark == 0 {
		s.Encoding = guessEncoding(h)
	}
	if want != "" {
		s.Encoding = want
	}
	text, err := s.First(HeadSize)
	if err != nil {
		return s.Fail("can't be read: "+err.Error(), "copy it again from the device", err)
	}
	body := bytes.TrimRight(text, "\x00")
	if odd := controls(body); odd > 2+len(body)/50 {
		return s.Fail(fmt.Sprintf("is not text: %d of its first %d bytes are control characters (it begins with % X)", odd, len(body), h[:min(8, len(h))]),
			"export the readings as .csv, .xlsx, .gpx or NMEA text", account.ErrNotText)
	}
	s.CR = lineReturns(body)*50 > bytes.Count(body, []byte{'\n'})
	return nil
}

// lineReturns counts the carriage returns that end a line alone.
func lineReturns(body []byte) int {
	n := 0
	for i := range body {
		if endsLine(body, i) {
			n++
		}
	}
	return n
}

// UseMark takes the encoding from the byte order mark, UTF-8 where there is
// none: for files that name other encodings themselves.
func (s *Source) UseMark() { s.Encoding, s.Mark = byMark(s.Head) }

// byMark returns the encoding that a byte order mark says, and its length.
func byMark(h []byte) (layout.Encoding, int) {
	switch {
	case bytes.HasPrefix(h, []byte("\xef\xbb\xbf")):
		return layout.UTF8, 3
	case bytes.HasPrefix(h, []byte("\xff\xfe")):
		return layout.UTF16LE, 2
	case bytes.HasPrefix(h, []byte("\xfe\xff")):
		return layout.UTF16BE, 2
	}
	return layout.UTF8, 0
}

// controls counts the characters that text does not have.
func controls(body []byte) int {
	odd := 0
	for _, c := range body {
		if c < ' ' && bytes.IndexByte([]byte("\n\r\t\x00\x1a\x0c"), c) < 0 {
			odd++
		}
	}
	return odd
}

// guessEncoding tells encodings without a byte order mark apart.
func guessEncoding(h []byte) layout.Encoding {
	h = bytes.TrimRight(h, "\x00")
	even, odd := 0, 0
	for i, c := range h {
		if c == 0 {
			if i%2 == 0 {
				even++
			} else {
				odd++
			}
		}
	}
	half := len(h) / 2
	switch {
	case half > 1 && odd > half*7/10 && even < half/10:
		return layout.UTF16LE
	case half > 1 && even > half*7/10 && odd < half/10:
		return layout.UTF16BE
	}
	// A cut at the end of the head may split a character.
	for i := 0; i < 4 && i < len(h); i++ {
		if utf8.Valid(h[:len(h)-i]) {
			return layout.UTF8
		}
	}
	if e := eastAsian(h); e != "" {
		return e
	}
	return layout.Windows1252
}

// Reader streams the text from the byte offset on, in an encoding whose ASCII
// characters are single bytes: UTF-16, GBK and Shift-JIS become UTF-8, others
// stay as they are.
func (s *Source) Reader(offset int64) io.Reader {
	offset = max(offset, int64(s.Mark))
	r := io.NewSectionReader(s.R, offset, s.Size-offset)
	if s.Encoding == layout.UTF16LE || s.Encoding == layout.UTF16BE {
		return &utf16Reader{r: r, big: s.Encoding == layout.UTF16BE}
	}
	if e := decoders[s.Encoding]; e != nil {
		return e.NewDecoder().Reader(r)
	}
	return r
}
