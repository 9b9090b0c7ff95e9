package mutant

import (
	"bytes"
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// How long a text may be: what a reader does with one lies in its shape, and a
// long one costs the time of many short ones. One value in 512 is as long as a
// file may be.
const (
	largestFile  = 64 << 10
	largestValue = 40
)

// mutator makes inputs out of others.
type mutator struct {
	pool    []input // the shortest first
	short   int     // so many of them are within the length
	largest int
	now     int // the largest of this input
	pcg     *rand.PCG
	r       *rand.Rand
	buf     []byte
}

func newMutator(pool []input, largest int) *mutator {
	pool = slices.Clone(pool)
	slices.SortStableFunc(pool, func(a, b input) int { return cmp.Compare(length(a), length(b)) })
	pcg := rand.NewPCG(0, 0)
	m := &mutator{pool: pool, largest: largest, pcg: pcg, r: rand.New(pcg)}
	for m.short < len(pool) && (m.short == 0 || length(pool[m.short]) <= largest) {
		m.short++
	}
	return m
}

// length is that of the texts of an input.
func length(in input) int {
	n := 0
	for _, a := range in {
		switch a := a.(type) {
		case []byte:
			n += len(a)
		case string:
			n += len(a)
		}
	}
	return n
}

// any picks an input to begin with, short ones more often.
func (m *mutator) any() input {
	n := m.short
	if m.now > m.largest {
		n = len(m.pool)
	}
	return m.pool[min(m.r.IntN(n), m.r.IntN(n))]
}

// input makes the input with a number. Its texts are good until the next call.
func (m *mutator) input(seed, number uint64) input {
	m.pcg.Seed(seed, number)
	if m.now = m.largest; number%512 == 0 {
		m.now = largestFile
	}
	from := m.any()
	out := make(input, len(from))
	for i, a := range from {
		switch a := a.(type) {
		case []byte:
			m.change(append(m.buf[:0], a...), i)
			out[i] = m.buf
		case string:
			m.change(append(m.buf[:0], a...), i)
			out[i] = string(m.buf)
		case int:
			out[i] = m.whole(a)
		case float64:
			out[i] = m.real(a)
		default:
			out[i] = a
		}
	}
	return out
}

// whole changes a whole number, or does not.
func (m *mutator) whole(a int) int {
	switch m.r.IntN(4) {
	case 0:
		return a + m.r.IntN(65) - 32
	case 1:
		return int(m.r.Uint64() >> m.r.IntN(64))
	}
	return a
}

// real changes a number, or does not.
func (m *mutator) real(a float64) float64 {
	switch m.r.IntN(8) {
	case 0:
		return math.Float64frombits(m.r.Uint64())
	case 1:
		return math.Float64frombits(math.Float64bits(a) ^ 1<<m.r.IntN(64))
	case 2:
		return []float64{0, 1, -1, math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, math.SmallestNonzeroFloat64, 273.15, -273.15}[m.r.IntN(10)]
	case 3, 4:
		return a * m.r.Float64() * 2
	case 5:
		return a + m.r.NormFloat64()
	}
	return a
}

// change leaves b, changed in one to eight places, in m.buf. Argument is the
// place of the text among the arguments, for parts of other inputs.
func (m *mutator) change(b []byte, argument int) {
	for range 1 + m.r.IntN(4)*m.r.IntN(3) + m.r.IntN(2) {
		b = m.once(b, argument)
	}
	if len(b) > m.now {
		b = b[:m.now]
	}
	m.buf = b
}

// once changes b in one place.
func (m *mutator) once(b []byte, argument int) []byte {
	r := m.r
	if len(b) == 0 {
		return append(b, dictionary[r.IntN(len(dictionary))]...)
	}
	at := r.IntN(len(b))
	to := min(len(b), at+1+r.IntN(1+r.IntN(32)))
	switch r.IntN(15) {
	case 0:
		b[at] ^= 1 << r.IntN(8)
	case 1:
		b[at] = byte(r.Uint32())
	case 2:
		b[at] += byte(r.IntN(9) - 4)
	case 3: // leave out
		return append(b[:at], b[to:]...)
	case 4: // twice
		return replaced(b, to, to, b[at:to])
	case 5: // elsewhere
		copy(b[r.IntN(len(b)):], b[at:to])
	case 6, 7: // a word in place of another, or between
		if r.IntN(2) == 0 {
			to = at
		}
		return replaced(b, at, to, []byte(dictionary[r.IntN(len(dictionary))]))
	case 8: // another number
		from, end := digits(b, at)
		return replaced(b, from, end, []byte(numbers[r.IntN(len(numbers))]))
	case 9: // another mark between cells, here or everywhere
		return m.delimiter(b, at)
	case 10: // the end
		return b[:at]
	case 11, 12: // the beginning of one, the end of another
		return m.splice(b, at, argument)
	case 13: // lines: again, away, elsewhere
		return m.line(b, at)
	case 14: // a number as machines write it
		m.binary(b, at)
	}
	return b
}

// replaced puts a copy of what in place of b[from:to].
func replaced(b []byte, from, to int, what []byte) []byte {
	return slices.Replace(b, from, to, bytes.Clone(what)...)
}

// digits finds the number at or after a place.
func digits(b []byte, at int) (from, to int) {
	isDigit := func(c byte) bool { return c >= '0' && c <= '9' || c == '.' }
	from = at
	for from < len(b) && !isDigit(b[from]) {
		from++
	}
	for from == at && from > 0 && isDigit(b[from-1]) {
		from--
		at--
	}
	for to = from; to < len(b) && isDigit(b[to]); {
		to++
	}
	return from, to
}

func (m *mutator) delimiter(b []byte, at int) []byte {
	now, next := delimiters[m.r.IntN(len(delimiters))], delimiters[m.r.IntN(len(delimiters))]
	if m.r.IntN(4) == 0 {
		for i := range b {
			if b[i] == now {
				b[i] = next
			}
		}
	} else if i := bytes.IndexByte(b[at:], now); i >= 0 {
		b[at+i] = next
	}
	return b
}

func (m *mutator) splice(b []byte, at, argument int) []byte {
	var other []byte
	switch a := m.any()[argument].(type) {
	case []byte:
		other = a
	case string:
		other = []byte(a)
	}
	if len(other) == 0 {
		return b
	}
	from := m.r.IntN(len(other))
	if m.r.IntN(2) == 0 {
		return append(b[:at], other[from:]...)
	}
	return replaced(b, at, at, other[from:min(len(other), from+1+m.r.IntN(200))])
}

func (m *mutator) line(b []byte, at int) []byte {
	from := bytes.LastIndexByte(b[:at], '\n') + 1
	to := len(b)
	if i := bytes.IndexByte(b[at:], '\n'); i >= 0 {
		to = at + i + 1
	}
	switch m.r.IntN(3) {
	case 0:
		return replaced(b, to, to, b[from:to])
	case 1:
		return append(b[:from], b[to:]...)
	}
	line := bytes.Clone(b[from:to])
	b = append(b[:from], b[to:]...)
	if len(b) == 0 {
		return line
	}
	place := bytes.LastIndexByte(b[:m.r.IntN(len(b))], '\n') + 1
	return slices.Insert(b, place, line...)
}

// binary writes a number of one, two, four or eight bytes.
func (m *mutator) binary(b []byte, at int) {
	x := []uint64{0, 1, 0x7f, 0x80, 0xff, 0x7fff, 0x8000, 0xffff, math.MaxInt32, math.MaxUint32, math.MaxInt64, math.MaxUint64, uint64(len(b)), uint64(at)}[m.r.IntN(14)]
	width := 1 << m.r.IntN(4)
	big := m.r.IntN(2) == 0
	for i := range min(width, len(b)-at) {
		shift := 8 * i
		if big {
			shift = 8 * (width - 1 - i)
		}
		b[at+i] = byte(x >> shift)
	}
}
