package abi

import (
	"reflect"
	"strings"
	"testing"
)

func TestCheck(t *testing.T) {
	if err := Check(); err != nil {
		t.Fatal(err)
	}
}

// Every offset, every size and every constant is seen when it is wrong, and
// named, without a crash.
func TestCheckSeesEveryWord(t *testing.T) {
	if err := Check(); err != nil {
		t.Fatal("already without a change: ", err)
	}
	try := func(key string, by int) {
		t.Run(key, func(t *testing.T) {
			err := checkWith(map[string]int{key: by})
			if err == nil {
				t.Fatalf("moved by %d, and not noticed", by)
			}
			_, field, isField := strings.Cut(key, ".")
			if !strings.Contains(err.Error(), key) && !(isField && strings.Contains(err.Error(), "."+field)) {
				t.Errorf("moved by %d, and reported is: %v", by, err)
			}
		})
	}
	words := 0
	for _, layout := range layouts {
		for i := range layout.NumField() {
			f := layout.Field(i)
			key := layout.Name() + "." + f.Name
			if f.Anonymous || f.Name == "_" {
				continue
			}
			words++
			size := int(f.Type.Size())
			if f.Type.Kind() == reflect.Slice {
				size = 8
			}
			try(key, size)
			if f.Offset > 0 {
				try(key, -size)
			}
		}
	}
	for _, layout := range layouts {
		if sized[layout.Name()] {
			try(layout.Name(), 8)
			try(layout.Name(), -8)
		}
	}
	for name, value := range constants {
		try(name, max(value, 1))
	}
	if words < 50 {
		t.Errorf("only %d words were tried", words)
	}
}

// sized are the layouts whose size is used: the last word of the others is.
var sized = map[string]bool{
	"Type": true, "UncommonType": true, "Method": true, "Imethod": true, "StructField": true, "ArrayType": true, "ChanType": true, "FuncType": true,
	"InterfaceType": true, "MapType": true, "PtrType": true, "SliceType": true, "StructType": true, "Words": true, "Slice": true, "TypeAssertionError": true,
}

func BenchmarkCheck(b *testing.B) {
	for b.Loop() {
		if err := Check(); err != nil {
			b.Fatal(err)
		}
	}
}
