package snapshot

import (
	"encoding/binary"
	"errors"
	"reflect"
	"runtime/debug"
	"slices"
	"sort"
	"unsafe"
)

// Group is variables that share something, and their values.
type Group struct {
	Names []string
	Data  []byte
}

// Write writes the values of variables, those together that share something.
// ok is false where it was stopped.
func Write(vars []Variable, opt Options) (groups []Group, left []Left, ok bool) {
	all := make([]found, len(vars))
	var order []int
	for i, v := range vars {
		w := &walker{opt: opt, of: i, seen: map[visit]bool{}, out: found{maps: map[unsafe.Pointer]reflect.Value{}}}
		switch err := w.variable(v); {
		case err == errStopped:
			return nil, nil, false
		case err != nil:
			left = append(left, Left{v.Name, err.Error()})
		default:
			all[i] = w.out
			order = append(order, i)
		}
	}
	sort.SliceStable(order, func(i, j int) bool { return all[order[i]].size < all[order[j]].size })
	total := 0
	for n, i := range order {
		if total += all[i].size; total > opt.Limit {
			for _, i := range order[n:] {
				left = append(left, Left{vars[i].Name, "there is no room for it"})
			}
			order = order[:n]
			break
		}
	}
	slices.Sort(order)
	for _, g := range together(order, all) {
		data, err := writeGroup(g, vars, all, opt)
		switch {
		case err == errStopped:
			return nil, nil, false
		case err != nil:
			for _, i := range g {
				left = append(left, Left{vars[i].Name, err.Error()})
			}
		default:
			out := Group{Data: data}
			for _, i := range g {
				out.Names = append(out.Names, vars[i].Name)
			}
			groups = append(groups, out)
		}
	}
	return groups, left, true
}

// together divides variables into groups that share something.
func together(order []int, all []found) [][]int {
	parent := map[int]int{}
	var root func(i int) int
	root = func(i int) int {
		if p, ok := parent[i]; ok && p != i {
			p = root(p)
			parent[i] = p
			return p
		}
		return i
	}
	join := func(a, b int) {
		if a, b = root(a), root(b); a != b {
			parent[max(a, b)] = min(a, b)
		}
	}
	var regions []region
	maps := map[unsafe.Pointer]int{}
	for _, i := range order {
		regions = append(regions, all[i].regions...)
		for m := range all[i].maps {
			if j, ok := maps[m]; ok {
				join(i, j)
			}
			maps[m] = i
		}
	}
	slices.SortFunc(regions, func(a, b region) int {
		if uintptr(a.at) < uintptr(b.at) {
			return -1
		}
		return 1
	})
	end, of := uintptr(0), 0
	for _, r := range regions {
		if uintptr(r.at) < end {
			join(r.of, of)
		}
		if r.end() > end {
			end, of = r.end(), r.of
		}
	}
	groups := map[int][]int{}
	for _, i := range order {
		groups[root(i)] = append(groups[root(i)], i)
	}
	var out [][]int
	for _, i := range order {
		if g, ok := groups[i]; ok {
			out = append(out, g)
		}
	}
	return out
}

// writer writes one group. Regions are written in the order in which their
// types become known: first the variables', then each behind the first
// reference to it that has its type.
type writer struct {
	opt     Options
	out     []byte
	regions []region
	typed   []bool
	queue   []int
	maps    map[unsafe.Pointer]int
	content []pendingMap
	copies  map[unsafe.Pointer]reflect.Value
	step    int
}

type pendingMap struct {
	p *plan
	v reflect.Value
}

// errMoved says that a value changed between the looks at it.
var errMoved = errors.New("it was being changed")

func writeGroup(group []int, vars []Variable, all []found, opt Options) (data []byte, err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		if r := recover(); r != nil {
			err = errMoved
		}
	}()
	w := &writer{opt: opt, maps: map[unsafe.Pointer]int{}, copies: map[unsafe.Pointer]reflect.Value{}}
	var raw []region
	for _, i := range group {
		raw = append(raw, all[i].regions...)
		for m, v := range all[i].maps {
			w.copies[m] = v
		}
	}
	var ok bool
	if w.regions, ok = merge(raw); !ok {
		return nil, refusal("its memory is shared in several forms")
	}
	w.typed = make([]bool, len(w.regions))
	size := 0
	for _, r := range w.regions {
		size += int(r.bytes())
	}
	w.out = make([]byte, 0, size+size/8)
	for _, i := range group {
		at := vars[i].Value.Addr().UnsafePointer()
		if vars[i].Value.Type().Size() == 0 {
			continue
		}
		r, off, ok := w.find(at)
		if !ok || off != 0 || w.regions[r].home != i {
			return nil, errMoved
		}
		w.typed[r] = true
		w.queue = append(w.queue, r)
		w.number(uint64(r))
	}
	w.number(uint64(len(w.regions)))
	for q, m := 0, 0; q < len(w.queue) || m < len(w.content); {
		if q < len(w.queue) {
			err = w.region(w.regions[w.queue[q]])
			q++
		} else {
			err = w.entries(w.content[m])
			m++
		}
		if err != nil {
			return nil, err
		}
	}
	if slices.Contains(w.typed, false) {
		return nil, refusal("its memory is shared in several forms")
	}
	return w.out, nil
}

func (w *writer) region(r region) error {
	if r.p.flat {
		for rest := unsafe.Slice((*byte)(r.at), r.bytes()); len(rest) > 0; {
			n := min(len(rest), 1<<20)
			w.out, rest = append(w.out, rest[:n]...), rest[n:]
			if len(rest) > 0 && w.opt.Stop != nil && w.opt.Stop() {
				return errStopped
			}
		}
		return nil
	}
	for i := range r.n {
		if err := w.value(r.p, unsafe.Add(r.at, uintptr(i)*r.p.size)); err != nil {
			return err
		}
	}
	return nil
}

func (w *writer) entries(m pendingMap) error {
	n := m.v.Len()
	w.number(uint64(n))
	err := entries(m.v, m.p, func(k, e unsafe.Pointer) error {
		n--
		if err := w.value(m.p.key, k); err != nil {
			return err
		}
		return w.value(m.p.elem, e)
	})
	if err == nil && n != 0 {
		err = errMoved
	}
	return err
}

func (w *writer) number(n uint64) { w.out = binary.AppendUvarint(w.out, n) }

// find returns the region of an address and how far into it that is.
func (w *writer) find(at unsafe.Pointer) (r, off int, ok bool) {
	r, found := slices.BinarySearchFunc(w.regions, uintptr(at), func(r region, at uintptr) int {
		switch {
		case at < uintptr(r.at):
			return 1
		case at >= r.end():
			return -1
		}
		return 0
	})
	if !found {
		return 0, 0, false
	}
	return r, int(uintptr(at) - uintptr(w.regions[r].at)), true
}

// refer writes a reference to n values in memory.
func (w *writer) refer(base uint64, p *plan, at unsafe.Pointer) error {
	r, off, ok := w.find(at)
	if !ok {
		return errMoved
	}
	typed := uint64(0)
	if !w.typed[r] && off == 0 && w.regions[r].p == p {
		w.typed[r], typed = true, 1
		w.queue = append(w.queue, r)
	}
	w.number(base + uint64(r)*2 + typed)
	w.number(uint64(off))
	if typed == 1 {
		w.number(uint64(w.regions[r].n))
	}
	return nil
}

// References are written as a number: 0 is nil, others are special, and from
// here on it is a region's.
const (
	pointerBase = 4 // 1 and 2 are fixed places, 3 is a value without a size
	sliceBase   = 2 // 1 has no memory of its own
)

func (w *writer) value(p *plan, at unsafe.Pointer) error {
	if w.step++; w.step&1023 == 0 && w.opt.Stop != nil && w.opt.Stop() {
		return errStopped
	}
	switch {
	case p.flat:
		w.out = append(w.out, unsafe.Slice((*byte)(at), p.size)...)
	case p.kind == reflect.String:
		h := *(*stringHeader)(at)
		if w.opt.Shared && *(*stringHeader)(at) != h {
			return errMoved
		}
		w.number(uint64(h.len))
		w.out = append(w.out, unsafe.Slice((*byte)(h.data), h.len)...)
	case p.lock:
	case p.kind == reflect.Struct:
		for _, f := range p.fields {
			if err := w.value(f.plan, unsafe.Add(at, f.off)); err != nil {
				return err
			}
		}
	case p.kind == reflect.Array:
		for i := range p.n {
			if err := w.value(p.elem, unsafe.Add(at, uintptr(i)*p.elem.size)); err != nil {
				return err
			}
		}
	case p.kind == reflect.Pointer:
		to := *(*unsafe.Pointer)(at)
		switch n := fixedNumber(p.elem, to); {
		case to == nil:
			w.number(0)
		case n > 0:
			w.number(uint64(n))
		case p.elem.size == 0:
			w.number(3)
		default:
			return w.refer(pointerBase, p.elem, to)
		}
	case p.kind == reflect.Slice:
		h := *(*sliceHeader)(at)
		switch {
		case w.opt.Shared && *(*sliceHeader)(at) != h:
			return errMoved
		case h.data == nil:
			w.number(0)
			return nil
		case h.cap == 0 || p.elem.size == 0:
			w.number(1)
		default:
			if err := w.refer(sliceBase, p.elem, h.data); err != nil {
				return err
			}
		}
		w.number(uint64(h.len))
		w.number(uint64(h.cap))
	case p.kind == reflect.Map:
		return w.aMap(p, at)
	case p.kind == reflect.Interface:
		return w.inside(p, at)
	default:
		if *(*unsafe.Pointer)(at) != nil {
			return errMoved
		}
	}
	return nil
}

// aMap writes a map's number, from 1; its content comes behind all regions.
func (w *writer) aMap(p *plan, at unsafe.Pointer) error {
	m := *(*unsafe.Pointer)(at)
	if m == nil {
		w.number(0)
		return nil
	}
	n, ok := w.maps[m]
	if !ok {
		v, found := w.copies[m]
		if !found {
			return errMoved
		}
		n = len(w.maps) + 1
		w.maps[m] = n
		w.content = append(w.content, pendingMap{p, v})
	}
	w.number(uint64(n))
	return nil
}

// inside writes the value in an interface behind its type.
func (w *writer) inside(p *plan, at unsafe.Pointer) error {
	box, t, err := (&walker{opt: w.opt}).unbox(p, at)
	if err != nil {
		return err
	}
	if t == nil {
		w.number(0)
		return nil
	}
	name, ok := Describe(t)
	if !ok {
		return errMoved
	}
	w.number(uint64(len(name)))
	w.out = append(w.out, name...)
	return w.value(planOf(t), box)
}
