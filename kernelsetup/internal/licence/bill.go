package licence

import (
	"encoding/json"
	"strings"
)

// The parts of a CycloneDX document that are used here.
type (
	bill struct {
		Format     string     `json:"bomFormat"`
		Spec       string     `json:"specVersion"`
		Version    int        `json:"version"`
		Metadata   metadata   `json:"metadata"`
		Components []material `json:"components"`
	}
	metadata struct {
		Component material `json:"component"`
	}
	material struct {
		Type     string   `json:"type"`
		Ref      string   `json:"bom-ref"`
		Name     string   `json:"name"`
		Version  string   `json:"version"`
		URL      string   `json:"purl,omitempty"`
		Licences []choice `json:"licenses,omitempty"`
	}
	choice struct {
		Expression string `json:"expression"`
	}
)

// Bill returns the bill of materials of a program of a version, built by a Go
// release such as "go1.26.8", from components: JSON as CycloneDX 1.5 has it
// (ECMA-424). It holds no time and no random number: the same program gives
// the same bill.
func Bill(components []Component, version, release string) ([]byte, error) {
	b := bill{Format: "CycloneDX", Spec: "1.5", Version: 1}
	for _, c := range components {
		m := material{Type: "library", Name: c.Path, Version: c.Version}
		if c.Kinds != "" {
			m.Licences = []choice{{c.Kinds}}
		}
		switch c.Path {
		case Program:
			m.Type, m.Version = "application", version
		case Go:
			m.Version = strings.TrimPrefix(release, "go")
		}
		m.URL = "pkg:golang/" + m.Name + "@" + m.Version
		m.Ref = m.URL
		if c.Path == Program {
			b.Metadata.Component = m
		} else {
			b.Components = append(b.Components, m)
		}
	}
	return json.MarshalIndent(b, "", "  ")
}
