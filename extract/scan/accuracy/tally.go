package main

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"os"
	"regexp"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"windtally/extract"
	"windtally/extract/scan/press"
	"windtally/extract/scan/transcribe"
)

// counts are of cells.
type counts struct {
	printed, found, right, accepted, flagged int
	// Silent are the wrong ones that nothing points at: accepted and misread, lost
	// from a table without doubts, accepted where nothing is printed.
	misread, lost, invented int
}

func (c counts) silent() int { return c.misread + c.lost + c.invented }

func (c *counts) count(same, accepted bool) {
	c.found++
	if same {
		c.right++
	}
	switch {
	case !accepted:
		c.flagged++
	case same:
		c.accepted++
	default:
		c.accepted++
		c.misread++
	}
}

// judge counts a found cell against the figure that is printed there.
func (t *tally) judge(c transcribe.Cell, want string) (misread bool) {
	text, accepted, why := c.Settle()
	same := extract.SameText(text, want)
	if !accepted {
		t.doubt(why, same)
		t.flags = append(t.flags, fmt.Sprintf("want %q, got %s: %s", want, said(c), why))
	}
	t.figures.count(same, accepted)
	return accepted && !same
}

// doubt counts a flagged cell by what is said of it, its figures left out.
func (t *tally) doubt(why string, right bool) {
	if t.doubts == nil {
		t.doubts = map[string][2]int{}
	}
	why = particular.ReplaceAllString(why, "…")
	n := t.doubts[why]
	if right {
		n[0]++
	} else {
		n[1]++
	}
	t.doubts[why] = n
}

// particular is what differs from cell to cell in the text of a doubt.
var particular = regexp.MustCompile(`"[^"]*"|\b(first|second|third|fourth|fifth|sixth|seventh|eighth|ninth|tenth|[0-9]+th)\b|-?[0-9]+(\.[0-9]+)?|\?`)

func (c *counts) miss(doubted bool) {
	if doubted {
		c.flagged++
	} else {
		c.lost++
	}
}

func (c *counts) add(d counts) {
	c.printed += d.printed
	c.found += d.found
	c.right += d.right
	c.accepted += d.accepted
	c.flagged += d.flagged
	c.misread += d.misread
	c.lost += d.lost
	c.invented += d.invented
}

// tally is what reading a page, or several, came to.
type tally struct {
	pages, refused int
	figures        counts
	givens         counts   // figures outside the grid
	givenFlags     []string // each flagged one
	seconds        float64
	silents        []string
	flags          []string          // each flagged cell
	doubts         map[string][2]int // flagged cells by doubt: read right, read wrong
	why            string            // the page was refused
}

// refuse says that the page cannot be read: all of its figures are flagged.
func (t *tally) refuse(why string) {
	t.refused, t.why = 1, why
	t.figures.flagged = t.figures.printed
	t.givens.flagged = t.givens.printed
}

func (t tally) remark() string {
	if t.why == "" {
		return ""
	}
	return "; refused: " + t.why
}

func (t *tally) say(s press.Spec, kind, want, got string, at extract.Rect, doubts string) {
	t.silents = append(t.silents, fmt.Sprintf("%s at %.0f,%.0f-%.0f,%.0f: %s: want %q, got %s; doubts of the table: %s", s.Name, at.X0, at.Y0, at.X1, at.Y1, kind, want, got, doubts))
}

// tell keeps why a figure outside the grid was flagged.
func (t *tally) tell(s press.Spec, g press.Given, why string) {
	t.givenFlags = append(t.givenFlags, fmt.Sprintf("%s at %.0f,%.0f: %s %q flagged: %s", s.Name, g.Box.X0, g.Box.Y0, g.Where, g.Text, why))
}

func (t *tally) add(u tally) {
	t.pages += u.pages
	t.refused += u.refused
	t.figures.add(u.figures)
	t.givens.add(u.givens)
	t.givenFlags = append(t.givenFlags, u.givenFlags...)
	t.seconds += u.seconds
	t.silents = append(t.silents, u.silents...)
	t.flags = append(t.flags, u.flags...)
	for why, n := range u.doubts {
		if t.doubts == nil {
			t.doubts = map[string][2]int{}
		}
		t.doubts[why] = [2]int{t.doubts[why][0] + n[0], t.doubts[why][1] + n[1]}
	}
}

// group is tallies by name, in the order of their first page.
type group struct {
	names []string
	of    map[string]*tally
}

func (g *group) add(name string, t tally) {
	if g.of == nil {
		g.of = map[string]*tally{}
	}
	if g.of[name] == nil {
		g.of[name] = &tally{}
		g.names = append(g.names, name)
	}
	g.of[name].add(t)
}

type board struct {
	first        string // heading of the first table
	source, kind group
	total        tally
	ordinary     tally // made pages that are not damaged heavily
}

func (b *board) addMade(s press.Spec, t tally) {
	b.first = "fount, ordinary pages"
	b.total.add(t)
	if !s.Ordinary {
		b.source.add("heavy damage, or 150 dpi", t)
		return
	}
	b.ordinary.add(t)
	b.source.add(s.Fount, t)
	// A page with several kinds of damage counts in the row of each.
	for _, k := range s.Kinds {
		b.kind.add(k, t)
	}
	b.kind.add(fmt.Sprintf("%d dpi", s.DPI), t)
}

func (b *board) addReal(name string, t tally) {
	b.first = "table"
	b.source.add(name, t)
	b.total.add(t)
}

// bound is the 95 % upper bound on a rate of which k cases out of n were seen: the
// rule of three for none, else the one-sided bound of Clopper and Pearson. It holds
// for cells that err each by itself; cells of one page do not quite.
func bound(k, n int) float64 {
	switch {
	case n == 0 || k >= n:
		return 1
	case k == 0:
		return min(1, 3/float64(n))
	}
	return distuv.Beta{Alpha: float64(k) + 1, Beta: float64(n - k)}.Quantile(0.95)
}

func (b *board) print(w io.Writer, s settings) error {
	var out strings.Builder
	line := func(name string, t tally) {
		f := t.figures
		fmt.Fprintf(&out, "| %s | %d | %d | %d | %d | %d | %d | %d | %d | %d/%d/%d | %.1f |\n", name, t.pages, t.refused,
			f.printed, f.found, f.right, f.accepted, f.flagged, f.silent(), f.misread, f.lost, f.invented, t.seconds/float64(max(1, t.pages)))
	}
	head := func(name string) {
		fmt.Fprintf(&out, "| %s | pages | unreadable | printed | found | right | accepted | flagged | silent | misread/lost/invented | s/page |\n", name)
		out.WriteString("|---|" + strings.Repeat("--:|", 10) + "\n")
	}
	head(b.first)
	for _, name := range b.source.names {
		line(name, *b.source.of[name])
	}
	if len(b.kind.names) > 0 {
		out.WriteString("\n")
		head("damage, ordinary pages")
		names := slices.Clone(b.kind.names)
		slices.Sort(names)
		for _, name := range names {
			line(name, *b.kind.of[name])
		}
	}
	out.WriteString("\n")
	head("total")
	type set struct {
		name string
		t    tally
	}
	sets := []set{{"all", b.total}}
	if b.ordinary.pages > 0 {
		sets = append(sets, set{"ordinary", b.ordinary})
	}
	for _, set := range sets {
		line(set.name, set.t)
	}
	out.WriteString("\n")
	for _, set := range sets {
		f := set.t.figures
		fmt.Fprintf(&out, "Silent, %s: %d of %d printed figures, at most %.3g %% with 95 %% confidence; flagged %.2f %%, which is %.1f minutes of a reviewer for 700 cells at 4 s each.\n",
			set.name, f.silent(), f.printed, 100*bound(f.silent(), f.printed), 100*float64(f.flagged)/float64(max(1, f.printed)), 700*4/60.0*float64(f.flagged)/float64(max(1, f.printed)))
	}
	fmt.Fprintf(&out, "Peak memory of this process, the engine's apart: %s.\n", peak())
	if g := b.total.givens; g.printed > 0 {
		out.WriteString("\n| outside the grid | printed | found | right | accepted | flagged | silent |\n|---|" + strings.Repeat("--:|", 6) + "\n")
		fmt.Fprintf(&out, "| givens | %d | %d | %d | %d | %d | %d |\n", g.printed, g.found, g.right, g.accepted, g.flagged, g.silent())
	}
	if s.verbose {
		out.WriteString("\n| doubt | read right | read wrong |\n|---|--:|--:|\n")
		whys := slices.SortedFunc(maps.Keys(b.total.doubts), func(x, y string) int {
			m, n := b.total.doubts[x], b.total.doubts[y]
			return cmp.Or(n[0]+n[1]-m[0]-m[1], strings.Compare(x, y))
		})
		for _, why := range whys {
			fmt.Fprintf(&out, "| %s | %d | %d |\n", why, b.total.doubts[why][0], b.total.doubts[why][1])
		}
		out.WriteString("\n")
		for _, t := range slices.Concat(b.total.silents, b.total.givenFlags) {
			out.WriteString("- " + t + "\n")
		}
		if s.only != "" || s.real {
			for _, t := range b.total.flags {
				out.WriteString("- flagged: " + t + "\n")
			}
		}
	}
	_, err := io.WriteString(w, out.String())
	return err
}

// peak is the largest resident size so far, where the system tells it.
func peak() string {
	data, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return "not told by this system"
	}
	for line := range strings.Lines(string(data)) {
		if v, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			return strings.TrimSpace(v)
		}
	}
	return "not told by this system"
}
