package vm

import (
	"bytes"
	"image"
	"math/big"
	"math/bits"
	"reflect"
	"strings"
	"unsafe"
)

// weights say how many bytes well-known compiled functions are going to
// allocate at once, by their arguments: what is too much fails as it does in
// code of cells, and the process lives on. Whatever is not here may end the
// process.
var weights = map[string]func(w Window) uint64{
	"bufio.NewReaderSize":       func(w Window) uint64 { return product(1, w.Int(1)) },
	"bufio.NewWriterSize":       func(w Window) uint64 { return product(1, w.Int(1)) },
	"math/rand.Perm":            func(w Window) uint64 { return product(8, w.Int(0)) },
	"math/rand/v2.Perm":         func(w Window) uint64 { return product(8, w.Int(0)) },
	"(*math/rand.Rand).Perm":    func(w Window) uint64 { return product(8, w.Int(0)) },
	"(*math/rand/v2.Rand).Perm": func(w Window) uint64 { return product(8, w.Int(0)) },
	"reflect.MakeSlice":         func(w Window) uint64 { return product(elemSize(w), w.Int(2)) },
	"reflect.MakeChan":          func(w Window) uint64 { return product(elemSize(w), w.Int(1)) },
	"reflect.MakeMapWithSize": func(w Window) uint64 {
		t, ok := w.Value(0).Interface().(reflect.Type)
		if !ok || t.Kind() != reflect.Map {
			return 0
		}
		return product(2*int64(t.Key().Size()+t.Elem().Size()+1), w.Int(1))
	},
	"reflect.New": func(w Window) uint64 {
		if t, ok := w.Value(0).Interface().(reflect.Type); ok {
			return uint64(t.Size())
		}
		return 0
	},
	"(*math/big.Int).Lsh": func(w Window) uint64 {
		x := (*big.Int)(w.Pointer(0))
		if x == nil {
			return 0
		}
		return uint64(w.Int(1)) / 8
	},
	"(*math/big.Int).SetBit": func(w Window) uint64 { return product(1, w.Int(1)/8) },
	"strings.Join": func(w Window) uint64 {
		list, _ := w.Value(0).Interface().([]string)
		return joined(len(list), func(i int) int { return len(list[i]) }, len(w.String(1)))
	},
	"bytes.Join": func(w Window) uint64 {
		list, _ := w.Value(0).Interface().([][]byte)
		return joined(len(list), func(i int) int { return len(list[i]) }, w.Value(1).Len())
	},
	"strings.ReplaceAll": func(w Window) uint64 { return replaced(w.String(0), w.String(1), w.String(2), -1) },
	"strings.Replace":    func(w Window) uint64 { return replaced(w.String(0), w.String(1), w.String(2), w.Int(3)) },
	"bytes.ReplaceAll": func(w Window) uint64 {
		return replacedBytes(w.Value(0).Bytes(), w.Value(1).Bytes(), w.Value(2).Bytes(), -1)
	},
	"bytes.Replace": func(w Window) uint64 {
		return replacedBytes(w.Value(0).Bytes(), w.Value(1).Bytes(), w.Value(2).Bytes(), w.Int(3))
	},
	"strings.Split": func(w Window) uint64 {
		if s := w.String(0); len(s) > 1<<20 {
			return product(16, int64(strings.Count(s, w.String(1))))
		}
		return 0
	},
	"gonum.org/v1/gonum/mat.NewDense":     func(w Window) uint64 { return matrix(w, 2, w.Int(0), w.Int(1)) },
	"gonum.org/v1/gonum/mat.NewSymDense":  func(w Window) uint64 { return matrix(w, 1, w.Int(0), w.Int(0)) },
	"gonum.org/v1/gonum/mat.NewTriDense":  func(w Window) uint64 { return matrix(w, 2, w.Int(0), w.Int(0)) },
	"gonum.org/v1/gonum/mat.NewVecDense":  func(w Window) uint64 { return matrix(w, 1, w.Int(0), 1) },
	"gonum.org/v1/gonum/mat.NewDiagDense": func(w Window) uint64 { return matrix(w, 1, w.Int(0), 1) },
	"gonum.org/v1/gonum/mat.NewCDense": func(w Window) uint64 {
		if w.Value(2).Len() > 0 {
			return 0
		}
		return times(product(16, w.Int(0)), w.Int(1))
	},
}

func init() {
	for name, size := range map[string]int64{"NewRGBA": 4, "NewRGBA64": 8, "NewNRGBA": 4, "NewNRGBA64": 8, "NewAlpha": 1, "NewAlpha16": 2,
		"NewGray": 1, "NewGray16": 2, "NewCMYK": 4, "NewPaletted": 1, "NewYCbCr": 3, "NewNYCbCrA": 4} {
		weights["image."+name] = func(w Window) uint64 {
			r, _ := w.Value(0).Interface().(image.Rectangle)
			return times(product(size, int64(r.Dx())), int64(r.Dy()))
		}
	}
}

// weighed is call behind a look at how much it is going to allocate.
func (m *Machine) weighed(name string, call ext, sig *sigLayout) ext {
	weight := weights[name]
	if weight == nil {
		return call
	}
	return func(t *Thread, s, p unsafe.Pointer) {
		t.m.reserve(weight(Window{m: t.m, sig: sig, s: s, p: p}))
		call(t, s, p)
	}
}

// product is a·b; beyond what there can be it is that, below nothing it is 0.
func product(a, b int64) uint64 {
	if a <= 0 || b <= 0 {
		return 0
	}
	return times(uint64(a), b)
}

func times(a uint64, b int64) uint64 {
	if b <= 0 {
		return 0
	}
	if hi, lo := bits.Mul64(a, uint64(b)); hi == 0 && lo < 1<<62 {
		return lo
	}
	return 1 << 62
}

// elemSize is the size of the elements of the type in parameter 0.
func elemSize(w Window) int64 {
	t, ok := w.Value(0).Interface().(reflect.Type)
	if !ok || t.Kind() != reflect.Slice && t.Kind() != reflect.Chan {
		return 0
	}
	return int64(t.Elem().Size())
}

func joined(n int, length func(i int) int, between int) uint64 {
	total := product(int64(n), int64(between))
	for i := range n {
		total += uint64(length(i))
	}
	return total
}

// replaced is how long a text becomes; texts that stay small are not looked at.
func replaced(s, old, by string, n int64) uint64 {
	if len(by) <= len(old) || times(uint64(len(s)+1), int64(len(by))) < largeAllocation {
		return 0
	}
	count := int64(strings.Count(s, old))
	if n >= 0 {
		count = min(count, n)
	}
	return uint64(len(s)) + product(count, int64(len(by)-len(old)))
}

func replacedBytes(s, old, by []byte, n int64) uint64 {
	if len(by) <= len(old) || times(uint64(len(s)+1), int64(len(by))) < largeAllocation {
		return 0
	}
	count := int64(bytes.Count(s, old))
	if n >= 0 {
		count = min(count, n)
	}
	return uint64(len(s)) + product(count, int64(len(by)-len(old)))
}

// matrix is the size of a matrix whose numbers are not given in a parameter.
func matrix(w Window, data int, rows, columns int64) uint64 {
	if w.Value(data).Len() > 0 {
		return 0
	}
	return times(product(8, rows), columns)
}
