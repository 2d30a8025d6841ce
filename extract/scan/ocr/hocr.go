package ocr

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image"
	"io"
	"strconv"
	"strings"
)

// word is the characters of one word of an answer.
type word []Char

// parse reads an hOCR answer with boxes of characters: the words of each page.
func parse(answer []byte) (pages [][]word, err error) {
	d := xml.NewDecoder(bytes.NewReader(answer))
	d.Strict = false // a named entity in it is no reason to fail
	d.Entity = xml.HTMLEntity
	ended := false
	for {
		t, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, err
		}
		if end, ok := t.(xml.EndElement); ok && end.Name.Local == "html" {
			ended = true
		}
		start, ok := t.(xml.StartElement)
		if !ok {
			continue
		}
		class, title := "", ""
		for _, a := range start.Attr {
			switch a.Name.Local {
			case "class":
				class = a.Value
			case "title":
				title = a.Value
			}
		}
		switch class {
		case "ocr_page":
			pages = append(pages, nil)
		case "ocrx_word":
			if len(pages) == 0 {
				return nil, errors.New("a word stands before the first page")
			}
			p := len(pages) - 1
			pages[p] = append(pages[p], nil)
		case "ocrx_cinfo":
			if len(pages) == 0 || len(pages[len(pages)-1]) == 0 {
				return nil, errors.New("a character stands outside a word")
			}
			c, err := character(title)
			if err != nil {
				return nil, err
			}
			if err := d.DecodeElement(&c.Text, &start); err != nil {
				return nil, err
			}
			words := pages[len(pages)-1]
			if c.Text = strings.TrimSpace(c.Text); c.Text != "" {
				words[len(words)-1] = append(words[len(words)-1], c)
			}
		}
	}
	if !ended {
		return nil, errors.New("it ends early: want </html>")
	}
	return pages, nil
}

// character reads "x_bboxes 10 20 30 40; x_conf 98.5".
func character(title string) (Char, error) {
	var c Char
	box, conf := false, false
	for part := range strings.SplitSeq(title, ";") {
		f := strings.Fields(part)
		switch {
		case len(f) == 5 && f[0] == "x_bboxes":
			var n [4]int
			for i := range n {
				v, err := strconv.Atoi(f[i+1])
				if err != nil {
					return c, fmt.Errorf("%q is not a number of pixels", f[i+1])
				}
				n[i] = v
			}
			c.Box = image.Rect(n[0], n[1], n[2], n[3])
			box = true
		case len(f) == 2 && f[0] == "x_conf":
			v, err := strconv.ParseFloat(f[1], 64)
			if err != nil {
				return c, fmt.Errorf("%q is not a confidence", f[1])
			}
			c.Confidence = min(max(v/100, 0), 1)
			conf = true
		}
	}
	if !box || !conf {
		return c, fmt.Errorf("character %q: want x_bboxes and x_conf", title)
	}
	return c, nil
}
