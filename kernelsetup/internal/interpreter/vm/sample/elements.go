package sample

// indexes uses each edge of T as an index of everything that has elements.
func indexes[T integer](r *Result, edge []T) {
	text := "0123456789"
	bytes := []byte(text)
	runes := []rune(text)
	ints := []int{0, 1, 2, 3, 4, 5, 6, 7}
	nodes := []*node{{value: 1}, {value: 2}, {value: 3}}
	texts := []string{"a", "bc", "def", "g"}
	lists := [][]int{{1}, {2, 3}, nil, {4}}
	shorts := []int16{-1, 2, -3}
	pairs := []two{{1, 2}, {3, 4}, {5, 6}}
	array := [5]int{9, 8, 7, 6, 5}
	behind := &array
	for _, i := range edge {
		for _, f := range []func(){
			func() { put(r, text[i]) },
			func() { put(r, bytes[i]); bytes[i]++; put(r, bytes...) },
			func() { put(r, runes[i]); runes[i]--; put(r, runes...) },
			func() { put(r, ints[i]); ints[i] *= 3; put(r, ints...) },
			func() { put(r, nodes[i].value); nodes[i] = nodes[0]; put(r, nodes[i].value) },
			func() { r.text(texts[i]); texts[i] += "!"; r.text(texts[0] + texts[1] + texts[2] + texts[3]) },
			func() { put(r, lists[i]...); lists[i] = ints[:2]; put(r, len(lists[i]), cap(lists[i])) },
			func() { put(r, shorts[i]); shorts[i] += 32767; put(r, shorts...) },
			func() { put(r, pairs[i].x, pairs[i].y); pairs[i] = two{7, int(i)}; put(r, pairs[i].y) },
			func() { p := &pairs[i].y; *p = 5; put(r, pairs[0].y, pairs[1].y, pairs[2].y) },
			func() { put(r, array[i]); array[i] = 1; put(r, array[:]...) },
			func() { put(r, behind[i]); behind[i] += 2; put(r, behind[:]...) },
			func() { runes[i] = 'x'; put(r, runes...) },
			func() { ints[i] = 5; put(r, ints...) },
			func() { bytes[i] = 'y'; put(r, bytes...) },
			func() { nodes[i] = nodes[1]; put(r, nodes[i].value) },
			func() { put(r, len(text[i:]), len(text[:i])) },
			func() { put(r, ints[i:]...) },
			func() { put(r, ints[:i:i]...) },
			func() { put(r, behind[i:]...) },
		} {
			r.try(f)
		}
	}
	for i := range 9 { // past the end in a loop, too
		r.try(func() { put(r, array[i], ints[i]) })
	}
}

type page [1 << 13]int // 64 kB

func largeElements(r *Result) {
	pages := make([]page, 3)
	all := new([2]page)
	for i := range 5 {
		r.try(func() {
			pages[i][i+100] = i + 1
			put(r, pages[i][i+100], pages[i][i+99])
		})
		r.try(func() {
			all[i][8191] = i + 7
			put(r, all[i][8191])
		})
		r.try(func() { // by a number of the text and by a variable
			p, one := &pages[1], 1+i-i
			p[i*4+1] = i + 40
			put(r, pages[1][i*4+1], pages[one][i*4+1], pages[one][i*4])
		})
		r.try(func() { pages[i][i*4000]++; put(r, pages[i][i*4000]) })
	}
}
