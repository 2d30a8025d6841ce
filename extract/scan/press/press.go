// Package press makes test pages with known truth: tables of invented but
// physically consistent figures, set in the manner of reports printed between 1920
// and 1955, and spoilt as prints and scans of that time are. A page depends on its
// Spec and the font files alone. Nothing is taken from a real page.
package press

import (
	"image"
	"math/rand/v2"

	"windtally/extract"
)

// Spec says all that there is to say of a made page.
type Spec struct {
	Name   string
	Seed   uint64 // of the figures, of the wear and of the dirt
	Fount  string
	DPI    int
	Design Design
	Damage Damage
	// Ordinary says that the damage is that of an ordinary period scan, which a
	// person reads without hesitation.
	Ordinary bool
	// Kinds names the kinds of damage on the page.
	Kinds []string
}

// Zero says where the nought before the point is printed.
type Zero string

const (
	ZeroAlways Zero = "always"
	ZeroFirst  Zero = "first" // in the first row of each block
	ZeroNever  Zero = "never"
)

// Ruling says which rules a table has.
type Ruling string

const (
	RulesNone  Ruling = "none"
	RulesLevel Ruling = "level" // above the head, under it, and at the foot
	RulesOpen  Ruling = "open"  // level ones and between columns, the sides open
	RulesBox   Ruling = "box"   // level ones, between columns, and at the sides
)

// Design is how the table is set.
type Design struct {
	Kind       string // of table: see Kinds
	Rows       int    // wanted over all blocks; a block is not cut
	Columns    int    // wanted, the label column included
	Zero       Zero
	Ruling     Ruling
	Leader     string  // set after the label up to the edge of its column: "", "." or "-"
	PointSpace float64 // ems after the point
	Blank      string  // what stands in an empty cell: "", "....." or "-----"
	Blanks     float64 // share of empty cells
	BareZero   bool    // a nought is printed "0" whatever the column's decimals
	Notes      float64 // share of cells with a footnote mark
	Marks      string  // the marks, one character each; "" stands for abc
	SlideRule  bool    // drag to three significant figures, so that decimals change in a column
	Thousands  bool    // comma in whole numbers from 1,000 on
	SubHeads   bool
	Spanning   bool    // heads over several columns, in two rows
	Fives      bool    // lead after every fifth row
	Across     int     // tables side by side
	Prose      bool    // text over and under the table
	Size       float64 // points
	Pitch      float64 // of the rows, in sizes
	Turn       int     // clockwise quarter turn, in degrees, that brings the page upright
}

// Page is a made page with its truth. Every place is in the seen frame, in pixels.
type Page struct {
	Spec   Spec
	Image  image.Image // *image.Gray, two-level *image.Paletted, or *image.RGBA where the paper is coloured
	DPI    float64
	Tables []Table
	// RowSlope and ColumnSlope are dy/dx of rows and dx/dy of columns on the page
	// turned upright.
	RowSlope, ColumnSlope float64
}

// Table is one printed table.
type Table struct {
	Box     extract.Rect // of the table with its head; caption and footnotes are outside
	Caption string
	Heads   []string // the rows of the head, columns apart by a tab
	Columns []Column
	Rows    []Row
	Givens  []Given
}

// Column is one column of a table.
type Column struct {
	Key, Head, Over string // Over is the head that spans this column and its neighbours
	Label           bool
	Decimals        int // usual ones
	// X0 and X1 bound the column at mid-height of the table, along the rows in the
	// seen frame: y for a page turned by 90 or 270 degrees.
	X0, X1 float64
	// Box is that slice of the table, without skew, about its middle, in the seen frame.
	Box extract.Rect
}

// Row is one row of cells.
type Row struct {
	Key     string // text of the label
	Block   int    // from 0
	SubHead string // over the block, "" where there is none
	Cells   []Cell
}

// Cell is one cell. Text is what the print says: "-" stands for the minus sign
// whatever the fount sets, space that is set after the point is left out, and so is
// the footnote mark, which is Note. Blank cells have their dots or dashes as Text,
// or nothing; an empty one has the place where the figure would be as Box.
type Cell struct {
	Text string
	Note string
	Box  extract.Rect // of the ink before the damage, the note's left out
}

// Given is a figure outside the grid that governs the table or a block of it.
type Given struct {
	Key   string
	Text  string // the figure
	Box   extract.Rect
	Words string // as printed, with * in the figure's place
	Where string // caption, sub-head or footnote
	Block int    // the block it governs, -1 for the whole table
}

// Cells counts the printed figures of the page: cells that are not blank.
func (p Page) Cells() int {
	n := 0
	for _, t := range p.Tables {
		for _, r := range t.Rows {
			for _, c := range r.Cells {
				if c.Figure() {
					n++
				}
			}
		}
	}
	return n
}

// Figure reports whether the cell holds a figure.
func (c Cell) Figure() bool {
	for _, r := range c.Text {
		if r >= '0' && r <= '9' {
			return true
		}
	}
	return false
}

// Streams of chance, one for each thing that uses it, so that a change to one does
// not move the others.
const (
	chanceFigures = iota + 1
	chanceWear
	chanceSet
	chancePress
	chancePaper
	chanceDirt
	chanceNoise
	chanceDesign
)

func chance(seed uint64, stream uint64) *rand.Rand {
	return rand.New(rand.NewPCG(seed, stream*0x9e3779b97f4a7c15))
}

// Make sets, prints and spoils the page.
func Make(s Spec, fonts FontSource) (Page, error) {
	if err := s.check(); err != nil {
		return Page{}, err
	}
	f, err := openFace(fonts, s.Fount, true)
	if err != nil {
		return Page{}, err
	}
	p, ink, err := set(s, f)
	if err != nil {
		return Page{}, err
	}
	p.Image, err = spoil(ink, s)
	return p, err
}
