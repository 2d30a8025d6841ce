package main

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"windtally/datasets/publish"
	"windtally/extract"
	"windtally/validate"

	"github.com/urfave/cli/v2"
)

//go:embed findingspage.html
var findingsPage string

// findingsPageHead begins every page of findings; a file that begins otherwise is
// somebody's own and is not written over.
const findingsPageHead = "<!DOCTYPE html>\n<html lang=\"en\" data-made-by=\"windtally findings\">\n"

// Cells of one finding that are shown; of more, as of a whole table, the table's
// own picture serves.
const shownCells = 6

type htmlPage struct {
	Title, Count, States, Caution string
	Unsigned                      bool // the commands await initials
	Tolerances                    []string
	Tables                        []*htmlTable
}

type htmlTable struct {
	Name, About, Head string
	Pictures          []*picture
	Findings          []*htmlFinding
}

type htmlFinding struct {
	Anchor, ID, Check, Where, Severity string
	Message, Expected, Why, Hint       string
	Ruled                              string
	Pictures                           []*picture
	Witnesses                          []htmlWitness
	Candidates                         []string
	Commands                           []htmlCommand
}

type htmlWitness struct{ Reader, Text, Confidence, Doubt string }

type htmlCommand struct{ What, Line string }

// pageOfFindings writes the findings as one page that holds all that it shows.
func (p *program) pageOfFindings(c *cli.Context, s *extract.Study, r *validate.Report, table string) error {
	file := c.String("html")
	shown := filepath.ToSlash(file)
	was, err := os.ReadFile(file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if st, err := os.Stat(filepath.Dir(file)); err != nil || !st.IsDir() {
			return &extract.Error{File: shown, Msg: "cannot be written: its folder is not there", Hint: "make the folder, or name a file in another with --html"}
		}
	case err != nil:
		return &extract.Error{File: shown, Msg: "cannot be written: it is there and cannot be read", Hint: "name another file with --html"}
	case !bytes.HasPrefix(was, []byte(findingsPageHead)):
		return &extract.Error{File: shown, Msg: "is there already and is no page of findings; nothing was written over it", Hint: "move it away, or name another file with --html"}
	}
	reports := r.Tables()
	list, blocking := chosen(reports, table, c.Bool("all"))
	states := map[string]int{}
	for k, v := range r.States() {
		states[string(k)] = v
	}
	w := &pageWriter{s: s, r: r, next: "windtally", by: c.String("by"), pictures: &pictures{p: p, c: c, s: s}}
	if study := c.String("study"); next(c) != "windtally" {
		w.next += " --study " + quoted(study)
	}
	if people := s.Settings.People; w.by == "" && len(people) == 1 {
		w.by = people[0].Initials
	}
	page := &htmlPage{Title: s.Settings.Title, Count: shownCount(len(list), blocking), States: stateText(states), Caution: publish.Caution, Unsigned: w.by == ""}
	if w.by == "" {
		w.by = "INITIALS"
	}
	page.Tables = w.tables(list)
	for _, h := range page.Tables {
		for i := range reports {
			if reports[i].Name == h.Name {
				h.Head = headLine(&reports[i])
			}
		}
	}
	for _, t := range tolerancesOf(s) {
		page.Tolerances = append(page.Tolerances, t.String())
	}
	if err := w.pictures.take(); err != nil {
		return err
	}
	t, err := template.New("page").Parse(findingsPage)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := t.Execute(&b, page); err != nil {
		return err
	}
	if err := extract.WriteFile(file, was, b.Bytes()); err != nil {
		return err
	}
	p.printf("wrote %s: %s; %s\n", shown, page.Count, counted(w.pictures.taken(), "picture"))
	for _, f := range w.pictures.faults {
		p.printf("    no picture of %s\n", f)
	}
	if blocking > 0 {
		return errFindings
	}
	return nil
}

// pageWriter lays findings out for the page.
type pageWriter struct {
	s        *extract.Study
	r        *validate.Report
	next, by string // how the commands begin, and who signs them
	pictures *pictures
}

func (w *pageWriter) tables(list []validate.Finding) []*htmlTable {
	var tables []*htmlTable
	anchors := map[extract.CellID]string{}
	for i, f := range list {
		if n := len(tables); n == 0 || list[i-1].Table != f.Table {
			tables = append(tables, &htmlTable{Name: f.Table})
			if f.Table == "" {
				tables[n].Name = "The study"
			}
		}
		t := tables[len(tables)-1]
		h := w.finding(&f, fmt.Sprintf("n%d", i+1))
		t.Findings = append(t.Findings, h)
		if len(f.Cells) == 1 && anchors[f.Cells[0]] == "" {
			anchors[f.Cells[0]] = h.Anchor
		}
	}
	for _, h := range tables {
		if t := w.s.Table(h.Name); t != nil {
			w.whole(h, t, anchors)
		}
	}
	return tables
}

// whole adds the pictures of the table on each of its pages, the cells outlined that
// wait for a person or that a finding is about.
func (w *pageWriter) whole(h *htmlTable, t *extract.Table, anchors map[extract.CellID]string) {
	src := w.s.Source(t.Source)
	h.About = strings.Join(slices.DeleteFunc([]string{t.Number, t.Caption, src.Designation}, func(s string) bool { return s == "" }), "; ")
	areas := map[int]extract.Rect{}
	boxes := map[int][]outline{}
	for _, region := range t.Regions {
		areas[region.Page] = areas[region.Page].Union(region.Rect())
	}
	for _, series := range w.r.Series {
		if series.Table != t {
			continue
		}
		each(series.Collation, func(c *extract.Collated) {
			place := c.Place()
			if place.Box.Empty() {
				return
			}
			areas[place.Page] = areas[place.Page].Union(place.Box)
			if to := anchors[c.ID]; to != "" || c.State.Waits() {
				boxes[place.Page] = append(boxes[place.Page], outline{box: place.Box, to: to, about: to != "", title: c.ID.Row + ":" + c.ID.Column})
			}
		})
	}
	var pages []int
	for page := range areas {
		pages = append(pages, page)
	}
	slices.Sort(pages)
	for _, page := range pages {
		h.Pictures = append(h.Pictures, w.pictures.ask(&picture{table: t, page: page, area: areas[page], outlines: boxes[page], whole: true,
			Caption: fmt.Sprintf("page %d", page), Alt: fmt.Sprintf("the table %s on page %d", t.Name, page)}))
	}
}

func (w *pageWriter) finding(f *validate.Finding, anchor string) *htmlFinding {
	h := &htmlFinding{Anchor: anchor, Check: f.Check, Where: f.Where, Severity: string(f.Severity), Message: f.Message, Expected: f.Expected, Why: f.Why}
	if f.Miss > 0 {
		h.Expected += fmt.Sprintf("; the miss is %.3g half-widths", f.Miss)
	}
	if !f.Mend {
		h.ID = f.ID
	}
	if f.Open() {
		h.Hint = f.Hint
	} else {
		h.Ruled = fmt.Sprintf("%s by %s: %s (%s)", f.Ruling.Decision, f.Ruling.Who, f.Ruling.Reason, f.Ruling.ID)
	}
	w.places(h, f)
	if len(f.Cells) == 1 {
		if c := w.r.Cell(f.Cells[0]); c != nil {
			var said []string
			for _, v := range c.Witnesses {
				row := htmlWitness{Reader: v.Reader, Text: seenText(v.Text), Doubt: v.Doubt}
				if v.Confidence >= 0 {
					row.Confidence = strconv.FormatFloat(v.Confidence, 'f', 2, 64)
				}
				if v.Scan {
					row.Reader += ", of a scan"
				}
				h.Witnesses = append(h.Witnesses, row)
				said = append(said, v.Text)
			}
			for _, text := range choices(c) {
				if !slices.ContainsFunc(said, func(s string) bool { return extract.SameText(s, text) }) {
					h.Candidates = append(h.Candidates, seenText(text))
				}
			}
		}
	}
	if !f.Mend && f.Open() {
		h.Commands = w.commands(f)
	}
	return h
}

// places adds pictures of the cells that the finding is about: one of a row that has
// several, one a cell otherwise.
func (w *pageWriter) places(h *htmlFinding, f *validate.Finding) {
	t := w.s.Table(f.Table)
	type spot struct {
		page     int
		area     extract.Rect
		near     extract.Rect // with the neighbours in the row
		height   float64
		outlines []outline
		cells    []string
	}
	var spots []spot
	for _, id := range f.Cells {
		c := w.r.Cell(id)
		if c == nil || c.Place().Box.Empty() || t == nil || t.ID != id.Table {
			continue
		}
		place := c.Place()
		name := id.Row + ":" + id.Column
		i := slices.IndexFunc(spots, func(s spot) bool {
			return s.page == place.Page && s.area.Union(place.Box).Height() < 2*max(s.height, place.Box.Height())
		})
		if i < 0 {
			spots = append(spots, spot{page: place.Page})
			i = len(spots) - 1
		}
		s := &spots[i]
		s.area, s.height = s.area.Union(place.Box), max(s.height, place.Box.Height())
		s.near = s.near.Union(w.neighbours(t, id, place))
		s.outlines = append(s.outlines, outline{box: place.Box, about: true})
		s.cells = append(s.cells, name)
	}
	for _, s := range spots[:min(len(spots), shownCells)] {
		h.Pictures = append(h.Pictures, w.pictures.ask(&picture{table: t, page: s.page, area: s.area, near: s.near, outlines: s.outlines,
			Caption: fmt.Sprintf("page %d, %s", s.page, strings.Join(s.cells, ", ")), Alt: "the print around " + strings.Join(s.cells, ", ")}))
	}
	if n := len(spots) - shownCells; n > 0 {
		h.Pictures = append(h.Pictures, &picture{Caption: fmt.Sprintf("and %d places more, on the picture of the table", n)})
	}
}

// neighbours is the place of a cell with those to the left and right of it, unless
// they stand far off.
func (w *pageWriter) neighbours(t *extract.Table, id extract.CellID, place extract.Place) extract.Rect {
	area := place.Box
	keys := t.KeysOf(id.Row)
	k := slices.Index(keys, id.Column)
	for _, n := range []int{k - 1, k + 1} {
		if k < 0 || n < 0 || n >= len(keys) || id.Row == extract.Given {
			continue
		}
		c := w.r.Cell(extract.CellID{Table: id.Table, Row: id.Row, Column: keys[n]})
		if c == nil {
			continue
		}
		beside := c.Place()
		both := place.Box.Union(beside.Box)
		far := 15 * min(place.Box.Height(), place.Box.Width())
		if beside.Page == place.Page && both.Width()-place.Box.Width() <= far && both.Height()-place.Box.Height() <= far {
			area = area.Union(beside.Box)
		}
	}
	return area
}

// commands are the rulings that may settle the finding, ready to copy. Where a person
// has to type a text its quotes are empty: such a command is refused as it stands.
func (w *pageWriter) commands(f *validate.Finding) []htmlCommand {
	var list []htmlCommand
	add := func(what, target string, options ...string) {
		line := w.next + " rule"
		for _, o := range append(options, "--by", w.by, target) {
			line += " " + quoted(o)
		}
		list = append(list, htmlCommand{what, line})
	}
	var named []string
	for _, id := range f.Cells {
		if t := w.r.Cell(id); t != nil && f.Table != "" {
			named = append(named, f.Table+":"+id.Row+":"+id.Column)
		}
	}
	if len(named) != 1 || len(f.Cells) != 1 {
		add("the print says so:", f.ID, "--confirm")
		if len(named) <= shownCells {
			for _, cell := range named {
				add("the print says something else in "+cell+" (type it between the quotes):", cell, "--reread", "")
			}
		}
		if len(f.Cells) > 0 {
			add("not to be published (type why between the quotes):", f.ID, "--withhold", "--reason", "")
		}
		return list
	}
	c, cell := w.r.Cell(f.Cells[0]), named[0]
	_, text, one := c.Read()
	target := f.ID
	if f.Check == "reader-doubt" {
		target = cell
	}
	if one && len(c.Witnesses) > 0 {
		add("the print says "+seenText(text)+":", target, "--confirm")
	} else if f.Check != "reader-doubt" && f.Check != "collation" {
		add("the print says so:", f.ID, "--confirm")
	}
	for _, choice := range choices(c) {
		switch {
		case one && extract.SameText(choice, text), validate.CheckValue(choice) != nil, hidden(choice):
		case choice == "":
			add("nothing is printed there:", cell, "--reread=", "--reason", "nothing is printed there")
		default:
			add("the print says "+choice+":", cell, "--reread="+choice)
		}
	}
	add("it says something else (type it between the quotes):", cell, "--reread", "")
	add("not to be published:", cell, "--withhold", "--reason", "cannot be read")
	return list
}

// hidden reports whether a text has a character that is not seen, so that who copies
// it would not know what they rule.
func hidden(text string) bool {
	return strings.ContainsFunc(text, func(r rune) bool { return !unicode.IsPrint(r) })
}

// seenText is a text as a person can tell it from others: what is not seen is escaped.
func seenText(text string) string {
	switch {
	case text == "":
		return "(nothing)"
	case hidden(text), strings.TrimSpace(text) != text:
		return strconv.Quote(text)
	}
	return text
}

// quoted writes a word of a command line for a POSIX shell.
func quoted(word string) string {
	plain := func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_./:=,+@%", r)
	}
	if word != "" && !strings.ContainsFunc(word, func(r rune) bool { return !plain(r) }) {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}
