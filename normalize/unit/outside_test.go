package unit

import (
	"bytes"
	"math/big"
	"os/exec"
	"strings"
	"testing"
)

// gnu names every unit of the table in the language of GNU units (Debian package
// units, definitions of version 2.22), written out by hand: the unit, and the
// coherent SI unit. The scales of temperature are functions there.
var gnu = map[string][2]string{
	"1": {"1", "1"}, "%": {"percent", "1"},
	"m": {"m", "m"}, "mm": {"mm", "m"}, "cm": {"cm", "m"}, "km": {"km", "m"}, "[ft_i]": {"foot", "m"}, "[in_i]": {"inch", "m"}, "[yd_i]": {"yard", "m"}, "[mi_i]": {"mile", "m"}, "[nmi_i]": {"nauticalmile", "m"},
	"m2": {"m^2", "m^2"}, "cm2": {"cm^2", "m^2"}, "[ft_i]2": {"ft^2", "m^2"}, "[in_i]2": {"in^2", "m^2"},
	"m3": {"m^3", "m^3"}, "[ft_i]3": {"ft^3", "m^3"}, "[in_i]3": {"in^3", "m^3"}, "cm3": {"cc", "m^3"}, "L": {"litre", "m^3"}, "[gal_us]": {"usgallon", "m^3"}, "[gal_br]": {"brgallon", "m^3"},
	"s": {"s", "s"}, "min": {"minute", "s"}, "h": {"hour", "s"},
	"kg": {"kg", "kg"}, "g": {"gram", "kg"}, "[lb_av]": {"pound", "kg"}, "[oz_av]": {"ounce", "kg"}, "[lbf_av].s2/[ft_i]": {"slug", "kg"}, "kgf.s2/m": {"kgf s^2/m", "kg"},
	"[lton_av]": {"longton", "kg"}, "[ston_av]": {"shortton", "kg"}, "[lcwt_av]": {"brhundredweight", "kg"}, "[scwt_av]": {"ushundredweight", "kg"}, "t": {"tonne", "kg"},
	"N": {"newton", "N"}, "kN": {"kN", "N"}, "[lbf_av]": {"lbf", "N"}, "kgf": {"kgf", "N"}, "[oz_av].[g]": {"ounce force", "N"}, "[lton_av].[g]": {"longton force", "N"}, "[ston_av].[g]": {"shortton force", "N"},
	"[lcwt_av].[g]": {"brhundredweight force", "N"}, "[scwt_av].[g]": {"ushundredweight force", "N"}, "t.[g]": {"tonne force", "N"},
	"Pa": {"pascal", "Pa"}, "hPa": {"hPa", "Pa"}, "kPa": {"kPa", "Pa"}, "mbar": {"millibar", "Pa"}, "bar": {"bar", "Pa"}, "atm": {"atm", "Pa"}, "[in_i'Hg]": {"inHg", "Pa"}, "mm[Hg]": {"mmHg", "Pa"}, "[in_i'H2O]": {"inH2O", "Pa"}, "mm[H2O]": {"mmH2O", "Pa"},
	"[lbf_av]/[ft_i]2": {"lbf/ft^2", "Pa"}, "[lbf_av]/[in_i]2": {"psi", "Pa"}, "kgf/m2": {"kgf/m^2", "Pa"}, "kgf/cm2": {"kgf/cm^2", "Pa"}, "N/m2": {"N/m^2", "Pa"},
	"W": {"watt", "W"}, "kW": {"kW", "W"}, "[HP]": {"horsepower", "W"}, "75.kgf.m/s": {"metrichorsepower", "W"},
	"[lbf_av]/[HP]": {"lbf/horsepower", "N/W"}, "kgf/(75.kgf.m/s)": {"kgf/metrichorsepower", "N/W"}, "kgf/[HP]": {"kgf/horsepower", "N/W"}, "N/W": {"N/W", "N/W"},
	"N/m": {"N/m", "N/m"}, "[lbf_av]/[ft_i]": {"lbf/ft", "N/m"}, "[lbf_av]/[in_i]": {"lbf/in", "N/m"}, "kgf/m": {"kgf/m", "N/m"},
	"kg/J": {"kg/J", "kg/J"}, "[lb_av]/([HP].h)": {"pound/(horsepower hour)", "kg/J"}, "kg/(75.kgf.m/s.h)": {"kg/(metrichorsepower hour)", "kg/J"}, "g/(75.kgf.m/s.h)": {"gram/(metrichorsepower hour)", "kg/J"},
	"kg.m2": {"kg m^2", "kg m^2"}, "[lbf_av].s2.[ft_i]": {"slug ft^2", "kg m^2"}, "[lb_av].[ft_i]2": {"pound ft^2", "kg m^2"}, "kgf.m.s2": {"kgf m s^2", "kg m^2"},
	"N.m": {"N m", "N m"}, "[ft_i].[lbf_av]": {"foot lbf", "N m"}, "[in_i].[lbf_av]": {"inch lbf", "N m"}, "kgf.m": {"kgf m", "N m"},
	"m/s": {"m/s", "m/s"}, "km/h": {"km/hour", "m/s"}, "[mi_i]/h": {"mph", "m/s"}, "[kn_i]": {"knot", "m/s"}, "[ft_i]/s": {"ft/s", "m/s"}, "m/min": {"m/minute", "m/s"}, "[ft_i]/min": {"ft/minute", "m/s"},
	"m/s2": {"m/s^2", "m/s^2"}, "[ft_i]/s2": {"ft/s^2", "m/s^2"}, "[g]": {"gravity", "m/s^2"},
	"kg/m3": {"kg/m^3", "kg/m^3"}, "[lbf_av].s2/[ft_i]4": {"slug/ft^3", "kg/m^3"}, "[lb_av]/[ft_i]3": {"pound/ft^3", "kg/m^3"}, "kgf.s2/m4": {"kgf s^2/m^4", "kg/m^3"},
	"m2/s": {"m^2/s", "m^2/s"}, "[ft_i]2/s": {"ft^2/s", "m^2/s"}, "Pa.s": {"Pa s", "Pa s"}, "[lbf_av].s/[ft_i]2": {"lbf s/ft^2", "Pa s"},
	"K": {"kelvin", "K"}, "Cel": {"tempC", "K"}, "[degF]": {"tempF", "K"}, "[degR]": {"degR", "K"}, "K{difference}": {"degC", "K"}, "[degR]{difference}": {"degF", "K"},
	"rad": {"radian", "radian"}, "deg": {"degree", "radian"}, "'": {"arcmin", "radian"}, "''": {"arcsec", "radian"},
	"rad/s": {"radian/s", "radian/s"}, "deg/s": {"degree/s", "radian/s"}, "circ/min": {"revolution/minute", "radian/s"}, "circ/s": {"revolution/s", "radian/s"}, "rad/s2": {"radian/s^2", "radian/s^2"}, "deg/s2": {"degree/s^2", "radian/s^2"},
	"/rad": {"1/radian", "1/radian"}, "/deg": {"1/degree", "1/radian"},
	"10*-3": {"1e-3", "1"}, "10*-4": {"1e-4", "1"}, "10*-5": {"1e-5", "1"}, "10*-6": {"1e-6", "1"}, "10*3": {"1e3", "1"}, "10*4": {"1e4", "1"}, "10*5": {"1e5", "1"}, "10*6": {"1e6", "1"},
}

// TestAgainstGNUUnits: every unit of the table, from it to SI and back, at 0, 1 and
// 37.25, within what GNU units' double arithmetic leaves.
func TestAgainstGNUUnits(t *testing.T) {
	all := All()
	program, err := exec.LookPath("units")
	if err != nil {
		t.Fatalf("not run: %d units, both ways; the program units is missing (Debian package units; make tools installs it)", len(all))
	}
	type question struct {
		code, have, want string
		unit             Unit
		value            string
		back             bool
	}
	var asked []question
	for _, u := range all {
		names, ok := gnu[u.UCUM]
		if !ok {
			t.Errorf("%s: no name in GNU units is written beside it", u.UCUM)
			continue
		}
		for _, v := range []string{"0", "1", "37.25"} {
			there, back := v+" ("+names[0]+")", v+" ("+names[1]+")"
			if strings.HasPrefix(names[0], "temp") {
				there = names[0] + "(" + v + ")"
				asked = append(asked, question{u.UCUM, there, names[1], u, v, false}, question{u.UCUM, back, names[0], u, v, true})
				continue
			}
			asked = append(asked, question{u.UCUM, there, names[1], u, v, false}, question{u.UCUM, back, names[0], u, v, true})
		}
	}
	for code := range gnu {
		if _, ok := Lookup(code); !ok {
			t.Errorf("%s: not in the table", code)
		}
	}
	var in bytes.Buffer
	for _, q := range asked {
		in.WriteString(q.have + "\n" + q.want + "\n")
	}
	// -f "" reads the definitions of the system alone; -q asks without a prompt.
	cmd := exec.Command(program, "-q", "-t", "-o", "%.17g", "-f", "")
	cmd.Env = []string{"LC_ALL=C", "UNITS_ENGLISH=GB", "HOME=/nonexistent"}
	cmd.Stdin = &in
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("units: %v\n%s", err, out)
	}
	lines := strings.Split(strings.TrimSuffix(string(out), "\n"), "\n")
	if len(lines) != len(asked) {
		t.Fatalf("units gives %d lines to %d questions; the first: %q", len(lines), len(asked), lines[:min(4, len(lines))])
	}
	for i, q := range asked {
		want, ok := new(big.Rat).SetString(strings.TrimSpace(lines[i]))
		if !ok {
			t.Errorf("units answers %q to %q in %q", lines[i], q.have, q.want)
			continue
		}
		from, to := q.unit, si(t, q.unit.Dim)
		if q.back {
			from, to = to, from
		}
		e, err := Convert(rat(t, q.value), from, to)
		if err != nil {
			t.Fatal(err)
		}
		got := e.Approx()
		// Doubles keep 53 bits; a handful of operations, and a sum with an offset of
		// some hundred.
		bound := new(big.Rat).Abs(want)
		if q.unit.Offset != nil {
			bound.Add(bound, big.NewRat(460, 1))
		}
		bound.Mul(bound, rat(t, "2e-15"))
		if miss := new(big.Rat).Sub(got, want); miss.Abs(miss).Cmp(bound) > 0 {
			t.Errorf("%s: %s in %s is %s, GNU units says %s", q.code, q.have, to.Name, got.FloatString(20), lines[i])
		}
	}
	t.Logf("%d units, %d conversions", len(all), len(asked))
}
