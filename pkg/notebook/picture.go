package notebook

// picture is what [Interact] drew, as a control: empty and unseen until a page is
// loaded anew. Such a page takes the controls over with what they hold, but knows
// nothing of the output that is to be replaced, and shows it as it was saved. From
// then on the picture stands here, too, and plain.js hides the older one; where no
// script runs, a note says that it may be older.
type picture struct {
	control
	last string // what was drawn, as a piece of a page
	late bool   // a page was loaded anew
}

const lateNote = `<div class="bb-late" style="margin-top:0.6em;font-style:italic">Drawn for the controls above. The page was loaded anew; what stands below may be older, until the cell runs again.</div>`

func newPicture() *picture {
	p := &picture{control: control{model: "HTML", state: map[string]any{"value": ""}}}
	p.joined = func() {
		p.late = true
		p.state["value"] = lateNote + p.last
	}
	return p
}

// show displays the picture where it can be taken over.
func (p *picture) show() {
	if s, ok := sink().(CommSink); ok && p.open(s) == nil {
		sink().Display(Bundle{MIMEWidget: p.view()}, "")
	}
}

// drawn takes what was drawn last.
func (p *picture) drawn(b Bundle) {
	p.mu.Lock()
	p.last = asHTML(b)
	send := p.late && p.comm != nil
	if p.late {
		p.state["value"] = lateNote + p.last
	}
	comm, value := p.comm, p.state["value"]
	p.mu.Unlock()
	if send {
		comm.Send(map[string]any{"method": "update", "state": map[string]any{"value": value}, "buffer_paths": []string{}})
	}
}
