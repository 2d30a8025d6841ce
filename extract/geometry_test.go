package extract

import "testing"

// The geometry tells every change by which a figure could come under another key,
// and no change of meaning.
func TestGeometry(t *testing.T) {
	table := func() *Table {
		return &Table{Regions: []Region{{Page: 2, Box: []float64{10, 20, 300, 400}}},
			Columns: []Column{{Key: "ias", Head: "Indicated", X: []float64{10, 50}, Quantity: "stall speed", Unit: "mph"}, {Key: "cas", X: []float64{50, 90}}},
			Givens:  []Column{{Key: "weight", Words: "Test weight * lb."}}}
	}
	text, keyed := table().Geometry("text"), table().Geometry("keyed-ab")
	for name, tc := range map[string]struct {
		change              func(*Table)
		textSame, keyedSame bool
	}{
		"nothing":           {func(*Table) {}, true, true},
		"meaning":           {func(t *Table) { t.Columns[0].Unit, t.Columns[0].Quantity = "knots", "airspeed" }, true, true},
		"a head":            {func(t *Table) { t.Columns[0].Head = "I.A.S." }, true, true},
		"keys exchanged":    {func(t *Table) { t.Columns[0].Key, t.Columns[1].Key = "cas", "ias" }, false, false},
		"places exchanged":  {func(t *Table) { t.Columns[0].X, t.Columns[1].X = t.Columns[1].X, t.Columns[0].X }, false, true},
		"a key renamed":     {func(t *Table) { t.Columns[1].Key = "tas" }, false, false},
		"another region":    {func(t *Table) { t.Regions[0].Box[3] = 380 }, false, true},
		"other words":       {func(t *Table) { t.Givens[0].Words = "Weight * lb." }, false, true},
		"a column of sheet": {func(t *Table) { t.Columns[0].At = "C" }, false, true},
		"another range":     {func(t *Table) { t.Range = "B2:C9" }, false, true},
	} {
		c := table()
		tc.change(c)
		if got := c.Geometry("text") == text; got != tc.textSame {
			t.Errorf("%s: the geometry of the text layer's reading stays the same: %v, want %v", name, got, tc.textSame)
		}
		if got := c.Geometry("keyed-ab") == keyed; got != tc.keyedSame {
			t.Errorf("%s: the geometry of a keyed reading stays the same: %v, want %v", name, got, tc.keyedSame)
		}
	}
}
