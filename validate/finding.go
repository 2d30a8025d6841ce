// Package validate checks the figures of a study against their own print, their
// tables, and the physics of flight, and keeps what people rule about them.
//
// A finding is data for a person; an error means that a check could not run.
package validate

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"strings"

	"windtally/extract"
)

// Severity says what a finding does to publication.
type Severity string

// The severities. A doubt and a note are published with the edition; a blocking
// finding needs a ruling or a mended file first.
const (
	Note     Severity = "note"
	Doubt    Severity = "doubt"
	Blocking Severity = "blocking"
)

// Finding is something that a check noticed.
type Finding struct {
	ID       string
	Check    string
	Severity Severity
	Table    string           // the table's name, "" where several are concerned
	Where    string           // table:row:column in words
	Cells    []extract.CellID // what it is about; empty where a file must be mended
	Message  string           // what was noticed
	Expected string           // what was expected, and from what
	Miss     float64          // size of the miss in half-widths; 0 where it has none
	Why      string           // why it matters
	Hint     string           // a safe next step
	// Proposals are numerals that the cell at Where may have had, likeliest first.
	Proposals []Proposal
	// Evidence is the digest of what the finding rests on.
	Evidence string
	// Ruling is the ruling that settles it, nil where it is open.
	Ruling *Ruling
	// Mend says that only a change of a file settles it, no ruling.
	Mend bool
	// meaning says that the finding is not about digits: to confirm it is not to
	// have looked at those of its cells.
	meaning bool
}

// digits reports whether who confirms the finding has looked at its cells' digits.
func (f *Finding) digits() bool { return !f.meaning }

// Open reports whether nobody has ruled on the finding.
func (f *Finding) Open() bool { return f.Ruling == nil }

// Blocks reports whether the finding keeps an edition from being published.
func (f *Finding) Blocks() bool { return f.Severity == Blocking && f.Open() }

// identify sets the finding's id: check, detail and sorted cells, never a value.
func (f *Finding) identify(detail string) {
	cells := cellTexts(f.Cells)
	slices.Sort(cells)
	sum := sha256.Sum256([]byte(f.Check + "\n" + detail + "\n" + strings.Join(cells, "\n")))
	f.ID = "f" + hex.EncodeToString(sum[:6])
}

func cellTexts(ids []extract.CellID) []string {
	texts := make([]string, len(ids))
	for i, id := range ids {
		texts[i] = id.String()
	}
	return texts
}

// sortFindings sorts by table, worst first within it, then by check, place and id.
func sortFindings(list []Finding) {
	rank := map[Severity]int{Blocking: 0, Doubt: 1, Note: 2}
	slices.SortFunc(list, func(a, b Finding) int {
		if c := strings.Compare(a.Table, b.Table); c != 0 {
			return c
		}
		if c := rank[a.Severity] - rank[b.Severity]; c != 0 {
			return c
		}
		if c := strings.Compare(a.Check, b.Check); c != 0 {
			return c
		}
		if c := strings.Compare(a.Where, b.Where); c != 0 {
			return c
		}
		return strings.Compare(a.ID, b.ID)
	})
}
