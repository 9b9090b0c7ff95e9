package protocol

import (
	"strings"
	"testing"
)

// Vectors of RFC 4231, sections 4.3 and 4.4 (HMAC-SHA-256), the data cut into
// frames: the signature runs over their concatenation.
func TestSignatureVectors(t *testing.T) {
	for _, v := range []struct {
		key, want string
		frames    []string
	}{
		{"Jefe", "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843",
			[]string{"what do ya ", "want for ", "", "nothing?"}},
		{strings.Repeat("\xaa", 20), "773ea91e36800e46854db8ebd09181a72959098b3ef8c122d9635514ced565fe",
			[]string{strings.Repeat("\xdd", 20), strings.Repeat("\xdd", 30), "", ""}},
	} {
		s := newSigner(v.key)
		var frames [][]byte
		for _, f := range v.frames {
			frames = append(frames, []byte(f))
		}
		if got := string(s.sign(frames...)); got != v.want {
			t.Errorf("key %q: signature %s, want %s", v.key, got, v.want)
		}
		if !s.verify([]byte(v.want), frames...) {
			t.Errorf("key %q: right signature refused", v.key)
		}
		for i := range v.want {
			bad := []byte(v.want)
			bad[i] ^= 1
			if s.verify(bad, frames...) {
				t.Fatalf("key %q: signature with byte %d changed accepted", v.key, i)
			}
		}
		if s.verify(nil, frames...) || s.verify([]byte(v.want[:10]), frames...) {
			t.Errorf("key %q: short signature accepted", v.key)
		}
	}
}
