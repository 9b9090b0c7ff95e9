package equality

import "testing"

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
