package recording

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"unicode/utf8"
)

// Limits on what a file may hold, so that a wrong or hostile file costs
// neither memory nor time without bound.
const (
	maxLine    = 64 << 10 // bytes in one line of text
	maxColumns = 1000
	chunkSize  = 1 << 20
	headSize   = 256 << 10
)

// source is a file's bytes and what is known of their form.
type source struct {
	path     string
	r        io.ReaderAt
	size     int64
	head     []byte // the first bytes as they are
	encoding Encoding
	bom      int  // length of the byte order mark
	cr       bool // lines end in a bare carriage return
}

// openSource opens the file and refuses what no recording can be.
func openSource(path string) (*source, func(), error) {
	fail := func(found, do string, err error) (*source, func(), error) {
		return nil, nil, &FileError{File: path, Found: found, Do: do, Err: err}
	}
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fail("there is no such file", "check the name and the folder", fs.ErrNotExist)
	case err != nil:
		return fail("can't be opened: "+err.Error(), "check that you may read it", err)
	case info.IsDir():
		return fail("is a folder, not a file", "name one file in it", ErrNotText)
	case !info.Mode().IsRegular():
		return fail("is not a regular file", "copy its content into a file first", ErrNotText)
	}
	f, err := os.Open(path)
	if err != nil {
		return fail("can't be opened: "+err.Error(), "check that you may read it", err)
	}
	s, err := newSource(path, f, info.Size())
	if err != nil {
		f.Close()
		return nil, nil, err
	}
	return s, func() { f.Close() }, nil
}

// maxHeld is how much is held in memory of what can't be read in pieces.
const maxHeld = 1 << 30

// readSource takes what is left of r.
func readSource(name string, r io.Reader) (*source, error) {
	fail := func(err error) (*source, error) {
		return nil, &FileError{File: name, Found: "can't be read: " + err.Error(), Do: "copy it again from the device", Err: err}
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
			return newSource(name, io.NewSectionReader(at, from, max(0, to-from)), max(0, to-from))
		}
	}
	held, err := io.ReadAll(io.LimitReader(r, maxHeld+1))
	switch {
	case err != nil:
		return fail(err)
	case len(held) > maxHeld:
		return nil, &FileError{File: name, Found: fmt.Sprintf("is larger than %d MB and can't be read in pieces", maxHeld>>20), Do: "unpack it into a file and open that", Err: ErrLimit}
	}
	return newSource(name, bytes.NewReader(held), int64(len(held)))
}

// newSource looks at the first bytes of r.
func newSource(path string, r io.ReaderAt, size int64) (*source, error) {
	s := &source{path: path, r: r, size: size}
	if size == 0 {
		return nil, s.fail("is empty (0 bytes)", "export it again; the logger may have been stopped before it wrote anything", ErrEmpty)
	}
	s.head = make([]byte, min(size, headSize))
	if _, err := io.ReadFull(io.NewSectionReader(r, 0, size), s.head); err != nil {
		return nil, s.fail("can't be read: "+err.Error(), "copy it again from the device", err)
	}
	if len(bytes.Trim(s.head, "\x00")) == 0 {
		return nil, s.fail("holds nothing but NUL bytes", "the logger lost power before it wrote; there is nothing to recover", ErrEmpty)
	}
	return s, nil
}

func (s *source) fail(found, do string, err error) error {
	return &FileError{File: s.path, Found: found, Do: do, Err: err}
}

// magics are the first bytes of files that people pick by mistake.
var magics = []struct{ bytes, found, do string }{
	{"\xd0\xcf\x11\xe0", "an old binary spreadsheet or document (OLE2)", "open it in a spreadsheet program and save it as .xlsx or .csv"},
	{"%PDF", "a PDF document", "export the readings as .csv instead"},
	{"\x89PNG", "a PNG picture", "export the readings as .csv instead"},
	{"\xff\xd8\xff", "a JPEG picture", "export the readings as .csv instead"},
	{"\x1f\x8b", "a gzip archive", "unpack it first"},
	{"Rar!", "a RAR archive", "unpack it first"},
	{"7z\xbc\xaf", "a 7z archive", "unpack it first"},
	{"\x7fELF", "a program", "pick the logger's export file"},
	{"MZ", "a program", "pick the logger's export file"},
	{"SQLite format 3", "an SQLite data base", "export its table as .csv"},
}

// checkText refuses bytes that are not text in any encoding read here, and
// finds out which encoding it is.
func (s *source) checkText(want Encoding) error {
	h := s.head
	for _, m := range magics {
		// "MZ" could begin a text; a program has NUL bytes soon after.
		if bytes.HasPrefix(h, []byte(m.bytes)) && (m.bytes != "MZ" || bytes.IndexByte(h[:min(len(h), 64)], 0) >= 0) {
			return s.fail("is "+m.found, m.do, ErrNotText)
		}
	}
	switch {
	case bytes.HasPrefix(h, []byte("\xef\xbb\xbf")):
		s.encoding, s.bom = UTF8, 3
	case bytes.HasPrefix(h, []byte("\xff\xfe")):
		s.encoding, s.bom = UTF16LE, 2
	case bytes.HasPrefix(h, []byte("\xfe\xff")):
		s.encoding, s.bom = UTF16BE, 2
	default:
		s.encoding = guessEncoding(h)
	}
	if want != "" {
		s.encoding = want
	}
	text, err := io.ReadAll(io.LimitReader(s.reader(0), headSize))
	if err != nil {
		return s.fail("can't be read: "+err.Error(), "copy it again from the device", err)
	}
	odd, lf, cr, crlf := 0, 0, 0, 0
	body := bytes.TrimRight(text, "\x00")
	for i, c := range body {
		switch {
		case c == '\n':
			lf++
		case c == '\r':
			cr++
			if i+1 < len(body) && body[i+1] == '\n' {
				crlf++
			}
		case c < ' ' && c != '\t' && c != 0 && c != 0x1a && c != 0x0c:
			odd++
		}
	}
	if odd > 2+len(body)/50 {
		return s.fail(fmt.Sprintf("is not text: %d of its first %d bytes are control characters (it begins with % X)", odd, len(body), h[:min(8, len(h))]),
			"export the readings as .csv, .xlsx, .gpx or NMEA text", ErrNotText)
	}
	s.cr = cr-crlf > lf
	return nil
}

// guessEncoding tells encodings without a byte order mark apart.
func guessEncoding(h []byte) Encoding {
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
		return UTF16LE
	case half > 1 && even > half*7/10 && odd < half/10:
		return UTF16BE
	}
	// A cut at the end of the head may split a character.
	for i := 0; i < 4 && i < len(h); i++ {
		if utf8.Valid(h[:len(h)-i]) {
			return UTF8
		}
	}
	return Windows1252
}

// reader streams the text from the byte offset on, in an encoding whose ASCII
// characters are single bytes: UTF-16 becomes UTF-8, others stay as they are.
func (s *source) reader(offset int64) io.Reader {
	offset = max(offset, int64(s.bom))
	r := io.NewSectionReader(s.r, offset, s.size-offset)
	if s.encoding == UTF16LE || s.encoding == UTF16BE {
		return &utf16Reader{r: r, big: s.encoding == UTF16BE}
	}
	return r
}
