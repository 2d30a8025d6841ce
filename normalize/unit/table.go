package unit

import (
	"math/big"
	"strings"
)

// row is one line of the table. factor is a product and quotient of exact
// decimals ("4.4482216152605 / 0.3048 / 0.3048"), so that the derivation can be
// read.
type row struct {
	name, code string
	dim        Dimension
	factor     string
	pi         int
	offset     string
}

// rows is the table. Sources: SI = SI Brochure, 9th edition; SP811 = NIST SP 811
// (2008) appendix B.8, where bold values are exact; UCUM = the code's definition;
// derived = a product of exact factors named in the row itself. Standard gravity
// is 9.80665 m/s2 (SI, 3rd CGPM 1901), the pound-force 0.45359237 kg * 9.80665
// m/s2 = 4.4482216152605 N.
var rows = []row{
	{"one", "1", Dimensionless, "1", 0, ""},           // UCUM: the unity
	{"percent", "%", Dimensionless, "1 / 100", 0, ""}, // UCUM: 10*-2

	{"metre", "m", Length, "1", 0, ""},                    // SI
	{"millimetre", "mm", Length, "0.001", 0, ""},          // SI prefix
	{"centimetre", "cm", Length, "0.01", 0, ""},           // SI prefix
	{"kilometre", "km", Length, "1000", 0, ""},            // SI prefix
	{"foot", "[ft_i]", Length, "0.3048", 0, ""},           // SP811, exact
	{"inch", "[in_i]", Length, "0.0254", 0, ""},           // SP811, exact
	{"yard", "[yd_i]", Length, "0.9144", 0, ""},           // SP811, exact
	{"statute mile", "[mi_i]", Length, "1609.344", 0, ""}, // SP811, exact
	{"nautical mile", "[nmi_i]", Length, "1852", 0, ""},   // SP811, exact

	{"square metre", "m2", Area, "1", 0, ""},                             // SI
	{"square centimetre", "cm2", Area, "0.01 * 0.01", 0, ""},             // SI prefix
	{"square foot", "[ft_i]2", Area, "0.3048 * 0.3048", 0, ""},           // SP811, exact
	{"square inch", "[in_i]2", Area, "0.0254 * 0.0254", 0, ""},           // SP811, exact
	{"cubic metre", "m3", Volume, "1", 0, ""},                            // SI
	{"cubic foot", "[ft_i]3", Volume, "0.3048 * 0.3048 * 0.3048", 0, ""}, // derived
	{"cubic inch", "[in_i]3", Volume, "0.0254 * 0.0254 * 0.0254", 0, ""}, // derived

	{"cubic centimetre", "cm3", Volume, "0.01 * 0.01 * 0.01", 0, ""},             // SI prefix
	{"litre", "L", Volume, "0.001", 0, ""},                                       // SI table 8
	{"U.S. gallon", "[gal_us]", Volume, "231 * 0.0254 * 0.0254 * 0.0254", 0, ""}, // UCUM: 231 in3; SP811 3.785 412 E-03
	{"imperial gallon", "[gal_br]", Volume, "0.00454609", 0, ""},                 // SP811 4.546 09 E-03, exact

	{"second", "s", Time, "1", 0, ""},            // SI
	{"minute of time", "min", Time, "60", 0, ""}, // SI table 8
	{"hour", "h", Time, "3600", 0, ""},           // SI table 8

	{"kilogram (mass)", "kg", Mass, "1", 0, ""},                                  // SI
	{"gram", "g", Mass, "0.001", 0, ""},                                          // SI prefix
	{"pound (mass)", "[lb_av]", Mass, "0.45359237", 0, ""},                       // SP811 footnote 22, exact
	{"ounce (mass)", "[oz_av]", Mass, "0.45359237 / 16", 0, ""},                  // UCUM: [lb_av]/16
	{"slug", "[lbf_av].s2/[ft_i]", Mass, "4.4482216152605 / 0.3048", 0, ""},      // derived; SP811 1.459 390 E+01
	{"technical mass unit", "kgf.s2/m", Mass, "9.80665", 0, ""},                  // kgf s2/m, derived
	{"long ton (mass)", "[lton_av]", Mass, "2240 * 0.45359237", 0, ""},           // UCUM: 112 lb * 20; SP811 1.016 047 E+03
	{"short ton (mass)", "[ston_av]", Mass, "2000 * 0.45359237", 0, ""},          // UCUM: 2000 lb; SP811 9.071 847 E+02
	{"long hundredweight (mass)", "[lcwt_av]", Mass, "112 * 0.45359237", 0, ""},  // UCUM: 112 lb; SP811 5.080 235 E+01
	{"short hundredweight (mass)", "[scwt_av]", Mass, "100 * 0.45359237", 0, ""}, // UCUM: 100 lb; SP811 4.535 924 E+01
	{"metric ton (mass)", "t", Mass, "1000", 0, ""},                              // SI table 8

	{"newton", "N", Force, "1", 0, ""},                                                         // SI
	{"kilonewton", "kN", Force, "1000", 0, ""},                                                 // SI prefix
	{"pound-force", "[lbf_av]", Force, "0.45359237 * 9.80665", 0, ""},                          // derived; SP811 4.448 222
	{"kilogram-force", "kgf", Force, "9.80665", 0, ""},                                         // SP811, exact
	{"ounce-force", "[oz_av].[g]", Force, "0.45359237 / 16 * 9.80665", 0, ""},                  // derived; SP811 2.780 139 E-01
	{"long ton-force", "[lton_av].[g]", Force, "2240 * 0.45359237 * 9.80665", 0, ""},           // derived
	{"short ton-force", "[ston_av].[g]", Force, "2000 * 0.45359237 * 9.80665", 0, ""},          // derived; SP811 8.896 443 E+03
	{"long hundredweight-force", "[lcwt_av].[g]", Force, "112 * 0.45359237 * 9.80665", 0, ""},  // derived
	{"short hundredweight-force", "[scwt_av].[g]", Force, "100 * 0.45359237 * 9.80665", 0, ""}, // derived
	{"metric ton-force", "t.[g]", Force, "1000 * 9.80665", 0, ""},                              // derived; SP811 9.806 65 E+03, exact

	{"pascal", "Pa", Pressure, "1", 0, ""},                                                                    // SI
	{"hectopascal", "hPa", Pressure, "100", 0, ""},                                                            // SI prefix
	{"kilopascal", "kPa", Pressure, "1000", 0, ""},                                                            // SI prefix
	{"millibar", "mbar", Pressure, "100", 0, ""},                                                              // SP811, exact
	{"bar", "bar", Pressure, "100000", 0, ""},                                                                 // SP811, exact
	{"inch of water", "[in_i'H2O]", Pressure, "0.0254 * 1000 * 9.80665", 0, ""},                               // conventional water, 1000 kg/m3; SP811 2.490 889 E+02
	{"millimetre of water", "mm[H2O]", Pressure, "0.001 * 1000 * 9.80665", 0, ""},                             // conventional water; SP811 9.806 65, exact
	{"standard atmosphere", "atm", Pressure, "101325", 0, ""},                                                 // SP811, exact
	{"inch of mercury", "[in_i'Hg]", Pressure, "0.0254 * 13595.1 * 9.80665", 0, ""},                           // conventional mercury; SP811 3.386 389 E+03
	{"millimetre of mercury", "mm[Hg]", Pressure, "0.001 * 13595.1 * 9.80665", 0, ""},                         // conventional mercury; SP811 1.333 224 E+02
	{"pound-force per square foot", "[lbf_av]/[ft_i]2", Pressure, "4.4482216152605 / 0.3048 / 0.3048", 0, ""}, // derived; SP811 4.788 026 E+01
	{"pound-force per square inch", "[lbf_av]/[in_i]2", Pressure, "4.4482216152605 / 0.0254 / 0.0254", 0, ""}, // derived; SP811 6.894 757 E+03
	{"kilogram-force per square metre", "kgf/m2", Pressure, "9.80665", 0, ""},                                 // SP811, exact
	{"kilogram-force per square centimetre", "kgf/cm2", Pressure, "9.80665 / 0.0001", 0, ""},                  // SP811 9.806 65 E+04, exact
	{"newton per square metre", "N/m2", Pressure, "1", 0, ""},                                                 // SI

	{"watt", "W", Power, "1", 0, ""},                                       // SI
	{"kilowatt", "kW", Power, "1000", 0, ""},                               // SI prefix
	{"horsepower", "[HP]", Power, "550 * 0.3048 * 4.4482216152605", 0, ""}, // UCUM: 550 [ft_i].[lbf_av]/s; SP811 7.456 999 E+02
	{"metric horsepower", "75.kgf.m/s", Power, "75 * 9.80665", 0, ""},      // derived; SP811 7.354 988 E+02

	{"pound-force per horsepower", "[lbf_av]/[HP]", PowerLoading, "1 / 550 / 0.3048", 0, ""},                                      // derived
	{"kilogram-force per metric horsepower", "kgf/(75.kgf.m/s)", PowerLoading, "1 / 75", 0, ""},                                   // derived
	{"kilogram-force per horsepower (550 ft lbf/s)", "kgf/[HP]", PowerLoading, "9.80665 / 550 / 0.3048 / 4.4482216152605", 0, ""}, // derived
	{"newton per watt", "N/W", PowerLoading, "1", 0, ""},                                                                          // SI

	{"newton per metre", "N/m", SpanLoading, "1", 0, ""},                                        // SI
	{"pound-force per foot", "[lbf_av]/[ft_i]", SpanLoading, "4.4482216152605 / 0.3048", 0, ""}, // derived; SP811 1.459 390 E+01
	{"pound-force per inch", "[lbf_av]/[in_i]", SpanLoading, "4.4482216152605 / 0.0254", 0, ""}, // derived; SP811 1.751 268 E+02
	{"kilogram-force per metre", "kgf/m", SpanLoading, "9.80665", 0, ""},                        // derived

	{"kilogram per joule", "kg/J", FuelConsumption, "1", 0, ""},                                                                     // SI
	{"pound per horsepower hour", "[lb_av]/([HP].h)", FuelConsumption, "0.45359237 / 550 / 0.3048 / 4.4482216152605 / 3600", 0, ""}, // derived; SP811 1.689 659 E-07
	{"kilogram per metric horsepower hour", "kg/(75.kgf.m/s.h)", FuelConsumption, "1 / 75 / 9.80665 / 3600", 0, ""},                 // derived
	{"gram per metric horsepower hour", "g/(75.kgf.m/s.h)", FuelConsumption, "0.001 / 75 / 9.80665 / 3600", 0, ""},                  // derived

	{"kilogram square metre", "kg.m2", MomentOfInertia, "1", 0, ""},                                  // SI
	{"slug square foot", "[lbf_av].s2.[ft_i]", MomentOfInertia, "4.4482216152605 * 0.3048", 0, ""},   // derived
	{"pound square foot", "[lb_av].[ft_i]2", MomentOfInertia, "0.45359237 * 0.3048 * 0.3048", 0, ""}, // derived; SP811 4.214 011 E-02
	{"kilogram-force metre second squared", "kgf.m.s2", MomentOfInertia, "9.80665", 0, ""},           // derived

	{"newton metre", "N.m", Moment, "1", 0, ""},                                        // SI
	{"foot pound-force", "[ft_i].[lbf_av]", Moment, "0.3048 * 4.4482216152605", 0, ""}, // SP811 1.355 818
	{"inch pound-force", "[in_i].[lbf_av]", Moment, "0.0254 * 4.4482216152605", 0, ""}, // SP811 1.129 848 E-01
	{"kilogram-force metre", "kgf.m", Moment, "9.80665", 0, ""},                        // SP811, exact

	{"metre per second", "m/s", Speed, "1", 0, ""},                         // SI
	{"kilometre per hour", "km/h", Speed, "1000 / 3600", 0, ""},            // SP811 2.777 778 E-01
	{"statute mile per hour", "[mi_i]/h", Speed, "1609.344 / 3600", 0, ""}, // SP811 4.4704 E-01, exact
	{"knot", "[kn_i]", Speed, "1852 / 3600", 0, ""},                        // SP811 5.144 444 E-01
	{"foot per second", "[ft_i]/s", Speed, "0.3048", 0, ""},                // SP811, exact
	{"metre per minute", "m/min", Speed, "1 / 60", 0, ""},                  // derived
	{"foot per minute", "[ft_i]/min", Speed, "0.3048 / 60", 0, ""},         // SP811 5.08 E-03, exact

	{"metre per second squared", "m/s2", Acceleration, "1", 0, ""},          // SI
	{"foot per second squared", "[ft_i]/s2", Acceleration, "0.3048", 0, ""}, // SP811, exact
	{"standard gravity", "[g]", Acceleration, "9.80665", 0, ""},             // SP811, exact

	{"kilogram per cubic metre", "kg/m3", Density, "1", 0, ""},                                                            // SI
	{"slug per cubic foot", "[lbf_av].s2/[ft_i]4", Density, "4.4482216152605 / 0.3048 / 0.3048 / 0.3048 / 0.3048", 0, ""}, // derived; SP811 5.153 788 E+02
	{"pound per cubic foot", "[lb_av]/[ft_i]3", Density, "0.45359237 / 0.3048 / 0.3048 / 0.3048", 0, ""},                  // derived; SP811 1.601 846 E+01
	{"kilogram-force second squared per metre to the fourth", "kgf.s2/m4", Density, "9.80665", 0, ""},                     // derived; the metric density of NACA symbol pages

	{"square metre per second", "m2/s", KinematicViscosity, "1", 0, ""},                   // SI
	{"square foot per second", "[ft_i]2/s", KinematicViscosity, "0.3048 * 0.3048", 0, ""}, // SP811, exact

	{"pascal second", "Pa.s", DynamicViscosity, "1", 0, ""},                                                                    // SI
	{"pound-force second per square foot", "[lbf_av].s/[ft_i]2", DynamicViscosity, "4.4482216152605 / 0.3048 / 0.3048", 0, ""}, // derived; SP811 4.788 026 E+01

	{"kelvin", "K", Temperature, "1", 0, ""},                           // SI
	{"degree Celsius", "Cel", Temperature, "1", 0, "273.15"},           // SI
	{"degree Fahrenheit", "[degF]", Temperature, "5 / 9", 0, "459.67"}, // SP811 B.8: T/K = (t/degF + 459.67)/1.8
	{"degree Rankine", "[degR]", Temperature, "5 / 9", 0, ""},          // SP811 B.8: T/K = (T/degR)/1.8

	// A difference of one degree Celsius is a kelvin, of one degree Fahrenheit a
	// degree Rankine. The codes bear UCUM annotations: Cel and [degF] are scales.
	{"kelvin difference", "K{difference}", TemperatureDifference, "1", 0, ""},                     // SI
	{"degree Fahrenheit difference", "[degR]{difference}", TemperatureDifference, "5 / 9", 0, ""}, // SP811 B.8: temperature interval, 5.555 556 E-01 K

	{"radian", "rad", Angle, "1", 0, ""},                // SI
	{"degree", "deg", Angle, "1 / 180", 1, ""},          // SI table 8
	{"minute of arc", "'", Angle, "1 / 10800", 1, ""},   // SI table 8
	{"second of arc", "''", Angle, "1 / 648000", 1, ""}, // SI table 8

	{"radian per second", "rad/s", AngularSpeed, "1", 0, ""},             // SI
	{"degree per second", "deg/s", AngularSpeed, "1 / 180", 1, ""},       // derived
	{"revolution per minute", "circ/min", AngularSpeed, "2 / 60", 1, ""}, // UCUM: circ = 2.[pi].rad; SP811 1.047 198 E-01
	{"revolution per second", "circ/s", AngularSpeed, "2", 1, ""},        // UCUM: circ = 2.[pi].rad

	{"radian per second squared", "rad/s2", AngularAcceleration, "1", 0, ""},       // SI
	{"degree per second squared", "deg/s2", AngularAcceleration, "1 / 180", 1, ""}, // derived

	{"per radian", "/rad", PerAngle, "1", 0, ""},    // derived
	{"per degree", "/deg", PerAngle, "180", -1, ""}, // derived

	// A head "C_D x 10^4" over 123 means 0.0123: its unit is 10*-4.
	{"thousandth", "10*-3", Dimensionless, "0.001", 0, ""},           // UCUM: powers of ten
	{"ten-thousandth", "10*-4", Dimensionless, "0.0001", 0, ""},      // UCUM: powers of ten
	{"hundred-thousandth", "10*-5", Dimensionless, "0.00001", 0, ""}, // UCUM: powers of ten
	{"millionth", "10*-6", Dimensionless, "0.000001", 0, ""},         // UCUM: powers of ten
	{"thousand", "10*3", Dimensionless, "1000", 0, ""},               // UCUM: powers of ten
	{"ten thousand", "10*4", Dimensionless, "10000", 0, ""},          // UCUM: powers of ten
	{"hundred thousand", "10*5", Dimensionless, "100000", 0, ""},     // UCUM: powers of ten
	{"million", "10*6", Dimensionless, "1000000", 0, ""},             // UCUM: powers of ten
}

var (
	table = build(rows)
	index = indexOf(table)
)

// build computes the factors. A malformed row has a nil factor, which the tests
// of the table look for; Convert refuses it.
func build(rows []row) []Unit {
	units := make([]Unit, len(rows))
	for i, r := range rows {
		units[i] = Unit{Name: r.name, UCUM: r.code, Dim: r.dim, Factor: product(r.factor), Pi: r.pi}
		if r.offset != "" {
			units[i].Offset = product(r.offset)
		}
	}
	return units
}

func indexOf(units []Unit) map[string]int {
	codes := make(map[string]int, len(units))
	for i, u := range units {
		codes[u.UCUM] = i
	}
	return codes
}

// product evaluates "a * b / c" from left to right; nil where it is malformed.
func product(expression string) *big.Rat {
	fields := strings.Fields(expression)
	result := big.NewRat(1, 1)
	for i := 0; i < len(fields); i++ {
		divide := false
		if i > 0 {
			if divide = fields[i] == "/"; !divide && fields[i] != "*" || i+1 == len(fields) {
				return nil
			}
			i++
		}
		r, ok := new(big.Rat).SetString(fields[i])
		if !ok || r.Sign() == 0 {
			return nil
		}
		if divide {
			result.Quo(result, r)
		} else {
			result.Mul(result, r)
		}
	}
	return result
}
