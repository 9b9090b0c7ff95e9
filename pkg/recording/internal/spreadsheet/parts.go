package spreadsheet

import (
	"archive/zip"
	"encoding/xml"
	"io"
	"path"
	"strings"

	"github.com/xuri/excelize/v2"
)

// workbook is an opened book, with the parts of its sheets by their names: the
// library says what there is and how cells are shown, and rows as they are
// stored are read from the parts, more than twice as fast.
type workbook struct {
	*excelize.File
	sheets map[string]*zip.File
	shared []string
}

// findParts finds the parts of the sheets. Where something is not as expected
// there are none, and the library reads the rows.
func (b *workbook) findParts(z *zip.Reader) {
	b.sheets = map[string]*zip.File{}
	var book struct {
		Sheets []struct {
			Name  string     `xml:"name,attr"`
			Attrs []xml.Attr `xml:",any,attr"`
		} `xml:"sheets>sheet"`
	}
	var links struct {
		Links []struct {
			ID     string `xml:"Id,attr"`
			Target string `xml:"Target,attr"`
			Type   string `xml:"Type,attr"`
		} `xml:"Relationship"`
	}
	const root = "xl/workbook.xml"
	if !decode(z, root, &book) || !decode(z, "xl/_rels/workbook.xml.rels", &links) {
		return
	}
	files := map[string]*zip.File{}
	for _, f := range z.File {
		files[strings.ToLower(f.Name)] = f
	}
	part := func(target string) *zip.File {
		name := path.Join("xl", target)
		if strings.HasPrefix(target, "/") {
			name = strings.TrimPrefix(target, "/")
		}
		return files[strings.ToLower(name)]
	}
	targets := map[string]*zip.File{}
	var texts *zip.File
	for _, l := range links.Links {
		targets[l.ID] = part(l.Target)
		if strings.HasSuffix(l.Type, "/sharedStrings") {
			texts = part(l.Target)
		}
	}
	if texts != nil {
		r, err := texts.Open()
		if err != nil {
			return
		}
		defer r.Close()
		if b.shared, err = sharedTexts(io.LimitReader(r, maxUnpacked)); err != nil {
			return
		}
	}
	for _, s := range book.Sheets {
		for _, a := range s.Attrs {
			if f := targets[a.Value]; a.Name.Local == "id" && f != nil {
				b.sheets[s.Name] = f
			}
		}
	}
}

// decode reads a small part of the archive.
func decode(z *zip.Reader, name string, into any) bool {
	f, err := z.Open(name)
	if err != nil {
		return false
	}
	defer f.Close()
	return xml.NewDecoder(io.LimitReader(f, 16<<20)).Decode(into) == nil
}
