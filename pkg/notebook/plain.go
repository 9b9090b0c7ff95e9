package notebook

import (
	_ "embed"
	"html"
)

// plainScript shows a plain value where the control that it belongs to is not
// alive, and hides it elsewhere.
//
//go:embed plain.js
var plainScript string

// present shows a control: its label, its live form, and its value as text, which
// is what stays in a notebook that is opened without its kernel. It returns what
// is left to show: nothing, or where no control can live the text.
func present(c Control, own *control) Bundle {
	s, ok := sink().(CommSink)
	if !ok || c.open(s) != nil {
		return Bundle{MIMEText: c.words(), MIMEControl: own.mark()}
	}
	for _, model := range []*control{&own.label.control, own} {
		s.Display(Bundle{MIMEWidget: model.view()}, "")
	}
	shown := ShowLive(own.plainForm(c.words()))
	own.mu.Lock()
	first := own.plain == Handle{}
	own.plain = shown
	own.mu.Unlock()
	if first {
		c.onChange(func() {
			own.mu.Lock()
			shown := own.plain
			own.mu.Unlock()
			shown.Update(own.plainForm(c.words()))
		})
	}
	return TextBundle("")
}

func isNothing(b Bundle) bool { return len(b) == 0 || len(b) == 1 && b[MIMEText] == "" }

// mark says of a plain value whose it is.
func (c *control) mark() map[string]any { return map[string]any{"name": c.name} }

func (c *control) plainForm(text string) Bundle {
	return Bundle{MIMEText: text, MIMEControl: c.mark(),
		MIMEHTML: `<div class="bb-plain">` + html.EscapeString(text) + `</div><script>` + plainScript + `</script>`}
}
