package equality

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// An outcome for one release is kept beside the one for all others, and only
// where it differs.
func TestOutcomesByRelease(t *testing.T) {
	const text = "=== a\nx\n>>>\nold\n>>> " + abi.Release + "\nnew" + "\n" + noNewline + ">>> 9.9\n!!! exit 2: panic: 1\n=== b\ny\n>>>\nsame\n=== c\nz\n>>>\n>>> 9.9\nx\n"
	f, err := parse(text)
	if err != nil {
		t.Fatal(err)
	}
	a, b := f.Programs[0], f.Programs[1]
	if a.Output != "new" || a.Failure != "" || b.Output != "same\n" {
		t.Errorf("read %+v and %+v", a.Outcome, b.Outcome)
	}
	if f.Text() != text {
		t.Errorf("written back:\n%s\nwant:\n%s", f.Text(), text)
	}
	if abi.Release != baseRelease {
		a.Record(Outcome{Output: "old\n"})
		if _, kept := a.outcomes[abi.Release]; kept {
			t.Error("an outcome that does not differ is kept")
		}
	}
}

func TestParse(t *testing.T) {
	const text = "# head\n=== a\nx := 1\n---\nfmt.Println(x)\n>>>\n1\n\n=== b\nfmt.Print(\"x\")\n>>>\nx\n" + noNewline + "=== c\npanic(1)\n>>>\n!!! exit 2: panic: 1\n=== d\nx\n>>>\n"
	f, err := parse(text)
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Programs) != 4 {
		t.Fatalf("%d programs", len(f.Programs))
	}
	a, b, c := f.Programs[0], f.Programs[1], f.Programs[2]
	if len(a.Cells) != 2 || a.Cells[1] != "fmt.Println(x)\n" || a.Output != "1\n\n" {
		t.Errorf("a is %+v", a)
	}
	if b.Output != "x" || c.Failure != "!!! exit 2: panic: 1" || c.Output != "" {
		t.Errorf("b is %+v, c is %+v", b, c)
	}
	if f.Text() != text {
		t.Errorf("written back:\n%s\nwant:\n%s", f.Text(), text)
	}
}
