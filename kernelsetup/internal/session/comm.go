package session

import (
	"encoding/json"
	"sync"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/protocol"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// comms holds the open channels between cells and things in the front end.
type comms struct {
	k    *Kernel
	mu   sync.Mutex
	open map[string]*comm
	// oldWidgets is set when the front end asked for the widgets' version as
	// the first generation of them does; it shows a widget when it is told to
	// on the widget's own channel.
	oldWidgets bool
}

type comm struct {
	id, target string
	// receive takes the front end's messages; nil: a cell does.
	receive func(json.RawMessage)
	all     *comms
	// state is the model a widget channel keeps in step, for front ends that
	// join later.
	state map[string]json.RawMessage
	// waiting is what the page is told while a message has to wait; told are
	// the messages for which it was.
	waiting waiting
	told    map[*protocol.Message]bool
}

// waiting holds states for the model of another channel: while a message of the
// front end waits for the cell that runs, and once it was taken.
type waiting struct {
	Comm          string `json:"comm"`
	During, After json.RawMessage
}

func newComms(k *Kernel) *comms { return &comms{k: k, open: map[string]*comm{}} }

// commContent is the content of comm_open, comm_msg and comm_close.
type commContent struct {
	ID     string          `json:"comm_id"`
	Target string          `json:"target_name,omitempty"`
	Data   json.RawMessage `json:"data"`
}

const (
	targetWidget        = "jupyter.widget"
	targetWidgetVersion = "jupyter.widget.version"
	targetWidgetControl = "jupyter.widget.control"
)

// OpenComm opens a cell's channel to the front end.
func (h host) OpenComm(id, target string, data, metadata json.RawMessage) error {
	c := &comm{id: id, target: target, all: h.k.comms, told: map[*protocol.Message]bool{}}
	var about struct {
		Waiting waiting `json:"while_waiting"`
	}
	json.Unmarshal(metadata, &about) // what is none has none
	c.waiting = about.Waiting
	c.keep(data)
	c.all.add(c)
	return h.k.sendComm("comm_open", commContent{ID: id, Target: target, Data: data}, metadata)
}

// SendComm sends what a cell has to say on its channel.
func (h host) SendComm(id string, data json.RawMessage) error {
	if c := h.k.comms.get(id); c != nil {
		c.keep(data)
	}
	return h.k.sendComm("comm_msg", commContent{ID: id, Data: data}, nil)
}

// CloseComm closes a cell's channel.
func (h host) CloseComm(id string) error {
	h.k.comms.remove(id)
	return h.k.sendComm("comm_close", commContent{ID: id}, nil)
}

func (k *Kernel) sendComm(kind string, content commContent, metadata json.RawMessage) error {
	if len(content.Data) == 0 {
		content.Data = json.RawMessage("{}")
	}
	m, err := k.endpoint.Author.New(kind, k.current(), content)
	if err != nil {
		return err
	}
	if len(metadata) > 0 && string(metadata) != "null" {
		m.Metadata = metadata
	}
	m.Identities = [][]byte{[]byte("comm-" + content.ID)}
	k.endpoint.IOPub.Publish(m)
	return nil
}

// send sends a message of the kernel itself.
func (c *comm) send(data any) error {
	raw, err := json.Marshal(data)
	if err != nil {
		return err
	}
	c.keep(raw)
	return c.all.k.sendComm("comm_msg", commContent{ID: c.id, Data: raw}, nil)
}

// keep merges the state in a widget's message into what is known of it.
func (c *comm) keep(raw json.RawMessage) {
	if c.target != targetWidget {
		return
	}
	var m struct {
		State map[string]json.RawMessage `json:"state"`
	}
	if json.Unmarshal(raw, &m) != nil {
		return
	}
	c.all.mu.Lock()
	defer c.all.mu.Unlock()
	if c.state == nil {
		c.state = map[string]json.RawMessage{}
	}
	for key, v := range m.State {
		c.state[key] = v
	}
}

func (cs *comms) add(c *comm) {
	cs.mu.Lock()
	cs.open[c.id] = c
	cs.mu.Unlock()
}

func (cs *comms) remove(id string) *comm {
	cs.mu.Lock()
	defer cs.mu.Unlock()
	c := cs.open[id]
	delete(cs.open, id)
	return c
}

func (cs *comms) get(id string) *comm {
	cs.mu.Lock()
	defer cs.mu.Unlock()
	return cs.open[id]
}

// waits tells the page that a message on a control's channel waits, if cells are
// to end before.
func (k *Kernel) waits(m *protocol.Message) {
	if m.Header.Type != "comm_msg" || k.ahead.Load() == 0 {
		return
	}
	var content commContent
	if json.Unmarshal(m.Content, &content) != nil {
		return
	}
	c := k.comms.get(content.ID)
	if c == nil || c.waiting.Comm == "" {
		return
	}
	k.comms.mu.Lock()
	c.told[m] = true
	k.comms.mu.Unlock()
	k.label(c, c.waiting.During)
}

// taken takes back what waits told, once the last message that waited was taken.
func (k *Kernel) taken(c *comm, m *protocol.Message) {
	k.comms.mu.Lock()
	last := c.told[m] && len(c.told) == 1
	delete(c.told, m)
	k.comms.mu.Unlock()
	if last {
		k.label(c, c.waiting.After)
	}
}

// label sends a state to the model that tells whether messages on c wait. What
// later pages get is the state without.
func (k *Kernel) label(c *comm, state json.RawMessage) {
	data, err := json.Marshal(map[string]any{"method": "update", "state": state, "buffer_paths": []any{}})
	if err == nil {
		k.sendComm("comm_msg", commContent{ID: c.waiting.Comm, Data: data}, nil)
	}
}

// comm handles the three messages a front end may send.
func (k *Kernel) comm(m *protocol.Message) {
	var content commContent
	if json.Unmarshal(m.Content, &content) != nil || content.ID == "" {
		return
	}
	switch m.Header.Type {
	case "comm_open":
		k.commOpen(content)
	case "comm_close":
		k.comms.remove(content.ID)
	case "comm_msg":
		c := k.comms.get(content.ID)
		if c == nil {
			return
		}
		c.keep(content.Data)
		defer k.taken(c, m)
		if c.receive != nil {
			c.receive(content.Data)
			return
		}
		// A control's change runs code of a cell.
		ctx, finish := k.begin()
		defer finish()
		if failure := k.opt.Worker.Message(ctx, c.id, content.Data); failure != nil {
			k.publish(m, "error", map[string]any{
				"ename": failure.Name, "evalue": failure.Value, "traceback": failure.Traceback})
		}
	}
}

// commOpen accepts the channels by which widgets' front ends introduce
// themselves, and closes all others at once, as the protocol asks.
func (k *Kernel) commOpen(content commContent) {
	c := &comm{id: content.ID, target: content.Target, all: k.comms}
	switch content.Target {
	case targetWidgetVersion:
		k.comms.mu.Lock()
		k.comms.oldWidgets = true
		k.comms.mu.Unlock()
		c.receive = func(json.RawMessage) {}
		k.comms.add(c)
		c.send(map[string]string{"version": "*"})
	case targetWidgetControl:
		c.receive = func(json.RawMessage) {
			k.joined()
			c.send(k.comms.states())
		}
		k.comms.add(c)
	default:
		k.sendComm("comm_close", commContent{ID: content.ID}, nil)
	}
}

// joined tells all controls that a front end joins late: a page that was loaded
// anew, which knows nothing of outputs that are to be replaced.
func (k *Kernel) joined() {
	k.comms.mu.Lock()
	var all []string
	for id, c := range k.comms.open {
		if c.target == targetWidget {
			all = append(all, id)
		}
	}
	k.comms.mu.Unlock()
	ctx, finish := k.begin()
	defer finish()
	for _, id := range all {
		// A control's own failure to answer leaves its state as it was.
		k.opt.Worker.Message(ctx, id, json.RawMessage(`{"method":"joined"}`))
	}
}

// states answers a front end that joins late with all models there are.
func (cs *comms) states() map[string]any {
	cs.mu.Lock()
	defer cs.mu.Unlock()
	states := map[string]any{}
	for id, c := range cs.open {
		if c.target != targetWidget {
			continue
		}
		state := map[string]json.RawMessage{}
		for key, v := range c.state {
			state[key] = v
		}
		states[id] = map[string]any{
			"model_name":           state["_model_name"],
			"model_module":         state["_model_module"],
			"model_module_version": state["_model_module_version"],
			"state":                state,
		}
	}
	return map[string]any{"method": "update_states", "states": states, "buffer_paths": []any{}}
}

func (k *Kernel) commInfo(m *protocol.Message) {
	var want struct {
		Target string `json:"target_name"`
	}
	json.Unmarshal(m.Content, &want)
	open := map[string]any{}
	k.comms.mu.Lock()
	for id, c := range k.comms.open {
		if want.Target == "" || want.Target == c.target {
			open[id] = map[string]string{"target_name": c.target}
		}
	}
	k.comms.mu.Unlock()
	k.reply(k.endpoint.Shell, m, "comm_info_reply", map[string]any{"status": "ok", "comms": open})
}

// showOldWidget tells a first-generation widget to show itself below the cell
// that displays it, and reports whether there was one.
func (k *Kernel) showOldWidget(b notebook.Bundle) bool {
	form, ok := b[notebook.MIMEWidget]
	if !ok {
		return false
	}
	var view struct {
		ID string `json:"model_id"`
	}
	if raw, err := json.Marshal(form); err != nil || json.Unmarshal(raw, &view) != nil {
		return false
	}
	id := view.ID
	k.comms.mu.Lock()
	old, c := k.comms.oldWidgets, k.comms.open[id]
	k.comms.mu.Unlock()
	return old && c != nil && c.send(map[string]string{"method": "display"}) == nil
}
