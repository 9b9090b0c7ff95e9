// Package packed keeps named pieces of data in one compressed file. Each
// piece is compressed alone, so that reading one does not unpack the others.
package packed

import (
	"bytes"
	"compress/flate"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"
)

const magic = "packed1\n"

// Entry is one piece of data.
type Entry struct {
	// Key names the piece; keys are unique in a file.
	Key string
	// Attributes are short texts readable without unpacking the data.
	Attributes []string
	// Data is the piece itself, uncompressed.
	Data []byte
}

// Write returns a file with the entries, sorted by key. The same entries
// give the same bytes.
func Write(entries []Entry) ([]byte, error) {
	entries = slices.Clone(entries)
	slices.SortFunc(entries, func(a, b Entry) int { return strings.Compare(a.Key, b.Key) })
	var index, body bytes.Buffer
	putNumber(&index, len(entries))
	for i, e := range entries {
		if i > 0 && entries[i-1].Key == e.Key {
			return nil, fmt.Errorf("packed: key %q occurs twice", e.Key)
		}
		start := body.Len()
		w, err := flate.NewWriter(&body, flate.BestCompression)
		if err != nil {
			return nil, err
		}
		w.Write(e.Data)
		if err := w.Close(); err != nil {
			return nil, err
		}
		putText(&index, e.Key)
		putNumber(&index, len(e.Attributes))
		for _, a := range e.Attributes {
			putText(&index, a)
		}
		putNumber(&index, start)
		putNumber(&index, body.Len()-start)
		putNumber(&index, len(e.Data))
	}
	var out bytes.Buffer
	out.WriteString(magic)
	putNumber(&out, index.Len())
	out.Write(index.Bytes())
	out.Write(body.Bytes())
	return out.Bytes(), nil
}

// An Archive reads a file made by Write. It is safe for concurrent use.
type Archive struct {
	data  string
	once  sync.Once
	err   error
	index []place
	body  string
}

type place struct {
	key                 string
	attributes          []string
	start, packed, size int
}

// Open returns an archive over the file's bytes. They are looked at when the
// first entry is asked for; an empty file is an empty archive.
func Open(data string) *Archive { return &Archive{data: data} }

// Keys lists the entries' keys, sorted.
func (a *Archive) Keys() []string {
	a.load()
	keys := make([]string, len(a.index))
	for i, p := range a.index {
		keys[i] = p.key
	}
	return keys
}

// Has reports whether there is an entry with this key.
func (a *Archive) Has(key string) bool {
	_, ok := a.find(key)
	return ok
}

// Attributes returns the attributes of an entry, nil where there is none.
func (a *Archive) Attributes(key string) []string {
	p, _ := a.find(key)
	return p.attributes
}

// Data unpacks an entry. It returns nil where there is no such entry.
func (a *Archive) Data(key string) ([]byte, error) {
	p, ok := a.find(key)
	if !ok {
		return nil, a.err
	}
	r := flate.NewReader(strings.NewReader(a.body[p.start : p.start+p.packed]))
	data := make([]byte, p.size)
	if _, err := io.ReadFull(r, data); err != nil {
		return nil, fmt.Errorf("packed: %s: %w", key, err)
	}
	return data, nil
}

func (a *Archive) find(key string) (place, bool) {
	a.load()
	i, ok := slices.BinarySearchFunc(a.index, key, func(p place, key string) int {
		return strings.Compare(p.key, key)
	})
	if !ok {
		return place{}, false
	}
	return a.index[i], true
}

func (a *Archive) load() {
	a.once.Do(func() {
		if a.data == "" {
			return
		}
		if !strings.HasPrefix(a.data, magic) {
			a.err = errors.New("packed: not a packed file")
			return
		}
		r := &reader{text: a.data[len(magic):]}
		length := r.number()
		if r.bad || length > len(r.text) {
			a.err = errors.New("packed: file is cut off")
			return
		}
		a.body = r.text[length:]
		r.text = r.text[:length]
		index := make([]place, 0, 256)
		for n := r.number(); n > 0 && !r.bad; n-- {
			p := place{key: r.string()}
			for m := r.number(); m > 0 && !r.bad; m-- {
				p.attributes = append(p.attributes, r.string())
			}
			p.start, p.packed, p.size = r.number(), r.number(), r.number()
			if p.start+p.packed > len(a.body) {
				r.bad = true
			}
			index = append(index, p)
		}
		if r.bad {
			a.err = errors.New("packed: file is cut off")
			return
		}
		a.index = index
	})
}

// SourceKey is the key of a package's source text beside its type data.
func SourceKey(path string) string { return "source:" + path }

// Texts packs a list of texts into one piece of data.
func Texts(texts []string) []byte {
	var b bytes.Buffer
	putNumber(&b, len(texts))
	for _, t := range texts {
		putText(&b, t)
	}
	return b.Bytes()
}

// SplitTexts reads what Texts wrote.
func SplitTexts(data []byte) ([]string, error) {
	r := &reader{text: string(data)}
	var texts []string
	for n := r.number(); n > 0 && !r.bad; n-- {
		texts = append(texts, r.string())
	}
	if r.bad {
		return nil, errors.New("packed: list of texts is cut off")
	}
	return texts, nil
}

func putNumber(b *bytes.Buffer, n int) {
	b.Write(binary.AppendUvarint(nil, uint64(n)))
}

func putText(b *bytes.Buffer, s string) {
	putNumber(b, len(s))
	b.WriteString(s)
}

// reader takes numbers and texts off the front of a text; bad is set once it
// is cut off.
type reader struct {
	text string
	bad  bool
}

func (r *reader) number() int {
	var n uint64
	for i := range len(r.text) {
		c := r.text[i]
		n |= uint64(c&0x7f) << (7 * i)
		if c < 0x80 {
			r.text = r.text[i+1:]
			if n > 1<<31 {
				break
			}
			return int(n)
		}
		if i > 8 {
			break
		}
	}
	r.bad = true
	return 0
}

func (r *reader) string() string {
	n := r.number()
	if n > len(r.text) {
		r.bad = true
	}
	if r.bad {
		return ""
	}
	s := r.text[:n]
	r.text = r.text[n:]
	return s
}
