package sample

type adder interface{ add(n int) int }

type counter int

func (c *counter) add(n int) int { *c += counter(n); return int(*c) }

type fixed struct{ base, step int }

func (f fixed) add(n int) int { return f.base + n*f.step }

type text string

func (t text) add(n int) int { return len(t) + n }

func fibonacci(n int) int {
	if n < 2 {
		return n
	}
	return fibonacci(n-1) + fibonacci(n-2)
}

func divide(x, y int) (quotient, remainder int) { return x / y, x % y }

func join(parts ...string) (s string) {
	for _, p := range parts {
		s += p
	}
	return s
}

func deep(n int) int {
	if n == 0 {
		return 0
	}
	return 1 + deep(n-1)
}

func truth(b bool) bool { return !b }

func half(x float64) float64 { return x / 2 }

func same[T any](x T) T { return x }

func calls(r *Result) {
	put(r, fibonacci(15), deep(5000))
	q, m := divide(17, 5)
	put(r, q, m)
	r.try(func() { divide(1, len(r.Texts)) })
	r.text(join("a", "b", "c") + join())
	r.bool(truth(true))
	r.float(half(3))
	put(r, same(3))
	r.text(same("three"))
	r.float32(same(float32(0.25)))
	c := new(counter)
	for _, a := range []adder{c, fixed{1, 2}, text("four"), &fixed{5, 6}, c} {
		put(r, a.add(1), a.add(10))
	}
	add := c.add
	put(r, add(5), add(6))
	n := 0
	next := func() int { n++; return n }
	put(r, next(), next(), n)
	table := []func(int) int{fibonacci, fixed{3, 1}.add, func(i int) int { return i * n }, deep}
	for i, f := range table {
		put(r, f(i+5))
	}
	p := new(int)
	*p = 8
	put(r, *p)
	var inner func(int) int
	inner = func(i int) int {
		if i == 0 {
			return n
		}
		return inner(i-1) + 1
	}
	put(r, inner(10))
}

func deferring(r *Result) {
	r.text(deferred(r, 0))
	r.text(deferred(r, 3))
	func() {
		defer r.text("last")
		for i := range 3 {
			defer put(r, i)
		}
		defer func() { r.bool(recover() == nil) }()
	}()
	r.try(func() {
		defer func() { panic("second") }()
		panic("first")
	})
	r.try(func() {
		defer put(r, 5)
		defer r.try(func() { panic("inner") })
		var list []int
		list[len(r.Ints)] = 1
	})
	put(r, outcome(1), outcome(0))
}

func deferred(r *Result, n int) (s string) {
	defer func() { s += "!" }()
	for i := range n {
		defer func() { s += string(rune('a' + i)) }()
	}
	return "returned"
}

func outcome(n int) (x int) {
	defer func() {
		if recover() != nil {
			x = -1
		}
	}()
	return 10 / n
}
