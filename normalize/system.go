package normalize

import (
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/normalize/numeral"
	"windtally/normalize/unit"
)

// System is a system of force and moment coefficients. An absolute coefficient is
//
//	C = F/(q S),  q = rho V^2/2
//
// with force F, area S, speed V and density rho; a moment has the chord in its
// denominator too. It follows from a coefficient c of another system as
//
//	C = c Times          where the system has no density in it
//	C = c Per 2/rho      where it has: Per is kg/m3 for one of its unit, force per
//	                     area per speed squared
//
// and so do increments and, per unit of angle, slopes. Sources: NACA's page of
// symbols for the absolute coefficient and the standard density (VERIFIED in TR 824);
// the other definitions from memory, but for lift at 1 ft/s (L = .00119 V^2 C S,
// VERIFIED in a published text).
type System struct {
	Name string
	// Means is the definition, as an edition prints it.
	Means string
	// equation is how the absolute coefficient follows, for the formula of a value.
	equation string
	times    *big.Rat
	per      *big.Rat
	// period is the density of the standard atmosphere of the period in the units of
	// the system, in kg/m3, and periodText as the page of symbols prints it.
	period     *big.Rat
	periodText string
}

// Absolute is the system in which coefficients are published.
const Absolute = "absolute"

// The answers to density: beside a cell.
const (
	StandardPeriod = "standard-period"
	StandardModern = "standard-modern"
)

// modernDensity is that of the standard atmosphere of 1976 at sea level, kg/m3, exact
// by definition.
const modernDensity = "1.225"

// Systems lists the systems of coefficients, the absolute one first.
func Systems() []System { return slices.Clone(systems) }

// systems is never changed.
var systems = makeSystems()

func makeSystems() []System {
	exact := func(code, times string) *big.Rat {
		u, _ := unit.Lookup(code)
		r, _ := new(big.Rat).SetString(times)
		return r.Mul(r, u.Factor)
	}
	// over is force per area over speed squared in kg/m3.
	over := func(pressure, speed string) *big.Rat {
		p, v := exact(pressure, "1"), exact(speed, "1")
		return p.Quo(p, v.Mul(v, v))
	}
	slugs, metric := exact("[lbf_av].s2/[ft_i]4", "0.002378"), exact("kgf.s2/m4", "0.12497")
	return []System{
		{Name: Absolute, Means: "F/(q S)", times: big.NewRat(1, 1)},
		{Name: "british-k", Means: "k = F/(rho V^2 S)", equation: "C = 2 k", times: big.NewRat(2, 1)},
		{Name: "hundredfold", Means: "100 F/(q S)", equation: "C = c/100", times: big.NewRat(1, 100)},
		{Name: "engineering-mph", Means: "K = F/(S V^2) in lb per sq ft per (mile per hour)^2", equation: "C = K/(rho/2)",
			per: over("[lbf_av]/[ft_i]2", "[mi_i]/h"), period: slugs, periodText: "0.002378 slug/ft3"},
		{Name: "engineering-fps", Means: "K = F/(S V^2) in lb per sq ft per (ft per s)^2", equation: "C = K/(rho/2)",
			per: over("[lbf_av]/[ft_i]2", "[ft_i]/s"), period: slugs, periodText: "0.002378 slug/ft3"},
		{Name: "metric-k", Means: "K = F/(S V^2) in kgf per sq m per (m per s)^2", equation: "C = K/(rho/2)",
			per: over("kgf/m2", "m/s"), period: metric, periodText: "0.12497 kgf s2/m4"},
		{Name: "metric-kmh", Means: "K = F/(S V^2) in kgf per sq m per (km per hour)^2", equation: "C = K/(rho/2)",
			per: over("kgf/m2", "km/h"), period: metric, periodText: "0.12497 kgf s2/m4"},
	}
}

// FindSystem returns the system of that name.
func FindSystem(name string) (System, bool) {
	i := slices.IndexFunc(systems, func(s System) bool { return s.Name == name })
	if i < 0 {
		return System{}, false
	}
	return systems[i], true
}

// Dense reports whether the air's density stands between the system and the absolute
// coefficient.
func (s System) Dense() bool { return s.per != nil }

// Factor is what a coefficient of the system is multiplied by, exactly. density is in
// kg/m3; nil takes the standard one of the period. It is not used where the system is
// not Dense. It is an error when the density is not above zero.
func (s System) Factor(density *big.Rat) (*big.Rat, error) {
	if !s.Dense() {
		return new(big.Rat).Set(s.times), nil
	}
	if density == nil {
		density = s.period
	}
	if density.Sign() <= 0 {
		return nil, fmt.Errorf("the density of air is %s kg/m3; it should be above zero", density.FloatString(4))
	}
	f := new(big.Rat).Mul(s.per, big.NewRat(2, 1))
	return f.Quo(f, density), nil
}

// PublishedSystem is what an edition says of the coefficients of a basis: they are
// absolute, and of which system those in the print are.
func PublishedSystem(b extract.Basis) string {
	s, ok := FindSystem(b.Coefficients)
	if !ok || s.Name == Absolute {
		return b.Coefficients
	}
	text := fmt.Sprintf("absolute, converted from %s (%s)", s.Name, s.Means)
	if !s.Dense() {
		return text
	}
	switch b.Density {
	case StandardPeriod:
		return text + " with the standard density of the period, " + s.periodText
	case StandardModern:
		return text + " with the modern standard density, " + modernDensity + " kg/m3"
	}
	return text + " with the density that the source states"
}

var needDensity = need{"density", func(b extract.Basis) string {
	if s, ok := FindSystem(b.Coefficients); !ok || !s.Dense() {
		return "does not apply"
	}
	return b.Density
}, "column KEY or given KEY of a figure of the quantity air density, standard-period (0.002378 slug/ft3, 0.12497 kgf s2/m4) or standard-modern (1.225 kg/m3)"}

// Coefficient reports whether the quantity is a coefficient of force or moment, or
// its slope, of which there are systems.
func (q *Quantity) Coefficient() bool { return q.spoken(needSystem) }

// absolute turns a coefficient of another system into the absolute one. The width of
// a density that is itself a figure joins that of the print (Product):
//
//	C = 2 Per c^1 rho^-1
func (n *normalizer) absolute(row *Row, d *Datum) {
	if d.Basis.Coefficients == Absolute || !d.Value.Known() || d.Refused || !d.Quantity.Coefficient() {
		return
	}
	s, known := FindSystem(d.Basis.Coefficients)
	if !known {
		return // an unknown system is refused where its need is asked for
	}
	if s.Name == "hundredfold" && d.Unit.UCUM == "%" {
		d.Refused = true
		n.group(Meaning, "coefficients", d.Cell.ID, ":"+d.Cell.ID.Column, "",
			"the coefficients are stated as hundredfold and the unit as percent, which would divide by 100 twice; write unit: 1, or coefficients: absolute")
		return
	}
	var density, half, accuracy *big.Rat
	text := s.equation
	if s.Dense() {
		switch d.Basis.Density {
		case StandardPeriod:
			text += ", rho " + s.periodText + ", " + StandardPeriod
		case StandardModern:
			density, _ = new(big.Rat).SetString(modernDensity)
			text += ", rho " + modernDensity + " kg/m3, " + StandardModern
		default:
			at, known := n.referred(row, d, "density", d.Basis.Density, "air density")
			if !known {
				return // of another quantity: referred says so
			}
			if at == nil || !at.Value.Known() || at.Refused {
				d.Refused = true
				n.group(Reference, "density", d.Cell.ID, ":"+d.Cell.ID.Column, "write density: "+needDensity.write,
					fmt.Sprintf("the density (%s) has no figure here, and a coefficient of %s is not absolute without it, so these figures are not published", d.Basis.Density, s.Name))
				return
			}
			density, half, accuracy = at.Value.Rat(), at.Half, at.Accuracy
			text += fmt.Sprintf(", rho %s kg/m3, cell %s/%s", at.Number(), at.Cell.ID.Row, at.Cell.ID.Column)
		}
	}
	f, err := s.Factor(density)
	if err != nil {
		d.Refused = true
		n.group(Meaning, "density", d.Cell.ID, ":"+d.Cell.ID.Column, "", err.Error())
		return
	}
	times := func(r *big.Rat) *big.Rat { return new(big.Rat).Mul(r, f) }
	// joined is the width of C where the coefficient has the width own and the density air.
	joined := func(own, air *big.Rat) (*big.Rat, error) {
		if air == nil {
			return times(own), nil
		}
		_, w, err := Product(times(density), Factor{Name: d.Quantity.Name, Value: d.Value.Rat(), Half: own, Power: 1}, Factor{Name: "the air density", Value: density, Half: air, Power: -1})
		return w, err
	}
	width, err := joined(d.Half, half)
	var stated *big.Rat
	if err == nil && (d.Accuracy != nil || accuracy != nil) {
		// Of two inputs each counts with what the source states of it, else with its digits.
		own, air := d.Half, half
		if d.Accuracy != nil {
			own = d.Accuracy
		}
		if accuracy != nil {
			air = accuracy
		}
		stated, err = joined(own, air)
	}
	if err != nil {
		d.Refused = true
		n.group(Meaning, "density", d.Cell.ID, ":"+d.Cell.ID.Column, "", err.Error())
		return
	}
	d.Factor, d.Value, d.Half, d.Accuracy = f, ExactOf(times(d.Value.Rat())), width, stated
	formula := fmt.Sprintf("%s from %s x %s (%s: %s)", d.Quantity.Canonical, d.Unit.UCUM, factorText(f), s.Name, text)
	if _, ditto, is := strings.Cut(d.Formula, "ditto: "); is {
		formula += "; ditto: " + ditto
	}
	sense := *d.Sense // the column's others may have another density
	sense.Formula = formula
	d.Sense = &sense
}

// factorText writes a factor exactly, or to 15 figures where it has no end.
func factorText(f *big.Rat) string {
	for places := 0; places <= 15; places++ {
		if d := numeral.RoundTo(f, places); d.Rat().Cmp(f) == 0 {
			return d.String()
		}
	}
	return numeral.Round(f, 15).String()
}

// oneSystem refuses a column whose rows are of several systems, and a head that
// names several; and asks where the head names another than the stated one. bases
// are those of the rows, with the names of the rows.
func (n *normalizer) oneSystem(m columnMeaning, head, where string, bases []systemRows) bool {
	if m.quantity == nil || !m.quantity.Coefficient() {
		return true
	}
	if len(bases) > 1 {
		var parts []string
		for _, b := range bases {
			parts = append(parts, fmt.Sprintf("%s (rows %s)", b.system, strings.Join(b.rows, " ")))
		}
		n.problem(Meaning, "systems", nil, where, "write a table for the rows of each system, with its own basis",
			"%s%s: its rows are in several systems of coefficients: %s; a column should be in one", m.quantity.Name, inHead(head), strings.Join(parts, ", "))
		return false
	}
	said := systemsInHead(head)
	if len(said) == 0 {
		// the caption speaks for heads that say nothing
		if in := systemsInHead(kilometres.ReplaceAllString(n.t.Caption, " ")); len(in) == 1 {
			said, head = in, n.t.Caption
		}
	}
	if len(said) > 1 {
		n.problem(Meaning, "systems", nil, where, "split the column, or key its figures in two columns, each with coefficients: of its own",
			"%s%s: the head names several systems of coefficients, %s; a column should be in one", m.quantity.Name, inHead(head), strings.Join(said, " and "))
		return false
	}
	if len(bases) == 0 || bases[0].system == "" || len(said) == 0 {
		return true
	}
	stated := bases[0].system
	fits := map[string][]string{
		"C":     {Absolute},
		"100 C": {"hundredfold"},
		"k":     {"british-k", "engineering-mph", "engineering-fps", "metric-k", "metric-kmh"},
		"K":     {"engineering-mph", "engineering-fps", "metric-k", "metric-kmh"},
	}[said[0]]
	// 100 c_a with the unit percent is the absolute one.
	if slices.Contains(fits, stated) || said[0] == "100 C" && stated == Absolute && (m.unit.UCUM == "%" || m.unit.UCUM == "1") || said[0] == "C" && stated == "hundredfold" {
		return true
	}
	n.problem(HeadDiffers, m.key+"/coefficients", nil, where, "mend the table's file; or confirm, if the head's letters mean something else",
		"the print says %q, a symbol of %s; coefficients is stated as %s", head, strings.Join(fits, ", "), stated)
	return true
}

func inHead(head string) string {
	if head == "" {
		return ""
	}
	return fmt.Sprintf(" (head %q)", head)
}

// systemRows is the rows of a column that are in one system.
type systemRows struct {
	system string
	rows   []string
}

// The symbols of the systems in heads, after a bracket, a sign or at a word's
// beginning: k_L, K_y, 100 c_a, C_z. From memory.
var (
	hundredSymbol  = patternOf(`(^|[^0-9])100\s*(x|×)?\s*[Cc]\s?[_.]?\s?[a-zA-Z]`)
	absoluteSymbol = patternOf(`(^|[^\pL])[dΔδ]?[Cc]\s?_?\s?(L|D|M|l|d|m|a|w|x|y|z|X|Y|Z)\s?_?(max|min|o|0)?([^\pL]|$)`)
	kSymbol        = patternOf(`(^|[^\pL])[dΔδ]?[kK]\s?_?\s?(L|D|M|l|d|m)\s?_?(max|min|o|0)?([^\pL]|$)`)
	engineerSymbol = patternOf(`(^|[^\pL])[dΔδ]?[kK]\s?_?\s?(x|y|z|X|Y|Z)\s?_?(max|min|o|0)?([^\pL]|$)`)
)

// kilometres are no k_m.
var kilometres = regexp.MustCompile(`\b[kK][mM]\b`)

func systemsInHead(head string) []string {
	var list []string
	folded := fold(head)
	switch {
	case hundredSymbol.matches(head, folded):
		list = append(list, "100 C")
	case absoluteSymbol.matches(head, folded):
		list = append(list, "C")
	}
	if kSymbol.matches(head, folded) {
		list = append(list, "k")
	}
	if engineerSymbol.matches(head, folded) {
		list = append(list, "K")
	}
	return list
}

// systemsOf sorts the rows of a column by the system that their basis states; where
// it is one, the rows need no names.
func (n *normalizer) systemsOf(m *columnMeaning, rows []rowMeaning) []systemRows {
	var list []systemRows
	of := func(r int) int { // where the system of a row stands in the list
		system := m.basis.Over(rows[r].basis).Coefficients
		i := slices.IndexFunc(list, func(s systemRows) bool { return s.system == system })
		if i < 0 {
			i = len(list)
			list = append(list, systemRows{system: system})
		}
		return i
	}
	for r := range rows {
		if !rows[r].lost && (len(list) == 0 || r == 0 || rows[r-1].lost || rows[r].basis != rows[r-1].basis) {
			of(r)
		}
	}
	if len(list) < 2 {
		return list
	}
	for r := range rows {
		if !rows[r].lost {
			i := of(r)
			list[i].rows = append(list[i].rows, n.s.Rows[r].Key)
		}
	}
	return list
}
