package demo

import (
	"bytes"
	"math"
	"strings"
	"time"

	"github.com/go-pdf/fpdf"

	"windtally/extract"
)

// A letter page in points, and its margins.
const (
	pageWidth, pageHeight = 612.0, 792.0
	leftMargin            = 76.0
	rightMargin           = pageWidth - 76.0
	topMargin             = 78.0
	bottomMargin          = pageHeight - 84.0
	textWidth             = rightMargin - leftMargin
)

// sheet is a typesetter that knows where it is on the page. Lengths are points,
// y grows downwards, text stands on the baseline y.
type sheet struct {
	pdf    *fpdf.Fpdf
	family string
	size   float64 // of the text
	header string  // running head, from the second page on
	first  int     // number of the first page
	page   int     // as the file counts
	y      float64
}

func newSheet(family string, size float64, title, header string, first int, day time.Time) *sheet {
	p := fpdf.New("P", "pt", "Letter", "")
	p.SetCreationDate(day)
	p.SetModificationDate(day)
	p.SetCatalogSort(true)
	p.SetCompression(true)
	p.SetProducer("", false)
	p.SetTitle(title, false)
	p.SetAutoPageBreak(false, 0)
	p.SetMargins(leftMargin, topMargin, pageWidth-rightMargin)
	s := &sheet{pdf: p, family: family, size: size, header: header, first: first}
	s.newPage()
	return s
}

func (s *sheet) bytes() ([]byte, error) {
	var b bytes.Buffer
	if err := s.pdf.Output(&b); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func (s *sheet) newPage() {
	s.pdf.AddPage()
	s.page++
	s.y = topMargin
	number := figure(float64(s.first+s.page-1), 0)
	if s.page == 1 {
		s.centred(number, "", 9, pageWidth/2, pageHeight-50)
		return
	}
	s.centred(s.header, "", 8.5, pageWidth/2, 52)
	x := rightMargin - s.width(number, "", 9)
	if (s.first+s.page-1)%2 == 0 {
		x = leftMargin
	}
	s.put(number, "", 9, x, 52)
}

// latin turns text into the code page of the core fonts.
var latin = strings.NewReplacer("—", "\x97", "–", "\x96", "°", "\xb0", "’", "\x92", "“", "\x93", "”", "\x94", "½", "\xbd", "†", "\x86")

// piece is a run of letters of one size; a subscript stands lower and is smaller.
type piece struct {
	text       string
	size, drop float64
}

// pieces splits at "_": the letters after it are a subscript.
func pieces(text string, size float64) []piece {
	var list []piece
	for i, part := range strings.Split(text, "_") {
		if i == 0 {
			list = append(list, piece{part, size, 0})
			continue
		}
		n := 0
		for n < len(part) && (part[n] >= 'a' && part[n] <= 'z' || part[n] >= 'A' && part[n] <= 'Z') {
			n++
		}
		list = append(list, piece{part[:n], size * 0.72, size * 0.2}, piece{part[n:], size, 0})
	}
	return list
}

func (s *sheet) width(text, style string, size float64) float64 {
	w := 0.0
	for _, p := range pieces(text, size) {
		s.pdf.SetFont(s.family, style, p.size)
		w += s.pdf.GetStringWidth(latin.Replace(p.text))
	}
	return w
}

func (s *sheet) put(text, style string, size, x, y float64) {
	for _, p := range pieces(text, size) {
		if p.text == "" {
			continue
		}
		code := latin.Replace(p.text)
		s.pdf.SetFont(s.family, style, p.size)
		s.pdf.Text(x, y+p.drop, code)
		x += s.pdf.GetStringWidth(code)
	}
}

func (s *sheet) centred(text, style string, size, x, y float64) {
	s.put(text, style, size, x-s.width(text, style, size)/2, y)
}

func (s *sheet) rule(x0, x1, y, width float64) {
	s.pdf.SetLineWidth(width)
	s.pdf.Line(x0, y, x1, y)
}

// wrap breaks text into lines of at most width.
func (s *sheet) wrap(text, style string, size, width, indent float64) [][]string {
	var lines [][]string
	var line []string
	room := width - indent
	space := s.width(" ", style, size)
	for _, w := range strings.Fields(text) {
		need := s.width(w, style, size)
		if len(line) > 0 && room-space < need {
			lines, line, room = append(lines, line), nil, width
		}
		if len(line) > 0 {
			room -= space
		}
		line = append(line, w)
		room -= need
	}
	return append(lines, line)
}

// paragraph sets text, justified but for a typewriter's.
func (s *sheet) paragraph(text string) {
	const lead = 1.28
	indent := 18.0
	lines := s.wrap(text, "", s.size, textWidth, indent)
	for i, line := range lines {
		x := leftMargin
		if i == 0 {
			x += indent
		}
		total := 0.0
		for _, w := range line {
			total += s.width(w, "", s.size)
		}
		space := s.width(" ", "", s.size)
		if i < len(lines)-1 && len(line) > 1 && s.family != "Courier" {
			space = (rightMargin - x - total) / float64(len(line)-1)
		}
		for _, w := range line {
			s.put(w, "", s.size, x, s.y)
			x += s.width(w, "", s.size) + space
		}
		s.y += s.size * lead
	}
	s.y += 3
}

func (s *sheet) heading(text string) {
	s.y += 6
	s.centred(text, "", s.size, pageWidth/2, s.y)
	s.y += s.size * 1.7
}

func (s *sheet) line(text, style string, size, after float64) {
	s.centred(text, style, size, pageWidth/2, s.y)
	s.y += after
}

// letterhead begins a report of the laboratory.
func (s *sheet) letterhead(number string) {
	s.y += 14
	s.line("TARNHOLM AERODYNAMIC LABORATORY", "B", 16, 10)
	s.rule(pageWidth/2-150, pageWidth/2+150, s.y, 0.8)
	s.rule(pageWidth/2-150, pageWidth/2+150, s.y+2.5, 0.4)
	s.y += 28
	s.line(number, "B", 13, 30)
}

// column says how a column is set.
type column struct {
	width  float64
	head   []string // lines
	group  string   // head that spans neighbours with the same group
	label  bool     // set from the left, with leaders
	heavy  bool     // a rule at its left
	spoken string   // the head on one line, where it is not simply the lines joined
}

func (c column) headText() string {
	text := c.spoken
	if text == "" {
		text = strings.Join(c.head, " ")
		if c.group != "" {
			text = c.group + " " + text
		}
	}
	return strings.ReplaceAll(text, "_", "")
}

const (
	tableSize = 9.5
	captionUp = 11.0 // from one line of a caption to the next
)

// table sets a grid at x0, from s.y on, and records in t where it stands. It goes
// on over the page where the rows do not fit.
func (s *sheet) table(t *Truth, columns []column, x0 float64) {
	size := tableSize
	pitch := size * 1.3
	edges := []float64{x0}
	for i, c := range columns {
		edges = append(edges, edges[i]+c.width)
		t.Columns[i].Head = c.headText()
		t.Columns[i].X = []float64{round2(edges[i]), round2(edges[i+1])}
	}
	x1 := edges[len(columns)]
	points := s.points(t, columns, edges, size)

	top := s.y - captionUp
	box := extract.Rect{X0: x0 - 2, Y0: top, X1: x1 + 2}
	wide := s.caption(t.Caption, t.Governing, x0, x1)
	box.X0, box.X1 = math.Min(box.X0, wide.X0), math.Max(box.X1, wide.X1)
	heads := func() {
		s.rule(x0, x1, s.y, 0.5)
		s.rule(x0, x1, s.y+1.8, 0.5)
		s.y += 3
		s.heads(columns, edges, size)
		s.rule(x0, x1, s.y, 0.5)
		s.y += pitch
	}
	finish := func(ruleTop float64) {
		s.y += 5 - pitch
		s.rule(x0, x1, s.y, 0.5)
		for i, c := range columns {
			if c.heavy {
				s.pdf.SetLineWidth(0.4)
				s.pdf.Line(edges[i], ruleTop+1.8, edges[i], s.y)
			}
		}
	}
	leave := func() {
		box.Y1 = s.y + 3
		t.Pages = append(t.Pages, s.page)
		t.Regions = append(t.Regions, extract.Region{Page: s.page, Box: []float64{round2(box.X0), round2(box.Y0), round2(box.X1), round2(box.Y1)}})
	}
	ruleTop := s.y
	heads()
	for i := range t.Rows {
		if s.y > bottomMargin-2 {
			finish(ruleTop)
			leave()
			s.newPage()
			s.y += captionUp
			box = extract.Rect{X0: x0 - 2, Y0: s.y - captionUp, X1: x1 + 2}
			wide := s.caption("TABLE "+t.Number+".—Concluded", "", x0, x1)
			box.X0, box.X1 = math.Min(box.X0, wide.X0), math.Max(box.X1, wide.X1)
			ruleTop = s.y
			heads()
		}
		t.Rows[i].Page = s.page
		for k, c := range columns {
			text := t.Rows[i].Cells[k]
			if c.label {
				s.put(text, "", size, edges[k]+3, s.y)
				s.leaders(edges[k]+3+s.width(text, "", size), edges[k+1]-4, size)
				continue
			}
			whole, _ := split(text)
			s.put(text, "", size, points[k]-s.width(whole, "", size), s.y)
		}
		s.y += pitch
		if i%5 == 4 && i < len(t.Rows)-1 && len(t.Rows) > 10 {
			s.y += 3 // a little white after five rows, as tables of the time have
		}
	}
	finish(ruleTop)
	for _, n := range t.Notes {
		s.y += 10
		s.put(n, "", 8, x0+8, s.y)
		box.X1 = math.Max(box.X1, x0+10+s.width(n, "", 8))
	}
	leave()
	s.y += 26
}

// split parts a figure before its point.
func split(text string) (whole, rest string) {
	if i := strings.IndexByte(text, '.'); i >= 0 {
		return text[:i], text[i:]
	}
	if whole, ok := strings.CutSuffix(text, "*"); ok {
		return whole, "*"
	}
	return text, ""
}

// points finds where the decimal points of each column stand, so that the figures
// are in the middle of the column.
func (s *sheet) points(t *Truth, columns []column, edges []float64, size float64) []float64 {
	list := make([]float64, len(columns))
	for k := range columns {
		before, after := 0.0, 0.0
		for _, r := range t.Rows {
			whole, rest := split(r.Cells[k])
			before = math.Max(before, s.width(whole, "", size))
			after = math.Max(after, s.width(rest, "", size))
		}
		list[k] = (edges[k]+edges[k+1]-before-after)/2 + before
	}
	return list
}

// leaders sets dots between two abscissae.
func (s *sheet) leaders(x0, x1, size float64) {
	dot := s.width(".", "", size)
	gap := 4.0
	n := int((x1 - x0 - gap) / dot)
	if n < 3 {
		return
	}
	s.put(strings.Repeat(".", n), "", size, x1-float64(n)*dot, s.y)
}

// caption sets the caption and the bracketed line under it, centred over the table.
func (s *sheet) caption(caption, governing string, x0, x1 float64) extract.Rect {
	mid := (x0 + x1) / 2
	room := 2 * math.Min(mid-leftMargin+6, rightMargin+6-mid)
	if x1-x0 < 240 {
		room = x1 - x0 + 6 // tables side by side keep to their own side
	}
	box := extract.Rect{X0: x0, X1: x1}
	set := func(text string, size float64) {
		for _, words := range s.wrap(text, "", size, room, 0) {
			line := strings.Join(words, " ")
			w := s.width(line, "", size)
			box.X0, box.X1 = math.Min(box.X0, mid-w/2-2), math.Max(box.X1, mid+w/2+2)
			s.centred(line, "", size, mid, s.y)
			s.y += captionUp
		}
	}
	set(caption, 9.5)
	if governing != "" {
		s.y += 1
		set(governing, 8.5)
	}
	s.y -= 4
	return box
}

// heads sets the heads, the lines of each from the bottom up, under heads that span.
func (s *sheet) heads(columns []column, edges []float64, size float64) {
	const lead = 10.5
	size -= 0.5
	lines, spans := 0, false
	for _, c := range columns {
		lines = max(lines, len(c.head))
		spans = spans || c.group != ""
	}
	top := s.y
	if spans {
		s.y += lead
		for i := 0; i < len(columns); {
			j := i + 1
			for j < len(columns) && columns[j].group == columns[i].group {
				j++
			}
			if columns[i].group != "" {
				s.centred(columns[i].group, "", size, (edges[i]+edges[j])/2, s.y)
				s.rule(edges[i]+4, edges[j]-4, s.y+4, 0.4)
			}
			i = j
		}
		s.y += 4
	}
	grouped := s.y
	s.y += lead * float64(lines)
	for i, c := range columns {
		from := grouped
		if c.group == "" {
			from = top
		}
		// In the middle of the room that the head has, as printers set it.
		y := from + (s.y-from-lead*float64(len(c.head)))/2
		for _, l := range c.head {
			y += lead
			s.centred(l, "", size, (edges[i]+edges[i+1])/2, y-1)
		}
	}
	s.y += 4
}

// particulars sets a list: label, leaders, figure, and the unit where it has a
// column of its own.
func (s *sheet) particulars(t *Truth, x0, labelWidth, valueWidth, unitWidth float64) {
	size := tableSize
	pitch := size * 1.42
	edges := []float64{x0, x0 + labelWidth, x0 + labelWidth + valueWidth, x0 + labelWidth + valueWidth + unitWidth}
	for i := range t.Columns {
		t.Columns[i].X = []float64{round2(edges[i]), round2(edges[i+1])}
	}
	x1 := edges[len(t.Columns)]
	top := s.y - captionUp
	box := s.caption(t.Caption, t.Governing, x0, x1)
	s.rule(x0, x1, s.y, 0.5)
	s.rule(x0, x1, s.y+1.8, 0.5)
	s.y += pitch + 1
	for i := range t.Rows {
		c := t.Rows[i].Cells
		t.Rows[i].Page = s.page
		s.put(c[0], "", size, edges[0]+2, s.y)
		s.leaders(edges[0]+2+s.width(c[0], "", size), edges[1]-2, size)
		s.put(c[1], "", size, edges[2]-4-s.width(c[1], "", size), s.y)
		if unitWidth > 0 {
			s.put(c[2], "", size, edges[2]+6, s.y)
		}
		s.y += pitch
	}
	s.y += 4 - pitch
	s.rule(x0, x1, s.y, 0.5)
	for _, n := range t.Notes {
		s.y += 10
		s.put(n, "", 8, x0+8, s.y)
		box.X1 = math.Max(box.X1, x0+10+s.width(n, "", 8))
	}
	t.Pages = append(t.Pages, s.page)
	t.Regions = append(t.Regions, extract.Region{Page: s.page, Box: []float64{round2(box.X0 - 2), round2(top), round2(box.X1 + 2), round2(s.y + 3)}})
	s.y += 26
}

func round2(v float64) float64 { return math.Round(v*100) / 100 }
