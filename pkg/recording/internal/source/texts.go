package source

import (
	"bytes"
	"io"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
)

// FillTexts fetches the text of rejected lines that were only found out later.
func FillTexts(src *Source, a *account.Account) error {
	want := map[int]int{}
	for i, r := range a.Rejects {
		if r.Text == "" && len(want) < 10000 {
			want[r.Line] = i
		}
	}
	if len(want) == 0 {
		return nil
	}
	chunks := NewChunker(src.Reader(0), src.CR, 1)
	for line := 1; ; {
		ch, err := chunks.Next()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		if ch.Long {
			line++
			chunks.Free <- ch.Data
			continue
		}
		for rest := ch.Data; len(rest) > 0; line++ {
			text := rest
			if i := bytes.IndexByte(rest, '\n'); i >= 0 {
				text, rest = rest[:i], rest[i+1:]
			} else {
				rest = nil
			}
			if i, ok := want[line]; ok {
				a.Rejects[i].Text = cell.Excerpt(bytes.TrimRight(text, "\r"))
			}
		}
		chunks.Free <- ch.Data
	}
}
