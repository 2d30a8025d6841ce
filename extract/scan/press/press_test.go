package press

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"image"
	"image/png"
	"math"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"windtally/extract"
)

func fontsFor(t *testing.T) FontSource {
	t.Helper()
	fonts, err := Fonts()
	if err != nil {
		t.Fatalf("the founts of the made pages are needed: %v", err)
	}
	return fonts
}

func makePage(t *testing.T, s Spec) Page {
	t.Helper()
	p, err := Make(s, fontsFor(t))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func clean(kind, fount string, rows, columns int) Spec {
	return Spec{Name: "clean", Seed: 7, Fount: fount, DPI: 300, Design: Design{Kind: kind, Rows: rows, Columns: columns, Zero: ZeroAlways, Ruling: RulesNone, SubHeads: false, Size: 9.5, Pitch: 1.4}}
}

// Tesseract, a reader that knows nothing of the maker, must read on the picture what
// the truth says, at the place it says.
func TestTesseractReadsTheTruth(t *testing.T) {
	specs := []Spec{clean("slope", "schoolbook", 40, 8), clean("listing", "courier-prime", 40, 6), clean("stall", "didot", 40, 8)}
	specs[1].Design.Turn = 180 // given to tesseract turned back, by the places alone
	if _, err := exec.LookPath("tesseract"); err != nil {
		t.Skipf("not run: %d made pages read by tesseract, which is not installed (Debian package tesseract-ocr)", len(specs))
	}
	for _, s := range specs {
		p := makePage(t, s)
		im := p.Image.(*image.Gray)
		if s.Design.Turn == 180 {
			b := im.Bounds()
			up := image.NewGray(b)
			for i, v := range im.Pix {
				up.Pix[len(im.Pix)-1-i] = v
			}
			im = up
			for i := range p.Tables[0].Rows {
				for j := range p.Tables[0].Rows[i].Cells {
					c := &p.Tables[0].Rows[i].Cells[j]
					w, h := float64(b.Dx()), float64(b.Dy())
					c.Box = extract.Rect{X0: w - c.Box.X1, Y0: h - c.Box.Y1, X1: w - c.Box.X0, Y1: h - c.Box.Y0}
				}
			}
		}
		words := tesseract(t, im)
		right, all := 0, 0
		var wrong []string
		for _, row := range p.Tables[0].Rows {
			for _, c := range row.Cells {
				got := ""
				for _, w := range words {
					if c.Box.Contains(w.Box.MidX(), w.Box.MidY()) {
						got += w.Text
					}
				}
				got = strings.NewReplacer("−", "-", "–", "-", "—", "-").Replace(got)
				all++
				if got == c.Text {
					right++
				} else {
					wrong = append(wrong, fmt.Sprintf("%q read as %q", c.Text, got))
				}
			}
		}
		t.Logf("%s %s: tesseract reads %d of %d cells as the truth has them", s.Fount, s.Design.Kind, right, all)
		if right*100 < all*95 {
			t.Errorf("%s %s: tesseract reads %d of %d cells as the truth has them, want 95 in 100: %s", s.Fount, s.Design.Kind, right, all, strings.Join(wrong, ", "))
		}
	}
}

func tesseract(t *testing.T, im image.Image) []extract.Word {
	t.Helper()
	var in, out, msg bytes.Buffer
	if err := png.Encode(&in, im); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("tesseract", "-", "-", "--dpi", "300", "--psm", "6", "tsv")
	cmd.Env = append(cmd.Environ(), "OMP_THREAD_LIMIT=1")
	cmd.Stdin, cmd.Stdout, cmd.Stderr = &in, &out, &msg
	if err := cmd.Run(); err != nil {
		t.Fatalf("tesseract: %v: %s", err, msg.String())
	}
	var words []extract.Word
	for _, line := range strings.Split(out.String(), "\n") {
		f := strings.Split(line, "\t")
		if len(f) < 12 || f[0] != "5" {
			continue
		}
		var n [4]float64
		for i := range n {
			v, err := strconv.ParseFloat(f[6+i], 64)
			if err != nil {
				t.Fatalf("tesseract's line %q: %v", line, err)
			}
			n[i] = v
		}
		words = append(words, extract.Word{Text: strings.TrimSpace(f[11]), Box: extract.Rect{X0: n[0], Y0: n[1], X1: n[0] + n[2], Y1: n[1] + n[3]}})
	}
	return words
}

func digest(p Page) string {
	h := sha256.New()
	switch im := p.Image.(type) {
	case *image.Gray:
		h.Write(im.Pix)
	case *image.Paletted:
		h.Write(im.Pix)
	case *image.RGBA:
		h.Write(im.Pix)
	}
	p.Image = nil
	fmt.Fprintf(h, "%+v", p)
	return fmt.Sprintf("%x", h.Sum(nil))
}

func TestSamePageTwice(t *testing.T) {
	specs, err := Plan(HeldOut)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	n := 0
	for _, s := range specs {
		if s.DPI != 200 || s.Design.Kind == "slope" || seen[s.Kinds[1]] {
			continue
		}
		seen[s.Kinds[1]] = true
		a, b := digest(makePage(t, s)), digest(makePage(t, s))
		if a != b {
			t.Errorf("page %s made twice has digests %s and %s", s.Name, a, b)
		}
		s.Seed++
		if c := digest(makePage(t, s)); c == a {
			t.Errorf("page %s with another seed has the same digest %s", s.Name, c)
		}
		if n++; n == 4 {
			return
		}
	}
	t.Fatalf("%d pages compared, want 4", n)
}

// dark gives the ink of a pixel from 0 to 255.
func dark(im image.Image, x, y int) int {
	if !(image.Point{X: x, Y: y}).In(im.Bounds()) {
		return 0
	}
	r, g, b, _ := im.At(x, y).RGBA()
	return 255 - int((r+g+b)/3>>8)
}

// A cell's box is tight about its ink: ink stands within two pixels of each
// of the four sides, and none two pixels outside its ends.
func TestBoxesHoldTheInk(t *testing.T) {
	for _, turn := range []int{0, 90, 180, 270} {
		for _, fount := range []string{"century", "didot", "gnu-typewriter"} {
			s := clean("polar", fount, 15, 7)
			s.Design.Turn = turn
			s.Design.SubHeads = true
			s.Damage = Damage{RowSlope: 0.01, ColumnSlope: -0.015}
			p := makePage(t, s)
			cells := 0
			check := func(what string, b extract.Rect) {
				cells++
				x0, y0, x1, y1 := int(b.X0), int(b.Y0), int(b.X1), int(b.Y1)
				line := func(x0, y0, x1, y1 int) int {
					most := 0
					for y := y0; y <= y1; y++ {
						for x := x0; x <= x1; x++ {
							most = max(most, dark(p.Image, x, y))
						}
					}
					return most
				}
				for side, d := range map[string]int{"left": line(x0, y0, x0+1, y1-1), "right": line(x1-2, y0, x1-1, y1-1), "top": line(x0, y0, x1-1, y0+1), "bottom": line(x0, y1-2, x1-1, y1-1)} {
					if d < 40 {
						t.Errorf("%s turned %d: %s at %v: ink of %d at the %s side, want 40 or more", fount, turn, what, b, d, side)
					}
				}
				ends := max(line(x0-3, y0, x0-2, y1-1), line(x1+1, y0, x1+2, y1-1))
				if turn == 90 || turn == 270 {
					ends = max(line(x0, y0-3, x1-1, y0-2), line(x0, y1+1, x1-1, y1+2))
				}
				if ends > 40 {
					t.Errorf("%s turned %d: %s at %v: ink of %d outside", fount, turn, what, b, ends)
				}
			}
			for _, r := range p.Tables[0].Rows {
				for _, c := range r.Cells {
					check(fmt.Sprintf("%q", c.Text), c.Box)
				}
			}
			if cells != 15*7 {
				t.Errorf("%d cells, want 105", cells)
			}
			for _, g := range p.Tables[0].Givens {
				cells++
				if g.Box.Empty() || !strings.Contains(g.Words, "*") {
					t.Errorf("given %+v has no place or no * in its words", g)
				}
			}
			// Columns: every cell of a column stands within its bounds at mid-height.
			tb := p.Tables[0]
			for j, col := range tb.Columns {
				b := tb.Rows[7].Cells[j].Box
				lo, hi := b.X0, b.X1
				if turn == 90 || turn == 270 {
					lo, hi = b.Y0, b.Y1
				}
				if lo < col.X0 || hi > col.X1 {
					t.Errorf("%s turned %d: column %s from %.1f to %.1f does not hold its middle cell from %.1f to %.1f", fount, turn, col.Key, col.X0, col.X1, lo, hi)
				}
			}
		}
	}
}

// number reads a printed figure with its half-width.
func number(t *testing.T, s string) (v, half float64) {
	t.Helper()
	s = strings.ReplaceAll(s, ",", "")
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatalf("cell %q is not a number", s)
	}
	half = 0.5
	if i := strings.IndexByte(s, '.'); i >= 0 {
		half = 0.5 * math.Pow(10, -float64(len(s)-i-1))
	}
	return v, half
}

// The printed figures satisfy the relations of the quantities within their rounding:
// L/D = CL/CD, efficiency = (V/nD) CT/CP, and stalling speeds go with the root of the
// weight. From memory; all three are definitions or follow from the lift equation.
func TestRelationsHold(t *testing.T) {
	specs := 0
	for _, seed := range []uint64{1, 2, 3} {
		s := clean("polar", "times", 30, 6)
		s.Seed, s.Design.SubHeads, s.Design.SlideRule = seed, true, seed == 2
		for _, r := range makePage(t, s).Tables[0].Rows {
			cl, hl := number(t, r.Cells[1].Text)
			cd, hd := number(t, r.Cells[2].Text)
			ld, h := number(t, r.Cells[3].Text)
			slack := h + (hl+math.Abs(cl/cd)*hd)/(cd-hd)
			if math.Abs(ld-cl/cd) > slack*1.0001 {
				t.Errorf("row %s: CL %v over CD %v is %.4f, printed %v, more than %.4f away", r.Key, cl, cd, cl/cd, ld, slack)
			}
			specs++
		}
		s = clean("propeller", "times", 24, 6)
		s.Seed, s.Design.SubHeads = seed, true
		for _, r := range makePage(t, s).Tables[0].Rows {
			j, _ := number(t, r.Cells[0].Text)
			ct, ht := number(t, r.Cells[1].Text)
			cp, hp := number(t, r.Cells[2].Text)
			eta, h := number(t, r.Cells[3].Text)
			want := j * ct / cp
			// The advance ratio is exact as printed.
			slack := h + want*(ht/ct+hp/cp)*1.05
			if math.Abs(eta-want) > slack {
				t.Errorf("row %s: efficiency %v, from J, CT and CP %.4f, more than %.4f away", r.Key, eta, want, slack)
			}
			specs++
		}
		s = clean("stall", "times", 12, 6)
		s.Seed = seed
		rows := makePage(t, s).Tables[0].Rows
		w0, _ := number(t, rows[0].Cells[0].Text)
		for _, r := range rows {
			w, _ := number(t, r.Cells[0].Text)
			for j := 1; j < len(r.Cells); j++ {
				v0, _ := number(t, rows[0].Cells[j].Text)
				v, _ := number(t, r.Cells[j].Text)
				if want := v0 * math.Sqrt(w/w0); math.Abs(v-want) > 0.05+0.05*math.Sqrt(w/w0)+1e-9 {
					t.Errorf("weight %v: stalling speed %v, from that at %v %.2f", w, v, w0, want)
				}
				specs++
			}
		}
	}
	if specs < 300 {
		t.Errorf("%d relations checked, want 300", specs)
	}
}

func TestConventions(t *testing.T) {
	s := clean("slope", "century", 65, 8)
	s.Design.SubHeads, s.Design.Zero = true, ZeroFirst
	first := map[int]bool{}
	below := 0
	for _, r := range makePage(t, s).Tables[0].Rows {
		for _, c := range r.Cells[1:] {
			if strings.HasPrefix(c.Text, "0.") && first[r.Block] {
				t.Errorf("block %d row %s: %q has its nought, and is not the first row", r.Block, r.Key, c.Text)
			}
			if strings.HasPrefix(c.Text, ".") {
				below++
				if !first[r.Block] {
					t.Errorf("block %d: first row has %q without its nought", r.Block, c.Text)
				}
			}
		}
		first[r.Block] = true
	}
	if len(first) != 5 || below == 0 {
		t.Errorf("%d blocks and %d cells without a nought: want 5 blocks and some cells", len(first), below)
	}

	s = clean("pressure", "oldstandard", 14, 8)
	s.Design.Zero, s.Design.Blanks, s.Design.Blank, s.Design.Notes = ZeroNever, 0.1, ".....", 0.2
	blanks, notes, minus := 0, 0, 0
	for _, r := range makePage(t, s).Tables[0].Rows {
		for _, c := range r.Cells[1:] {
			switch {
			case !c.Figure():
				blanks++
				if c.Text != "....." || c.Box.Empty() {
					t.Errorf("blank cell is %q at %v, want ..... at a place", c.Text, c.Box)
				}
			case strings.HasPrefix(c.Text, "0.") || strings.HasPrefix(c.Text, "-0."):
				t.Errorf("%q has a nought before the point", c.Text)
			case strings.HasPrefix(c.Text, "-."):
				minus++
			}
			if c.Note != "" {
				notes++
			}
		}
	}
	if blanks == 0 || notes == 0 || minus == 0 {
		t.Errorf("%d blanks, %d notes, %d cells with a minus before the point: want some of each", blanks, notes, minus)
	}

	s = clean("stall", "palatino", 12, 5)
	s.Design.Thousands = true
	if got := makePage(t, s).Tables[0].Rows[1].Cells[0].Text; got != "2,150" {
		t.Errorf("weight in the second row is printed %q, want 2,150", got)
	}
}

// On a page that counts as ordinary no character may have vanished.
func TestOrdinaryKeepsEveryCharacter(t *testing.T) {
	for _, kind := range []string{"thin", "ragged", "broken", "worn", "uneven", "blur"} {
		d, err := Ordinary(kind)
		if err != nil {
			t.Fatal(err)
		}
		s := clean("pressure", "cm-roman", 12, 6)
		s.DPI, s.Ordinary = 200, true
		s.Design.Size = 8.2
		plain := makePage(t, s)
		d.Bilevel = true
		d.Rough = math.Max(d.Rough, 0.5)
		s.Damage = d
		p := makePage(t, s)
		worst := math.Inf(1)
		for i, r := range p.Tables[0].Rows {
			for j, c := range r.Cells {
				before, after := 0, 0
				for y := int(c.Box.Y0); y < int(c.Box.Y1); y++ {
					for x := int(c.Box.X0); x < int(c.Box.X1); x++ {
						before += dark(plain.Image, x, y)
						after += dark(p.Image, x, y)
					}
				}
				share := float64(after) / float64(before)
				worst = math.Min(worst, share)
				if share < 0.5 {
					t.Errorf("%s: row %d column %d, %q: %.2f of its ink is left, want half", kind, i, j, c.Text, share)
				}
			}
		}
		t.Logf("%s: the faintest cell keeps %.2f of its ink", kind, worst)
	}
}

func TestPlan(t *testing.T) {
	founts := map[string]string{}
	kinds := map[string]string{}
	names := map[string]bool{}
	for _, half := range []string{Tuned, HeldOut} {
		specs, err := Plan(half)
		if err != nil {
			t.Fatal(err)
		}
		again, err := Plan(half)
		if err != nil {
			t.Fatal(err)
		}
		ordinary, all := 0, 0
		var figures [10]int
		dpi := map[int]int{}
		mine, faces, tables := map[string]bool{}, map[string]bool{}, map[string]bool{}
		made := 0
		for i, s := range specs {
			if fmt.Sprintf("%+v", s) != fmt.Sprintf("%+v", again[i]) {
				t.Fatalf("page %d of %s differs between two plans", i, half)
			}
			if err := s.check(); err != nil {
				t.Error(err)
			}
			if names[s.Name] {
				t.Errorf("two pages are named %s", s.Name)
			}
			names[s.Name] = true
			if h := founts[s.Fount]; h != "" && h != half {
				t.Errorf("fount %s is in both halves", s.Fount)
			}
			founts[s.Fount], faces[s.Fount], tables[s.Design.Kind] = half, true, true
			for _, k := range s.Kinds {
				mine[k] = true
				if k == "skew" || k == "bilevel" {
					continue
				}
				if h := kinds[k]; h != "" && h != half {
					t.Errorf("damage %s is in both halves", k)
				}
				kinds[k] = half
			}
			n := figuresIn(s)
			all += n
			dpi[s.DPI]++
			if n < 100 || n > 750 {
				t.Errorf("page %s has %d cells", s.Name, n)
			}
			if s.Ordinary {
				ordinary += n
				if s.DPI < 200 || s.DPI > 400 {
					t.Errorf("ordinary page %s is at %d dpi", s.Name, s.DPI)
				}
			}
			if i%17 == 3 && s.DPI <= 200 {
				p := makePage(t, s)
				made++
				if p.Cells() != n {
					t.Errorf("page %s has %d cells, counted beforehand %d", s.Name, p.Cells(), n)
				}
				for _, tb := range p.Tables {
					for _, r := range tb.Rows {
						for _, c := range r.Cells {
							for _, ch := range c.Text {
								if ch >= '0' && ch <= '9' {
									figures[ch-'0']++
								}
							}
						}
					}
				}
			}
		}
		if ordinary < 32000 {
			t.Errorf("%s has %d ordinary cells, want 32,000", half, ordinary)
		}
		if len(faces) != 7 || len(tables) != len(Kinds()) || len(mine) != 11 || dpi[150] == 0 || dpi[200] == 0 || dpi[300] == 0 || dpi[400] == 0 {
			t.Errorf("%s: %d founts, %d kinds of table, %d of damage, pages by dpi %v: want 7, %d, 11 and pages at 150, 200, 300, 400", half, len(faces), len(tables), len(mine), dpi, len(Kinds()))
		}
		if made < 2 {
			t.Errorf("%d pages of %s were made, want 2", made, half)
		}
		sum := 0
		for _, n := range figures {
			sum += n
		}
		for f, n := range figures {
			if n*25 < sum {
				t.Errorf("%s: figure %d is %d of %d on the pages made, want 4 in 100", half, f, n, sum)
			}
		}
		t.Logf("%s: %d pages, %d cells, %d of ordinary quality, by dpi %v, figures %v", half, len(specs), all, ordinary, dpi, figures)
	}
}

func TestFaults(t *testing.T) {
	want := func(err error, text string) {
		t.Helper()
		if err == nil || err.Error() != text {
			t.Errorf("error %v, want %q", err, text)
		}
	}
	s := clean("slope", "century", 12, 5)
	_, err := Make(s, FontSource{FS: fstest.MapFS{}})
	want(err, "fount century: open truetype/fonts-century-catalogue/Century-Catalogue.ttf: file does not exist: it comes with the Debian package fonts-century-catalogue")
	s.Fount = "gothic"
	_, err = Make(s, fontsFor(t))
	want(err, `fount "gothic" is not known: "century" would be one`)
	s = clean("wages", "century", 12, 5)
	_, err = Make(s, fontsFor(t))
	want(err, `page clean: kind "wages" of table is not known: "polar" would be one`)
	s = clean("slope", "century", 12, 5)
	s.DPI = 20
	_, err = Make(s, fontsFor(t))
	want(err, "page clean: 20 dpi: from 72 to 600 can be made")
	_, err = Plan("third")
	want(err, `half "third" is not known: "tuned" or "held-out" would be right`)
	_, err = Ordinary("fire")
	want(err, `damage "fire" is not known: "thick" would be one`)
}

func BenchmarkMake(b *testing.B) {
	fonts, err := Fonts()
	if err != nil {
		b.Fatal(err)
	}
	d, err := Ordinary("thick")
	if err != nil {
		b.Fatal(err)
	}
	s := Spec{Name: "bench", Seed: 1, Fount: "century", DPI: 300, Ordinary: true, Damage: d, Design: Design{Kind: "slope", Rows: 65, Columns: 11, Zero: ZeroFirst, Ruling: RulesOpen, Leader: "-", SubHeads: true, Size: 7.4, Pitch: 1.12}}
	for b.Loop() {
		if _, err := Make(s, fonts); err != nil {
			b.Fatal(err)
		}
	}
}
