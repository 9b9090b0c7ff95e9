//go:build ignore

package maphash

import "github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/native"

func Comparable[T comparable](seed Seed, v T) uint64 {
	s := seed
	return native.HashComparable(&s, v)
}

func WriteComparable[T comparable](h *Hash, x T) { native.WriteComparable(h, x) }
