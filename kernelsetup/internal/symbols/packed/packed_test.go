package packed

import (
	"bytes"
	"slices"
	"testing"
)

func TestRoundTrip(t *testing.T) {
	entries := []Entry{
		{Key: "b", Data: bytes.Repeat([]byte("abc"), 1000)},
		{Key: "a", Attributes: []string{"x", "y/z"}, Data: []byte("small")},
		{Key: "empty"},
	}
	file, err := Write(entries)
	if err != nil {
		t.Fatal(err)
	}
	slices.Reverse(entries)
	again, err := Write(entries)
	if err != nil || !bytes.Equal(file, again) {
		t.Errorf("the order of entries changes the file (%v)", err)
	}
	a := Open(string(file))
	if got := a.Keys(); !slices.Equal(got, []string{"a", "b", "empty"}) {
		t.Errorf("keys are %q", got)
	}
	for _, e := range entries {
		data, err := a.Data(e.Key)
		if err != nil || !bytes.Equal(data, e.Data) || !slices.Equal(a.Attributes(e.Key), e.Attributes) {
			t.Errorf("%s: %d bytes, %q, %v", e.Key, len(data), a.Attributes(e.Key), err)
		}
	}
	if data, err := a.Data("none"); data != nil || err != nil || a.Has("none") {
		t.Errorf("an entry that is not there: %q %v", data, err)
	}
	if _, err := Write([]Entry{{Key: "a"}, {Key: "a"}}); err == nil {
		t.Error("a key may occur twice")
	}
}

// A damaged file gives errors, never a panic.
func TestDamaged(t *testing.T) {
	file, err := Write([]Entry{{Key: "key", Attributes: []string{"a"}, Data: []byte("some data, some data")}})
	if err != nil {
		t.Fatal(err)
	}
	for n := range file {
		if data, err := Open(string(file[:n])).Data("key"); n > 0 && err == nil && data != nil {
			t.Errorf("cut to %d bytes: no error", n)
		}
		changed := slices.Clone(file)
		changed[n] ^= 0xff
		Open(string(changed)).Data("key")
	}
	if _, err := SplitTexts([]byte{3, 1}); err == nil {
		t.Error("a list that is cut off gives no error")
	}
}

func TestTexts(t *testing.T) {
	for _, want := range [][]string{nil, {""}, {"a", "", "ü\n"}} {
		if got, err := SplitTexts(Texts(want)); err != nil || !slices.Equal(got, want) {
			t.Errorf("got %q (%v), want %q", got, err, want)
		}
	}
}
