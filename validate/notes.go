package validate

import (
	"fmt"
	"strings"

	"windtally/extract"
)

// notes turns what a reader could not put into a cell into findings: a sub-head
// that no column takes up may change the meaning of every figure under it.
func (r *Report) notes(t *extract.Table) {
	for _, reading := range r.Study.Readings[t.ID] {
		if g := reading.Meta.Geometry; g != "" && g != t.Geometry(reading.Meta.Reader) {
			f := Finding{Check: "reading-stale", Severity: Blocking, Table: t.Name, Where: t.Name + ":" + reading.Meta.Reader, Mend: true,
				Message:  "tables/" + t.Name + ".yaml was changed after the table was read: its columns now stand elsewhere or under other keys",
				Expected: "a reading made with the table's file as it is now",
				Why:      "figures may stand under the wrong columns",
				Hint:     "read it again: windtally extract " + t.Name}
			if by, keyed := reading.Meta.Keyed(); keyed {
				f.Hint = "take it in again: windtally entry --take FILE --by " + by + " " + t.Name
			}
			r.add(f, t.ID+reading.Meta.Reader)
		}
		if changed := r.Study.Renamed(t.Source, reading.Meta.Named); len(changed) > 0 {
			r.add(Finding{Check: "reading-stale", Severity: Blocking, Table: t.Name, Where: t.Name + ":" + reading.Meta.Reader, Mend: true,
				Message:  "names/" + t.Source + ".yaml was changed after the table was read: " + renamed(changed),
				Expected: "a reading made with the names of the shapes as they are now",
				Why:      "every figure of such a shape may be another one",
				Hint:     "read it again: windtally extract " + t.Name}, t.ID+reading.Meta.Reader+"names")
		}
		for _, n := range reading.Meta.Notes {
			f := Finding{Check: string(n.Kind), Severity: Doubt, Table: t.Name, Where: t.Name + ":" + reading.Meta.Reader, Message: n.Text,
				Evidence: extract.Digest(n.Text)}
			switch n.Kind {
			case extract.SubHead:
				f.Severity = Blocking
				f.Why = "what a sub-head says governs the figures of its block"
				f.Hint = "add a column with words: for it, read the table again; or confirm that it changes no meaning"
			case extract.WordsUnread:
				f.Why = "words such as \"estimated\" in a caption, head or note change what the figures mean"
				f.Hint = "look at the print: say in the table's basis what its words say, and confirm"
			case extract.Qualified:
				f.Severity = Blocking
				f.Why = "a figure that is estimated or approximate is not one that was measured"
				f.Hint = "look at the print; withhold the figures that it qualifies or say it in the table's basis, and confirm"
			case extract.Geometry:
				f.Severity = Blocking
				f.Why = "a lost row or column is the worst of errors: all that is read may be right, and the table is not"
				f.Hint = "count the rows and columns of the print; mend the region or the columns and read the table again, key it, or confirm that none is lost"
			case extract.Stray:
				f.Why = "a figure that landed in no cell is a figure lost"
				f.Hint = "look at the print; widen a column's x: or the region's box and read the table again, or confirm that nothing is lost"
			case extract.GivenOutside:
				f.Why = "figures in captions and footnotes govern the table"
				f.Hint = "look at the print; widen the region's box to take in the words that belong to the table, or confirm"
			case extract.GivenLost:
				f.Why = "figures in captions and footnotes govern the table"
				f.Hint = "mend words: in tables/" + t.Name + ".yaml and read the table again, or rule reread on " + t.Name + ":given:KEY"
			}
			r.add(f, t.ID+reading.Meta.Reader+n.Text)
		}
	}
}

func renamed(list []extract.Renaming) string {
	var out []string
	for _, c := range list {
		now := "has no name now"
		if c.Is != "" {
			now = fmt.Sprintf("is named %q now", c.Is)
		}
		out = append(out, fmt.Sprintf("picture %s was read as %q and %s", c.Picture, c.Was, now))
	}
	return strings.Join(out, ", ")
}
