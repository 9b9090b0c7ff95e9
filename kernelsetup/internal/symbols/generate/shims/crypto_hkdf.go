//go:build ignore

package hkdf

import (
	"hash"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/native"
)

func Extract[H hash.Hash](h func() H, secret, salt []byte) ([]byte, error) {
	return native.HKDFExtract(func() hash.Hash { return h() }, secret, salt)
}

func Expand[H hash.Hash](h func() H, pseudorandomKey []byte, info string, keyLength int) ([]byte, error) {
	return native.HKDFExpand(func() hash.Hash { return h() }, pseudorandomKey, info, keyLength)
}

func Key[Hash hash.Hash](h func() Hash, secret, salt []byte, info string, keyLength int) ([]byte, error) {
	return native.HKDFKey(func() hash.Hash { return h() }, secret, salt, info, keyLength)
}
