package nbformat

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
)

// copyMark is the key of the metadata under which an executed copy holds the
// digest of its cells' sources.
const copyMark = "bonnetbook_executed_copy"

// MarkCopy notes in the notebook's metadata that it is a copy made by
// executing another one.
func (n *Notebook) MarkCopy() {
	meta, _ := n.raw["metadata"].(map[string]any)
	if meta == nil {
		meta = map[string]any{}
		n.raw["metadata"] = meta
	}
	meta[copyMark] = n.digest()
}

// UntouchedCopy reports whether the notebook was marked by MarkCopy and holds
// the same cells since, whatever their outputs: what a person added to a copy
// is the person's.
func (n *Notebook) UntouchedCopy() bool {
	meta, _ := n.raw["metadata"].(map[string]any)
	return meta[copyMark] == n.digest()
}

func (n *Notebook) unmark() {
	if meta, ok := n.raw["metadata"].(map[string]any); ok {
		delete(meta, copyMark)
	}
}

// digest is a fingerprint of the cells' kinds and sources.
func (n *Notebook) digest() string {
	h := sha256.New()
	for _, c := range n.Cells {
		fmt.Fprintf(h, "%q %q\n", c.Kind(), c.Source())
	}
	return hex.EncodeToString(h.Sum(nil))
}
