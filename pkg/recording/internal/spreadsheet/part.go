package spreadsheet

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
)

// Limits on the XML in a workbook, since the library holds in memory whatever
// is nested, tagged or written between two tags. A cell's text has at most
// 32767 characters; sheets are some ten tags deep.
const (
	maxDepth = 100
	maxPiece = 256 << 10 // bytes of a tag, a comment or a text
	// The library makes some 250 bytes of a tag. Sheets are read row by row;
	// what is said once for all cells has at most maxTags. Texts that cells
	// share may be a million, but take room in the file then: three bytes for
	// the four tags of a short one, where the next is another.
	maxTags       = 300_000
	maxTextTags   = 8_000_000
	tagsInAByte   = 2
	sharedStrings = "xl/sharedStrings.xml"
)

var errPiece = fmt.Errorf("a tag or a text of more than %d kB", maxPiece>>10)

// otherEncoding matches a declaration of what is not read here as it stands.
var otherEncoding = regexp.MustCompile(`(?i)<\?xml[^>]*encoding\s*=\s*["']([^"']*)["']`)

// checkPart goes through a part of the archive before the library does, and
// refuses entities, which can multiply or lead to other files, and what costs
// far more memory than it takes in the file. It adds to the tags of all parts.
func checkPart(src *source.Source, f *zip.File, tags *int) error {
	r, err := f.Open()
	if err != nil {
		return nil // openBook tells what is wrong
	}
	defer r.Close()
	refuse := func(found, do string, err error) error {
		return src.Fail(fmt.Sprintf("%s in its part %s, which a workbook does not have", found, f.Name), do, err)
	}
	const again = "save it again as .xlsx or .csv"
	head := make([]byte, 64<<10)
	n, _ := io.ReadFull(r, head)
	head = head[:n]
	if upper := bytes.ToUpper(head); bytes.Contains(upper, []byte("<!DOCTYPE")) || bytes.Contains(upper, []byte("<!ENTITY")) {
		return refuse("declares a document type (DOCTYPE)", again+"; files with entities are refused", account.ErrNotText)
	}
	if m := otherEncoding.FindSubmatch(head); m != nil && !strings.EqualFold(string(m[1]), "UTF-8") && !strings.EqualFold(string(m[1]), "US-ASCII") {
		return refuse(fmt.Sprintf("has the encoding %q", m[1]), again, account.ErrNotText)
	}
	if bytes.IndexByte(head[:min(n, 4<<10)], 0) >= 0 {
		return nil // a picture or a program; no reader of XML gets past a NUL
	}
	var s scanner
	err = s.feed(head)
	for buf := make([]byte, 64<<10); err == nil; {
		n, end := r.Read(buf)
		err = s.feed(buf[:n])
		if end != nil {
			break // openBook tells what is wrong with it, if anything
		}
	}
	most := maxTags
	switch {
	case strings.HasPrefix(f.Name, "xl/worksheets/"):
		s.tags = 0
	case strings.EqualFold(f.Name, sharedStrings):
		most = min(maxTextTags, most+tagsInAByte*int(min(f.CompressedSize64, maxTextTags)))
	default:
		*tags += s.tags
		s.tags = *tags
	}
	switch {
	case errors.Is(err, errDocumentType):
		return refuse("declares a document type (DOCTYPE)", again+"; files with entities are refused", account.ErrNotText)
	case err != nil:
		return refuse("has "+err.Error(), "save the readings as .csv", account.ErrLimit)
	case s.tags > most:
		return src.Fail(fmt.Sprintf("has more than %d tags outside of its sheets, up to its part %s", most, f.Name), "save the readings as .csv, which is read in any size", account.ErrLimit)
	}
	return nil
}

var errDocumentType = errors.New("a document type")

// A scanner measures XML that comes in pieces.
type scanner struct {
	tags, depth int

	in    state
	piece int     // bytes of the tag or text so far
	last  [3]byte // its last bytes
	first [2]byte // its first ones
	quote byte    // the mark that a value in a tag began with, 0 outside
}

type state int

const (
	inText state = iota
	inTag
)

func (s *scanner) feed(b []byte) error {
	for len(b) > 0 {
		if s.in == inText {
			i := bytes.IndexByte(b, '<')
			if i < 0 {
				i = len(b)
			}
			if s.piece += i; s.piece > maxPiece {
				return errPiece
			}
			if i == len(b) {
				return nil
			}
			b = b[i+1:]
			*s = scanner{tags: s.tags + 1, depth: s.depth, in: inTag}
			continue
		}
		c := b[0]
		b = b[1:]
		if s.piece < len(s.first) {
			s.first[s.piece] = c
		}
		if s.piece++; s.piece > maxPiece {
			return errPiece
		}
		if err := s.tagByte(c); err != nil {
			return err
		}
		s.last = [3]byte{s.last[1], s.last[2], c}
	}
	return nil
}

// tagByte takes one byte of a tag, a comment, a declaration or raw text.
// complex: one case for each state of a tag
func (s *scanner) tagByte(c byte) error {
	before := s.last
	ends := c == '>'
	switch {
	case s.first[0] == '!':
		if s.piece == 2 && c != '-' && c != '[' {
			return errDocumentType
		}
		ends = ends && (s.first[1] == '-' && s.piece > 5 && before[1] == '-' && before[2] == '-' ||
			s.first[1] == '[' && before[1] == ']' && before[2] == ']')
	case s.first[0] == '?':
		ends = ends && before[2] == '?' && s.piece > 2
	case s.quote != 0:
		if c == s.quote {
			s.quote = 0
		}
		return nil
	case c == '"' || c == '\'':
		s.quote = c
		return nil
	case ends && s.first[0] == '/':
		s.depth--
	case ends && before[2] != '/':
		if s.depth++; s.depth > maxDepth {
			return fmt.Errorf("more than %d tags within each other", maxDepth)
		}
	}
	if ends {
		s.in, s.piece = inText, 0
	}
	return nil
}
