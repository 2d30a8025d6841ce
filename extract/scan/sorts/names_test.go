package sorts_test

import (
	"context"
	"testing"

	"windtally/extract/scan"
	"windtally/extract/scan/layout"
	"windtally/extract/scan/press"
	"windtally/extract/scan/sorts"
)

// made is a made page as sorts gets it, with the truth of each slot.
type made struct {
	part  sorts.Part
	truth []string
}

// makePage sets a page of the spec and cuts it as the program does. ok is false where
// the page is refused or shows no table.
func makePage(t *testing.T, spec press.Spec) (m made, ok bool) {
	t.Helper()
	fonts, err := press.Fonts()
	if err != nil {
		t.Fatal(err)
	}
	page, err := press.Make(spec, fonts)
	if err != nil {
		t.Fatal(err)
	}
	s, err := scan.Prepare(page.Image, scan.Options{Page: 1, DPI: page.DPI, Unit: 1, Turn: spec.Design.Turn})
	if err != nil {
		t.Fatal(err)
	}
	if s.Unreadable != "" {
		return m, false
	}
	marks := s.Cut(s.Level())
	m.part = sorts.Part{Sheet: s, Marks: marks}
	for _, table := range layout.Find(s, marks, nil) {
		for r, row := range table.Rows {
			if row.SubHead != nil {
				continue
			}
			for c, cell := range row.Cells {
				if table.Columns[c].Words > table.Columns[c].Figures {
					continue
				}
				seen := s.SeenOfFlat(cell.Box)
				text := ""
				for _, pt := range page.Tables {
					for _, pr := range pt.Rows {
						for _, pc := range pr.Cells {
							if pc.Figure() && !cell.Box.Empty() && seen.Contains(pc.Box.MidX(), pc.Box.MidY()) {
								text = pc.Text
							}
						}
					}
				}
				m.part.Slots = append(m.part.Slots, sorts.Slot{Row: r, Column: c, Room: cell.Slot, Baseline: row.Baseline})
				m.truth = append(m.truth, text)
			}
		}
	}
	return m, len(m.part.Slots) > 0
}

// groups reads the page with the truth as votes, which name its groups.
func (m made) groups(t *testing.T) []sorts.Group {
	t.Helper()
	part := m.part
	part.Votes = [][]string{m.truth}
	res, err := sorts.Read(context.Background(), sorts.Input{Parts: []sorts.Part{part}})
	if err != nil {
		t.Fatal(err)
	}
	var out []sorts.Group
	for _, g := range res.Groups {
		if g.Matters() && g.Name != "" && g.Purity >= 0.9 {
			out = append(out, g)
		}
	}
	return out
}

// pairs are pages of one fount and one damage with different figures, two of each
// fount of a half.
func pairs(t *testing.T, half string, each int) [][2]press.Spec {
	t.Helper()
	plan, err := press.Plan(half)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]int{}
	var out [][2]press.Spec
	for _, s := range plan {
		if !s.Ordinary || seen[s.Fount] == each {
			continue
		}
		seen[s.Fount]++
		other := s
		other.Seed += 500000
		out = append(out, [2]press.Spec{s, other})
	}
	return out
}

// named are the groups' pictures under the names that the truth gives them.
func namedOf(list []sorts.Group) []sorts.Named {
	var out []sorts.Named
	for _, g := range list {
		out = append(out, sorts.Named{Picture: g.Picture, Name: g.Name, By: "it"})
	}
	return out
}

func TestMeasure(t *testing.T) {
	for _, half := range []string{press.Tuned, press.HeldOut} {
		cells, accepted, silent, groups, named, misnamed := 0, 0, 0, 0, 0, 0
		fcells, faccepted, fsilent, fgroups, fnamed, fmisnamed := 0, 0, 0, 0, 0, 0
		var other []sorts.Named
		otherFount := ""
		read := func(m made, names []sorts.Named, say string) (cells, accepted, silent, groups, named, misnamed int) {
			truth := m.groups(t)
			res, err := sorts.Read(context.Background(), sorts.Input{Parts: []sorts.Part{m.part}, Names: names})
			if err != nil {
				t.Fatal(err)
			}
			for i, r := range res.Readings[0] {
				if m.truth[i] == "" || r.Empty {
					continue
				}
				cells++
				if len(r.Doubts)+len(r.Shaky) > 0 {
					continue
				}
				accepted++
				if r.Text != m.truth[i] {
					silent++
					t.Logf("%s: %q read %q conf %.2f", say, m.truth[i], r.Text, r.Confidence)
				}
			}
			for _, g := range res.Groups {
				if !g.Matters() {
					continue
				}
				groups++
				if g.Name != "" {
					named++
				}
				for _, tr := range truth {
					if tr.Key == g.Key && g.Name != "" && tr.Name != g.Name {
						misnamed++
						t.Logf("%s: group %s of %d named %s like %.3f", say, tr.Name, g.Size, g.Name, g.Like)
					}
				}
			}
			return
		}
		for _, p := range pairs(t, half, 2) {
			a, ok := makePage(t, p[0])
			b, ok2 := makePage(t, p[1])
			if !ok || !ok2 {
				continue
			}
			names := namedOf(a.groups(t))
			c, ac, si, g, n, mi := read(b, names, p[1].Name+" "+p[1].Fount)
			t.Logf("%s %s %v: %d pictures; %d cells %d accepted %d silent, groups %d named %d", p[1].Name, p[1].Fount, p[1].Kinds, len(names), c, ac, si, g, n)
			cells, accepted, silent, groups, named, misnamed = cells+c, accepted+ac, silent+si, groups+g, named+n, misnamed+mi
			if otherFount != "" && otherFount != p[1].Fount {
				c, ac, si, g, n, mi := read(b, other, p[1].Name+" "+p[1].Fount+" by "+otherFount)
				t.Logf("%s %s by %s: %d cells %d accepted %d silent, groups %d named %d", p[1].Name, p[1].Fount, otherFount, c, ac, si, g, n)
				fcells, faccepted, fsilent, fgroups, fnamed, fmisnamed = fcells+c, faccepted+ac, fsilent+si, fgroups+g, fnamed+n, fmisnamed+mi
			}
			other, otherFount = names, p[1].Fount
		}
		t.Logf("%s: own: %d cells, %d accepted, %d silent, %d groups, %d named, %d misnamed", half, cells, accepted, silent, groups, named, misnamed)
		t.Logf("%s: foreign: %d cells, %d accepted, %d silent, %d groups, %d named, %d misnamed", half, fcells, faccepted, fsilent, fgroups, fnamed, fmisnamed)
	}
}
