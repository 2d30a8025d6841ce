package validate

import (
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/normalize"
	"windtally/normalize/unit"
)

func relationCheck() Check {
	return Check{
		Name:   "relation",
		About:  "a relation printed in the table (L/D = CL/CD, any declared quotient, product, sum or difference of columns) holds within the printed digits of all its figures",
		Range:  "rows in which all figures of the relation are numbers; judged from the digits alone, whatever the quantities mean",
		Source: "interval arithmetic on half a unit of the last printed digit of every figure; no tolerance",
		run:    relations,
	}
}

var relationForm = regexp.MustCompile(`^\s*([A-Za-z][\w.-]*)\s*=\s*([A-Za-z][\w.-]*)\s*([-+*/])\s*([A-Za-z][\w.-]*)\s*$`)

type relation struct {
	text         string
	result, a, b string
	op           byte
}

func parseRelation(text string, t *extract.Table) (relation, error) {
	m := relationForm.FindStringSubmatch(text)
	if m == nil {
		return relation{}, fmt.Errorf("relation %q; write RESULT = A / B with one of + - * / between two column keys, spaces around it", text)
	}
	r := relation{text: strings.TrimSpace(text), result: m[1], a: m[2], op: m[3][0], b: m[4]}
	for _, key := range []string{r.result, r.a, r.b} {
		if t.Column(key) == nil {
			return relation{}, fmt.Errorf("relation %q: the table has no column %s; its columns: %s", text, key, strings.Join(t.ColumnKeys(), ", "))
		}
	}
	return r, nil
}

// interval is all values that round to a printed figure, ends included: it is not
// known which way the print rounded a half.
type interval struct{ lo, hi *big.Rat }

func printedInterval(d *normalize.Datum) interval {
	half := new(big.Rat).Mul(d.Numeral.Step(), big.NewRat(1, 2))
	v := d.Numeral.Rat()
	return interval{new(big.Rat).Sub(v, half), new(big.Rat).Add(v, half)}
}

// combine returns the interval of a op b; ok is false for a division by an
// interval that holds zero, of which nothing can be said.
func combine(a interval, op byte, b interval) (out interval, ok bool) {
	var f func(x, y *big.Rat) *big.Rat
	switch op {
	case '+':
		f = func(x, y *big.Rat) *big.Rat { return new(big.Rat).Add(x, y) }
	case '-':
		f = func(x, y *big.Rat) *big.Rat { return new(big.Rat).Sub(x, y) }
	case '*':
		f = func(x, y *big.Rat) *big.Rat { return new(big.Rat).Mul(x, y) }
	default:
		if b.lo.Sign() <= 0 && b.hi.Sign() >= 0 {
			return interval{}, false
		}
		f = func(x, y *big.Rat) *big.Rat { return new(big.Rat).Quo(x, y) }
	}
	// Each operation is monotone in each argument, so the ends are at the corners.
	for _, x := range []*big.Rat{a.lo, a.hi} {
		for _, y := range []*big.Rat{b.lo, b.hi} {
			v := f(x, y)
			if out.lo == nil || v.Cmp(out.lo) < 0 {
				out.lo = v
			}
			if out.hi == nil || v.Cmp(out.hi) > 0 {
				out.hi = v
			}
		}
	}
	return out, true
}

func relations(r *Report) []draft {
	var list []draft
	for _, s := range r.Series {
		for _, text := range s.Table.Relations {
			rel, err := parseRelation(text, s.Table)
			if err != nil {
				list = append(list, draft{Finding{Check: "relation", Severity: Blocking, Table: s.Table.Name, Where: "tables/" + s.Table.Name + ".yaml",
					Message: err.Error(), Mend: true}, s.Table.ID + text})
				continue
			}
			for i := range s.Rows {
				if f, bad := rel.judge(s, &s.Rows[i]); bad {
					list = append(list, draft{f, rel.text})
				}
			}
		}
		list = append(list, undeclared(s)...)
	}
	return list
}

// undeclared finds columns of L/D beside lift and drag that no relation holds
// against them: the one proof that a table prints of itself would go unused.
func undeclared(s *normalize.Series) []draft {
	columns := map[string][]string{} // quantity -> column keys
	for i := range s.Table.Columns {
		c := &s.Table.Columns[i]
		// A scaled column (C_D x 10^4) has other digits than the quotient takes.
		one, _ := unit.Lookup("1")
		u, err := unit.ParseFor(c.Unit, one.Dim)
		if q, ok := normalize.Find(c.Quantity); ok && err == nil && u.UCUM == one.UCUM {
			columns[q.Name] = append(columns[q.Name], c.Key)
		}
	}
	lift, drag := columns["lift coefficient"], columns["drag coefficient"]
	if len(lift) == 0 || len(drag) == 0 {
		return nil
	}
	var list []draft
	for _, key := range columns["lift-drag ratio"] {
		declared := func(text string) bool {
			rel, err := parseRelation(text, s.Table)
			// One that cannot be read is a finding already; cl = ld * cd proves as much.
			return err != nil || slices.Contains([]string{rel.result, rel.a, rel.b}, key)
		}
		if slices.ContainsFunc(s.Table.Relations, declared) {
			continue
		}
		hint := fmt.Sprintf("add to tables/%s.yaml: relations: [\"%s = %s / %s\"]", s.Table.Name, key, lift[0], drag[0])
		if len(lift) > 1 || len(drag) > 1 {
			hint += ", or the columns of the same state: " + strings.Join(lift, ", ") + " and " + strings.Join(drag, ", ")
		}
		list = append(list, draft{Finding{Check: "relation-undeclared", Severity: Note, Table: s.Table.Name, Where: s.Table.Name + ":" + key,
			Message: "L/D stands beside C_L and C_D, and no relation says that it is their quotient",
			Why:     "the quotient proves all three figures of each row", Hint: hint, Mend: true}, s.Table.ID + "/" + key})
	}
	return list
}

func (rel relation) judge(s *normalize.Series, row *normalize.Row) (Finding, bool) {
	res, a, b := row.Datum(rel.result), row.Datum(rel.a), row.Datum(rel.b)
	if res == nil || a == nil || b == nil {
		return Finding{}, false
	}
	got := printedInterval(res)
	want, ok := combine(printedInterval(a), rel.op, printedInterval(b))
	if !ok || want.lo.Cmp(got.hi) <= 0 && got.lo.Cmp(want.hi) <= 0 {
		return Finding{}, false
	}
	gap := new(big.Rat).Sub(want.lo, got.hi)
	if want.hi.Cmp(got.lo) < 0 {
		gap = new(big.Rat).Sub(got.lo, want.hi)
	}
	// In half-widths of the printed result: 1 would be the edge of the print's own.
	half := new(big.Rat).Mul(res.Numeral.Step(), big.NewRat(1, 2))
	miss, _ := new(big.Rat).Quo(gap, half).Float64()
	places := res.Numeral.Decimals + 2
	return Finding{
		Check: "relation", Severity: Blocking, Table: s.Table.Name, Where: s.Table.Name + ":" + row.Key + ":" + rel.result,
		Cells: []extract.CellID{a.Cell.ID, b.Cell.ID, res.Cell.ID},
		Message: fmt.Sprintf("%s: %s printed, but %s %c %s lies between %s and %s", rel.text, res.Cell.Text, a.Cell.Text, rel.op, b.Cell.Text,
			want.lo.FloatString(places), want.hi.FloatString(places)),
		Expected: fmt.Sprintf("%s between %s and %s, from the printed digits of %s and %s", rel.result, want.lo.FloatString(places), want.hi.FloatString(places), rel.a, rel.b),
		Miss:     1 + miss,
		Why:      "one of the three figures is misread or misprinted, or the print computed from more digits than it shows",
		Hint:     "look at all three; confirm if the print says so, reread or emend the cell that is wrong",
	}, true
}
