package supervisor

import "encoding/json"

// SavedAfter names the cell at whose end the notebook was saved last.
func (s *Supervisor) SavedAfter() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	var head struct{ Interpreter struct{ After string } }
	if s.saved != nil {
		json.Unmarshal(s.saved.parts[0].([]byte), &head)
	}
	return head.Interpreter.After
}
