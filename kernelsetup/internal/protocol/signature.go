package protocol

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"hash"
	"sync"
)

// signer makes and checks the HMAC-SHA256 signature over the four JSON
// frames of a message, in the order header, parent header, metadata, content.
// An empty key means unsigned messages, as the protocol allows.
type signer struct {
	key    []byte
	hashes sync.Pool
}

func newSigner(key string) *signer {
	s := &signer{key: []byte(key)}
	s.hashes.New = func() any { return hmac.New(sha256.New, s.key) }
	return s
}

// open reports whether there is no key, so that nobody is asked for it.
func (s *signer) open() bool { return len(s.key) == 0 }

// sign returns the lower-case hexadecimal signature, empty without a key.
func (s *signer) sign(frames ...[]byte) []byte {
	if s.open() {
		return nil
	}
	mac := s.hashes.Get().(hash.Hash)
	defer s.hashes.Put(mac)
	mac.Reset()
	for _, f := range frames {
		mac.Write(f)
	}
	sum := mac.Sum(nil)
	out := make([]byte, hex.EncodedLen(len(sum)))
	hex.Encode(out, sum)
	return out
}

// verify compares in constant time, so that a forger learns nothing from how
// long a refusal takes.
func (s *signer) verify(signature []byte, frames ...[]byte) bool {
	if s.open() {
		return true
	}
	return hmac.Equal(signature, s.sign(frames...))
}
