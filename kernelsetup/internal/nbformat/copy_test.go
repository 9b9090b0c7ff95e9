package nbformat

import "testing"

// A copy stays ours whatever its outputs; what a person writes into it, or a
// notebook that was made from it by stripping, is not.
func TestUntouchedCopy(t *testing.T) {
	n := New()
	n.Cells = []*Cell{NewCell(Markdown, "# a"), NewCell(Code, "1 + 1")}
	if n.UntouchedCopy() {
		t.Error("a new notebook is taken for a copy")
	}
	n.MarkCopy()
	n.Cells[1].SetOutputs([]Output{{Kind: Stream, Name: "stdout", Text: "x"}})
	again, err := n.Clone()
	if err != nil || !n.UntouchedCopy() || !again.UntouchedCopy() {
		t.Errorf("the mark is lost: %v", err)
	}
	for what, change := range map[string]func(*Notebook){
		"a changed cell": func(n *Notebook) { n.Cells[0].SetSource("# b") },
		"a new cell":     func(n *Notebook) { n.Cells = append(n.Cells, NewCell(Code, "")) },
		"a cell's kind":  func(n *Notebook) { n.Cells[0] = NewCell(Raw, "# a") },
		"stripped":       (*Notebook).StripOutputs,
	} {
		m, err := n.Clone()
		if err != nil {
			t.Fatal(err)
		}
		change(m)
		if m.UntouchedCopy() {
			t.Errorf("%s is not noticed", what)
		}
	}
}
