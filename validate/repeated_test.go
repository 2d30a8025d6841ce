package validate

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"windtally/extract"
)

func wingRow(row string, alpha string, rest ...string) func(s *extract.Study) {
	return func(s *extract.Study) {
		if alpha != "" {
			set(s, polarID, row, "alpha", alpha)
		}
		for i, key := range []string{"cl", "cd", "ld"} {
			if i < len(rest) {
				set(s, polarID, row, key, rest[i])
			}
		}
	}
}

// steady is a column of angles and one of zero-lift angles, in steps.
func steady(figures ...string) func() *extract.Study {
	return func() *extract.Study {
		b := wingBasis()
		b.Configuration = extract.Configuration{Flap: "split", Deflection: "column flap"}
		p := printed{Table: extract.Table{Name: "zeros", Basis: b, Columns: []extract.Column{{Key: "flap", Quantity: "flap deflection", Unit: "deg"}, {Key: "zero", Quantity: "zero-lift angle", Unit: "deg"}}}}
		for i, f := range figures {
			p.rows = append(p.rows, plain(float64(5*i))+"|"+f)
		}
		return of("wing", p)
	}
}

// A duplicated row, and a row shifted by one (TRADE.md 5.2, from memory).
func TestRepeatedRow(t *testing.T) {
	same := func(*extract.Study) {}
	runChanges(t, []change{
		{"the row above at another angle", wingStudy, wingRow("r06", "", ".474", ".0232", "20.4"), []string{
			`blocking difference polar:r06:cd: .0232 stands off its neighbours, which put it at 0.03353 | expected 0.03353 to within 0.00042, from the figures around it and their scatter | t0000000a/r06/cd | miss 141.60`,
			`blocking difference polar:r06:cl: .474 stands off its neighbours, which put it at 0.6320 | expected 0.6320 to within 0.0024, from the figures around it and their scatter | t0000000a/r06/cl | miss 316.00`,
			`doubt lift-curve-slope polar:r06:cl: C_L .474 at 6 deg stands off the straight part of the lift curve by -0.1580 (the other points lie on one line) | expected 0.632, from a line through the other 5 points of polar | t0000000a/r06/alpha t0000000a/r06/cl | miss 316.00`,
			`doubt repeated-row polar:r06: the row r06 repeats figures of the row above, r05, at another alpha: cl .474, cd .0232, ld 20.4 | expected figures that move from row to row, as those of the other rows do | t0000000a/r05/cl t0000000a/r06/cl t0000000a/r05/cd t0000000a/r06/cd t0000000a/r05/ld t0000000a/r06/ld`,
		}},
		{"the row above, angle and all", wingStudy, wingRow("r06", "4", ".474", ".0232", "20.4"), []string{
			`doubt repeated-row polar:r06: the row r06 is the same as the row r05: 4, .474, .0232, 20.4 | expected figures that move from row to row, as those of the other rows do | t0000000a/r06/alpha t0000000a/r06/cl t0000000a/r06/cd t0000000a/r06/ld t0000000a/r05/alpha t0000000a/r05/cl t0000000a/r05/cd t0000000a/r05/ld`,
		}},
		{"a column that stands still between clear steps", steady("-1.0", "-2.5", "-4.0", "-4.0", "-7.0", "-8.5", "-10.0", "-11.5"), same, []string{
			`blocking difference zeros:r04:zero: -4.0 stands off its neighbours, which put it at -5.50 | expected -5.50 to within 0.21, from the figures around it and their scatter | t00000001/r04/zero | miss 30.00`,
			`doubt repeated-row zeros:r04: the row r04 repeats figures of the row above, r03, at another flap: zero -4.0 | expected figures that move from row to row, as those of the other rows do | t00000001/r03/zero t00000001/r04/zero`,
		}},
		{"one that bends", steady("-1.0", "-2.5", "-4.0", "-5.3", "-6.1", "-6.1", "-6.1", "-6.0"), same, nil},
		{"one that scatters", steady("-1.0", "-3.5", "-4.0", "-4.0", "-6.0", "-6.3", "-9.0", "-9.3"), same, nil},
	})
}

// TestRepeatedRowsInKeyedTables plants in tables keyed from real reports each row anew,
// with the figures of the row above and its own first figures, and counts what is found;
// as printed none of them is named.
func TestRepeatedRowsInKeyedTables(t *testing.T) {
	for _, table := range []struct {
		file      string
		arguments int
		least     int // found per hundred, as measured
	}{
		{"naca-tr-572-p22-table-2-stations-0-and-0.2.csv", 2, 100},
		{"naca-tr-515-table-3.csv", 2, 100},
		{"nasa-tm-4741-p22.csv", 1, 100},
	} {
		f, err := os.Open(filepath.Join("..", "testdata", "keyed", table.file))
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil || len(rows) < 20 {
			t.Fatalf("%s: %d rows, %v", table.file, len(rows), err)
		}
		head, rows := rows[0], rows[1:]
		named := func(rows [][]string) (list []string) {
			p := printed{Table: extract.Table{Name: "keyed", Basis: extract.Basis{Article: "wing"}}}
			for i := range head {
				p.Columns = append(p.Columns, extract.Column{Key: "c" + plain(float64(i)), Quantity: "unclassified"})
			}
			for _, r := range rows {
				p.rows = append(p.rows, strings.Join(r, "|"))
			}
			for _, f := range Run(of("wing", p), nil).Findings {
				if f.Check == "repeated-row" {
					list = append(list, f.Where)
				}
			}
			return list
		}
		if list := named(rows); len(list) > 0 {
			t.Errorf("%s as printed: %q", table.file, list)
		}
		found := 0
		for i := 1; i < len(rows); i++ {
			other := slices.Clone(rows)
			other[i] = append(slices.Clone(rows[i][:table.arguments]), rows[i-1][table.arguments:]...)
			if list := named(other); len(list) == 1 && list[0] == fmt.Sprintf("keyed:r%02d", i+1) {
				found++
			} else {
				t.Logf("%s: row %d repeated: %q", table.file, i+1, list)
			}
		}
		t.Logf("%s: of %d rows that repeat the one above %d are found", table.file, len(rows)-1, found)
		if found*100 < table.least*(len(rows)-1) {
			t.Errorf("%s: of %d rows that repeat the one above %d are found, %d in a hundred were measured", table.file, len(rows)-1, found, table.least)
		}
	}
}
