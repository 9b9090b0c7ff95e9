package notebook

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"regexp"
)

// PNG is an encoded PNG picture.
type PNG []byte

// Display returns the picture; its plain form tells its size.
func (p PNG) Display() Bundle {
	c, err := png.DecodeConfig(bytes.NewReader(p))
	if err != nil {
		return TextBundle("not a PNG picture: " + err.Error())
	}
	return Bundle{MIMEText: pictureText(c.Width, c.Height), MIMEPNG: []byte(p)}
}

// SVG is a picture as an SVG document.
type SVG string

var svgTitle = regexp.MustCompile(`(?s)<title>(.*?)</title>`)

// Display returns the picture; its plain form is its title, if it has one.
func (s SVG) Display() Bundle {
	text := "picture"
	if m := svgTitle.FindStringSubmatch(string(s)); m != nil {
		text += ": " + withoutTags(m[1])
	}
	return Bundle{MIMEText: text, MIMESVG: string(s)}
}

// Image returns a picture as PNG.
func Image(m image.Image) PNG {
	var buf bytes.Buffer
	if m == nil || png.Encode(&buf, m) != nil {
		return nil
	}
	return buf.Bytes()
}

// formatImage shows a picture; one without pixels, which PNG does not know, is
// told in words.
func formatImage(m image.Image) Bundle {
	if size := m.Bounds().Size(); size.X <= 0 || size.Y <= 0 {
		return TextBundle(pictureText(max(size.X, 0), max(size.Y, 0)))
	}
	return Image(m).Display()
}

func pictureText(w, h int) string { return fmt.Sprintf("picture, %d × %d pixels", w, h) }
