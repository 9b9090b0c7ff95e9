package session

import (
	"encoding/json"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/protocol"
)

// historyRequest is the content of a history_request.
type historyRequest struct {
	Output  bool   `json:"output"`
	Access  string `json:"hist_access_type"`
	Session int    `json:"session"`
	Start   int    `json:"start"`
	Stop    *int   `json:"stop"`
	N       int    `json:"n"`
	Pattern string `json:"pattern"`
	Unique  bool   `json:"unique"`
}

func (k *Kernel) historyRequest(m *protocol.Message) {
	var r historyRequest
	json.Unmarshal(m.Content, &r)
	rows := [][]any{}
	for _, e := range k.history.find(r.choose) {
		var text any = e.Source
		if r.Output {
			var output any
			if e.Output != "" {
				output = e.Output
			}
			text = []any{e.Source, output}
		}
		rows = append(rows, []any{e.Session, e.Line, text})
	}
	k.reply(k.endpoint.Shell, m, "history_reply", map[string]any{"status": "ok", "history": rows})
}

// choose picks the entries asked for, oldest first.
func (r historyRequest) choose(session int, all []entry) []entry {
	switch r.Access {
	case "range":
		return r.inRange(session, all)
	case "search":
		return last(r.matching(all), r.N)
	}
	return last(all, r.N)
}

// inRange takes cells Start to Stop, Stop excluded, of one session; a session
// of zero or less counts back from the present one.
func (r historyRequest) inRange(session int, all []entry) []entry {
	want := r.Session
	if want <= 0 {
		want += session
	}
	var found []entry
	for _, e := range all {
		if e.Session == want && e.Line >= r.Start && (r.Stop == nil || e.Line < *r.Stop) {
			found = append(found, e)
		}
	}
	return found
}

func (r historyRequest) matching(all []entry) []entry {
	pattern := r.Pattern
	if pattern == "" {
		pattern = "*"
	}
	var found []entry
	for _, e := range all {
		if glob(pattern, e.Source) {
			found = append(found, e)
		}
	}
	if !r.Unique {
		return found
	}
	// Of equal cells the last one stays.
	seen := map[string]bool{}
	unique := make([]entry, len(found))
	at := len(found)
	for i := len(found) - 1; i >= 0; i-- {
		if !seen[found[i].Source] {
			seen[found[i].Source] = true
			at--
			unique[at] = found[i]
		}
	}
	return unique[at:]
}

func last(list []entry, n int) []entry {
	if n <= 0 || n >= len(list) {
		return append([]entry(nil), list...)
	}
	return append([]entry(nil), list[len(list)-n:]...)
}

// glob matches the whole of s, lines and all: * is any text, ? any character,
// [ab] and [a-c] one of several, [^a] or [!a] any other.
func glob(pattern, s string) bool {
	p, t := []rune(pattern), []rune(s)
	star, mark := -1, 0
	i, j := 0, 0
	for j < len(t) {
		next, ok := 0, false
		if i < len(p) && p[i] != '*' {
			next, ok = matchOne(p[i:], t[j])
		}
		switch {
		case i < len(p) && p[i] == '*':
			star, mark = i, j
			i++
		case ok:
			i += next
			j++
		case star >= 0:
			mark++
			i, j = star+1, mark
		default:
			return false
		}
	}
	for i < len(p) && p[i] == '*' {
		i++
	}
	return i == len(p)
}

// matchOne matches one character against the beginning of p and returns how
// much of p that took. A bracket without its end stands for itself.
func matchOne(p []rune, c rune) (taken int, ok bool) {
	switch p[0] {
	case '?':
		return 1, true
	case '[':
		end := 2
		for end < len(p) && p[end] != ']' {
			end++
		}
		if end >= len(p) {
			break
		}
		set := p[1:end]
		negated := len(set) > 1 && (set[0] == '!' || set[0] == '^')
		if negated {
			set = set[1:]
		}
		return end + 1, inSet(set, c) != negated
	}
	return 1, p[0] == c
}

func inSet(set []rune, c rune) bool {
	for i := 0; i < len(set); i++ {
		if i+2 < len(set) && set[i+1] == '-' {
			if set[i] <= c && c <= set[i+2] {
				return true
			}
			i += 2
			continue
		}
		if set[i] == c {
			return true
		}
	}
	return false
}
