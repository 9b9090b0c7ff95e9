package jsonlines

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
)

// plain turns members into a map, as encoding/json has objects.
func plain(v any) any {
	switch v := v.(type) {
	case members:
		m := map[string]any{}
		for _, e := range v {
			m[e.name] = plain(e.value)
		}
		return m
	case []any:
		for i := range v {
			v[i] = plain(v[i])
		}
	}
	return v
}

// random writes a value of JSON with blanks where they may stand.
func random(r *rand.Rand, depth int) string {
	texts := []string{"a", "", "°C", `\"`, `\\`, `\u00e9\ud83d\ude00`, `a,b:[]{}`, "\xff", `\n\/`, `\ud800`}
	blank := func() string { return []string{"", " ", "\n\t", "\r\n "}[r.IntN(4)] }
	name := func() string { return fmt.Sprintf(`"%d%s"`, r.IntN(1e6), texts[r.IntN(len(texts))]) }
	switch n := r.IntN(9); {
	case n < 3 && depth < 6:
		var parts []string
		for range r.IntN(5) {
			parts = append(parts, blank()+name()+blank()+":"+random(r, depth+1))
		}
		return blank() + "{" + strings.Join(parts, ",") + blank() + "}" + blank()
	case n < 5 && depth < 6:
		var parts []string
		for range r.IntN(5) {
			parts = append(parts, random(r, depth+1))
		}
		return blank() + "[" + strings.Join(parts, ",") + blank() + "]" + blank()
	case n < 7:
		return blank() + []string{"0", "-1.5", "1e-3", "23.45", "1700000000000", "-0", "1E+308"}[r.IntN(7)] + blank()
	case n == 7:
		return blank() + []string{"true", "false", "null"}[r.IntN(3)] + blank()
	}
	return blank() + name() + blank()
}

// The scanner reads what encoding/json reads, which is outside the project, and
// refuses what it refuses.
func TestScannerBesideTheStandardLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 12))
	for range 20_000 {
		text := []byte(random(r, 0))
		if r.IntN(10) == 0 && len(text) > 1 { // damaged
			text[r.IntN(len(text))] = `{}[]",:x0 `[r.IntN(10)]
		}
		d := json.NewDecoder(bytes.NewReader(text))
		d.UseNumber()
		var want any
		valid := d.Decode(&want) == nil && json.Valid(text)
		got, err := value(text)
		if valid != (err == nil) {
			t.Fatalf("%s: %v, valid %v", text, err, valid)
		}
		if got = plain(got); valid && !reflect.DeepEqual(got, want) {
			t.Fatalf("%s:\n%#v, want\n%#v", text, got, want)
		}
	}
	if _, err := value([]byte(strings.Repeat("[", 40) + strings.Repeat("]", 40))); err == nil {
		t.Error("forty lists in each other are read")
	}
	if v, err := whole([]byte("{} \n[1]\n2")); err != nil || len(v.([]any)) != 3 {
		t.Errorf("%v, %v", v, err)
	}
}

func BenchmarkValue(b *testing.B) {
	line := []byte(`{"time":"2026-05-13T09:00:00Z","gps":{"lat":46.512,"lon":7.31},"intake (°C)":23.5,"bay (°C)":41.25}`)
	b.SetBytes(int64(len(line)))
	for b.Loop() {
		if _, err := value(line); err != nil {
			b.Fatal(err)
		}
	}
}
