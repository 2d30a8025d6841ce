package validate

import (
	"math/big"
	"slices"

	"windtally/extract"
	"windtally/normalize"
	"windtally/normalize/numeral"
)

// misprints are the factors by which Answering changes a figure: a lost sign, a moved
// point, a wrong first or second digit.
var misprints = [...]*big.Rat{big.NewRat(-1, 1), big.NewRat(10, 1), big.NewRat(1, 10), big.NewRat(2, 1), big.NewRat(1, 2), big.NewRat(6, 5), big.NewRat(4, 5)}

// Answering lists the checks that look at the figure of a cell and would have said
// otherwise of another figure there: of its negative, ten times, a tenth, twice, half,
// six fifths or four fifths of it. A check that is not listed would let any of these
// pass, whatever it is about. It is found by trial: each check runs on the report with
// the figure changed, which is put back, so that nothing else may use the report
// meanwhile. Checks of readings and of meaning, which look at no value, are not tried.
func (r *Report) Answering(id extract.CellID) []string {
	var d *normalize.Datum
	// What does not hold the figure cannot answer for it, and takes time.
	trial := *r
	trial.Series, trial.Records = nil, nil
	for _, s := range r.Series {
		if s.Table.ID == id.Table {
			_, d = s.At(id)
			trial.Series = append(trial.Series, s)
		}
	}
	for _, rec := range r.Records {
		if slices.ContainsFunc(rec.Entries, func(e Entry) bool { return e.Datum == d }) {
			trial.Records = append(trial.Records, rec)
		}
	}
	if d == nil || d.Numeral.Rat().Sign() == 0 {
		return nil
	}
	was := d.Measurement
	defer func() { d.Measurement = was }()
	var list []string
	for _, c := range Checks() {
		before := findsOf(c, &trial)
		for _, factor := range misprints {
			d.Measurement = was
			printed := new(big.Rat).Mul(was.Numeral.Rat(), factor)
			n, err := numeral.Parse(numeral.RoundTo(printed, was.Numeral.Decimals).String())
			if err != nil || n.Rat() == nil || n.Rat().Sign() == 0 {
				continue
			}
			d.Numeral = n
			if was.Value.Known() {
				d.Value = normalize.ExactOf(new(big.Rat).Mul(was.Value.Rat(), factor))
			}
			if now := findsOf(c, &trial); !slices.Equal(before, now) {
				list = append(list, c.Name)
				break
			}
		}
		d.Measurement = was
	}
	return list
}

// findsOf is what a check finds, as far as one finding can be told from another.
func findsOf(c Check, r *Report) []string {
	var list []string
	for _, f := range c.run(r) {
		f.identify(f.detail)
		list = append(list, f.ID+"\t"+string(f.Severity))
	}
	slices.Sort(list)
	return list
}
