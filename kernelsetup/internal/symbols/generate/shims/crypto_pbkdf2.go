//go:build ignore

package pbkdf2

import (
	"hash"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/native"
)

func Key[Hash hash.Hash](h func() Hash, password string, salt []byte, iter, keyLength int) ([]byte, error) {
	return native.PBKDF2Key(func() hash.Hash { return h() }, password, salt, iter, keyLength)
}
