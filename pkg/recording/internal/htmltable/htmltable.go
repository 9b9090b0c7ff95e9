// Package htmltable reads tables in HTML, which some loggers' programs save
// under the name of a spreadsheet.
package htmltable

import (
	"bytes"
	"fmt"
	"io"
	"strconv"
	"strings"

	"golang.org/x/net/html"
	"golang.org/x/net/html/charset"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/sheet"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Format is a table in HTML.
var Format = format.Format{Name: layout.HTMLTable, Recognise: recognise, Read: read}

func recognise(src *source.Source) bool {
	head := src.Beginning(64 << 10)
	if !bytes.HasPrefix(head, []byte("<")) {
		return false
	}
	head = bytes.ToLower(head)
	return (bytes.Contains(head, []byte("<html")) || bytes.HasPrefix(head, []byte("<table"))) && bytes.Contains(head, []byte("<t"))
}

// mostTables bounds the tables of a page.
const mostTables = 255

func read(src *source.Source, how format.Request) (*table.Table, error) {
	src.UseMark()
	in := src.Reader(0)
	if src.Mark == 0 {
		decoded, err := charset.NewReader(in, "text/html")
		if err != nil {
			return nil, src.Fail("is HTML in an encoding that is not read here: "+err.Error(), "export the readings as .csv", account.ErrNotText)
		}
		in = decoded
	}
	p := &page{z: html.NewTokenizer(in)}
	p.z.SetMaxBuf(1 << 20)
	if err := p.read(); err != nil {
		return nil, src.Fail("can't be read as an HTML table: "+err.Error(), "export the readings as .csv", err)
	}
	return sheet.Read(src, p.tables, how, layout.HTMLTable, "only %s of the page was read; there are also %q")
}

// page collects the tables of a page. Tables within cells are taken for parts
// of the outer one.
type page struct {
	z      *html.Tokenizer
	tables []*sheet.Rows
	row    []string
	inRow  bool
	text   strings.Builder
	inCell bool
	span   int
}

func (p *page) read() error {
	for {
		kind := p.z.Next()
		switch kind {
		case html.ErrorToken:
			if err := p.z.Err(); err != io.EOF {
				return err
			}
			return p.endRow()
		case html.TextToken:
			if p.inCell && p.text.Len() < 4096 {
				p.text.Write(p.z.Text())
			}
			continue
		case html.StartTagToken, html.EndTagToken, html.SelfClosingTagToken:
		default:
			continue
		}
		name, attributes := p.z.TagName()
		if err := p.tag(string(name), kind == html.EndTagToken, attributes); err != nil {
			return err
		}
	}
}

func (p *page) tag(name string, end, attributes bool) error {
	switch name {
	case "table":
		if err := p.endRow(); err != nil {
			return err
		}
		if !end {
			if len(p.tables) == mostTables {
				return fmt.Errorf("it has more than %d tables: %w", mostTables, account.ErrLimit)
			}
			p.tables = append(p.tables, &sheet.Rows{Name: fmt.Sprintf("table %d", len(p.tables)+1)})
		}
	case "tr":
		if err := p.endRow(); err != nil {
			return err
		}
		p.inRow = !end
	case "td", "th":
		p.endCell()
		if !end {
			p.inCell, p.inRow, p.span = true, true, 1
			for attributes {
				var key, value []byte
				key, value, attributes = p.z.TagAttr()
				if n, err := strconv.Atoi(string(value)); err == nil && string(key) == "colspan" {
					p.span = max(1, min(n, cell.MaxColumns))
				}
			}
		}
	case "br":
		if p.inCell {
			p.text.WriteByte(' ')
		}
	}
	return nil
}

func (p *page) endCell() {
	if !p.inCell {
		return
	}
	// Text is escaped in the page, and broken where the writer liked.
	text := strings.Join(strings.Fields(html.UnescapeString(p.text.String())), " ")
	p.text.Reset()
	p.inCell = false
	for i := range p.span {
		if len(p.row) == cell.MaxColumns {
			return
		}
		if i > 0 {
			text = ""
		}
		p.row = append(p.row, text)
	}
}

func (p *page) endRow() error {
	p.endCell()
	if !p.inRow {
		return nil
	}
	p.inRow = false
	row := p.row
	p.row = nil
	if len(p.tables) == 0 {
		p.tables = append(p.tables, &sheet.Rows{Name: "table 1"})
	}
	return p.tables[len(p.tables)-1].Add(row)
}
