package live

import (
	"strings"
	"testing"
)

// On a dark page what was white has the paper's colour, be it the paper itself,
// the ground of words or the middle of a ring: no second rule says otherwise.
func TestWhiteIsPaper(t *testing.T) {
	rules := DarkRules(`<rect fill="#ffffff"/><path stroke="#ffffff"/><path fill="#0072b2" stroke="#0072b2"/>`)
	for _, what := range []string{"fill", "stroke"} {
		rule := `[` + what + `="#ffffff"]{`
		if n, right := strings.Count(rules, rule), strings.Count(rules, rule+what+":"+hex(DarkPaper)+"}"); n != 2 || right != 2 {
			t.Errorf("%s: %d rules, of them %d with the paper's colour: want 2 (by the person's settings, and where the page is dark)\n%s", what, n, right, rules)
		}
	}
}
