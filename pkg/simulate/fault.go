package simulate

import (
	"bytes"
	"math"
	"math/rand/v2"
	"time"
)

// OpenCircuit makes channel c of the rows [from, to) read open.
func OpenCircuit(rows []Row, c, from, to int) {
	for i := max(0, from); i < min(to, len(rows)); i++ {
		rows[i].Values[c] = math.NaN()
	}
}

// Gap removes the rows [from, to): the logger slept.
func Gap(rows []Row, from, to int) []Row {
	return append(append([]Row(nil), rows[:from]...), rows[to:]...)
}

// ClockStep adds d to the clock of all rows from the given one on: summer
// time, or a clock that was set midway.
func ClockStep(rows []Row, from int, d time.Duration) {
	for i := from; i < len(rows); i++ {
		rows[i].Clock = rows[i].Clock.Add(d)
	}
}

// Spikes adds single-sample spikes of the given height at random rows of
// channel c and returns their row numbers.
func Spikes(rows []Row, c, count int, height float64, random *rand.Rand) []int {
	var at []int
	for range count {
		i := random.IntN(len(rows))
		rows[i].Values[c] += height
		at = append(at, i)
	}
	return at
}

// PowerCut returns the file as it is when power failed while writing: the
// last n bytes are NUL.
func PowerCut(file []byte, n int) []byte {
	n = min(n, len(file))
	return append(append([]byte(nil), file[:len(file)-n]...), bytes.Repeat([]byte{0}, n)...)
}

// Cut returns the first share (0 to 1) of the file, ending in mid-line.
func Cut(file []byte, share float64) []byte {
	return append([]byte(nil), file[:int(share*float64(len(file)))]...)
}

// Restart returns the file of a logger that lost power after row at and was
// switched on again: its header is written once more, and its clock has been
// set back to reset.
//
// It fails as [Layout.Write] does.
func (l Layout) Restart(names []string, rows []Row, at int, reset time.Time) ([]byte, error) {
	plain := l
	plain.Encoding = UTF8
	head, err := plain.Write(names, rows[:at])
	if err != nil {
		return nil, err
	}
	late := append([]Row(nil), rows[at:]...)
	if len(late) > 0 {
		ClockStep(late, 0, reset.Sub(late[0].Clock))
	}
	tail, err := plain.Write(names, late)
	if err != nil {
		return nil, err
	}
	return l.encode(append(head, tail...))
}
