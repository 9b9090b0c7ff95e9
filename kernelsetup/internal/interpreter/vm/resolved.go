package vm

import "weak"

// resolved are the places of calls through interfaces that remember what the
// last call led to. The machine's lock guards it.
type resolved struct {
	sites []weak.Pointer[site]
	check int // how many sites are worth a look for those that are gone
	// turn counts how often all were forgotten: what was found before is old.
	turn int
}

// note enters a site that remembers something, for the first time since all
// were forgotten.
func (r *resolved) note(s *site) {
	if len(r.sites) >= max(r.check, 64) {
		alive := r.sites[:0]
		for _, w := range r.sites {
			if w.Value() != nil {
				alive = append(alive, w)
			}
		}
		clear(r.sites[len(alive):])
		r.sites, r.check = alive, 2*len(alive)
	}
	r.sites = append(r.sites, weak.Make(s))
}

// forget makes all sites look up their methods anew.
func (r *resolved) forget() {
	for _, w := range r.sites {
		if s := w.Value(); s != nil {
			s.cache.Store(nil)
		}
	}
	r.sites, r.check, r.turn = nil, 0, r.turn+1
}
