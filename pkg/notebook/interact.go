package notebook

import (
	"fmt"
	"html"
)

// Interact shows controls and, below them, what draw returns; whenever a
// control changes, draw runs again and its picture is replaced. An error that
// draw returns, or its panic after a change, takes the picture's place until
// the next change. Without live controls the picture for the initial values
// stays. A page that is loaded anew while the kernel lives has the picture for
// its controls below them.
//
// Make the controls in the same cell: one that lives longer than the cell's
// output keeps redrawing for each time the cell has run.
func Interact(draw func() any, controls ...Control) {
	for _, c := range controls {
		if b := c.Display(); !isNothing(b) {
			sink().Display(b, "")
		}
	}
	p := newPicture()
	p.show()
	first := form(orTrouble(draw()))
	shown := ShowLive(first)
	p.drawn(first)
	for _, c := range controls {
		c.onChange(func() { redraw(shown, p, draw) })
	}
}

// redraw replaces the picture. The reader who moved the control looks there,
// so that is where it says what went wrong. A panic in a cell's function may
// also end the goroutine without being recovered.
func redraw(shown Handle, p *picture, draw func() any) {
	replace := func(value any) {
		b := form(value)
		shown.Update(b)
		p.drawn(b)
	}
	done := false
	defer func() {
		switch r := recover(); {
		case r != nil:
			replace(wrong{"panic: ", r})
		case !done:
			replace(trouble("the function that draws this did not come to its end"))
		}
	}()
	value := draw()
	done = true
	replace(orTrouble(value))
}

// orTrouble shows an error as one.
func orTrouble(value any) any {
	if err, ok := value.(error); ok && !isNilPointer(value) {
		return wrong{"error: ", err}
	}
	return value
}

// wrong shows itself as trouble. Its words are made when it is shown: the
// value's own method may not be up to it.
type wrong struct {
	what  string
	value any
}

// Display makes wrong a Displayer.
func (w wrong) Display() Bundle { return trouble(w.what + fmt.Sprint(w.value)) }

func trouble(text string) Bundle {
	return Bundle{MIMEText: text,
		MIMEHTML: `<pre style="color:#b3261e;white-space:pre-wrap">` + html.EscapeString(text) + "</pre>"}
}
