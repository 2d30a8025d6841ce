package unit

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// atoms maps a normalized spelling of a simple unit to its short token. Spellings
// are in lower case, without points, with single spaces; see normalize.
var atoms = map[string]string{
	"ft": "ft", "foot": "ft", "feet": "ft",
	"in": "in", "ins": "in", "inch": "in", "inches": "in",
	"yd": "yd", "yds": "yd", "yard": "yd", "yards": "yd",
	"mi": "mi", "mile": "mi", "miles": "mi", "statute mile": "mi", "statute miles": "mi",
	"nmi": "nmi", "nautical mile": "nmi", "nautical miles": "nmi", "n mile": "nmi", "n miles": "nmi", "naut mile": "nmi", "naut miles": "nmi",
	"m": "m", "meter": "m", "meters": "m", "metre": "m", "metres": "m",
	"mm": "mm", "millimeter": "mm", "millimeters": "mm", "millimetre": "mm", "millimetres": "mm",
	"cm": "cm", "centimeter": "cm", "centimeters": "cm", "centimetre": "cm", "centimetres": "cm",
	"km": "km", "kilometer": "km", "kilometers": "km", "kilometre": "km", "kilometres": "km",

	"ft2": "ft2", "sq ft": "ft2", "sqft": "ft2", "sq foot": "ft2", "sq feet": "ft2", "square foot": "ft2", "square feet": "ft2", "square ft": "ft2",
	"in2": "in2", "sq in": "in2", "sqin": "in2", "sq ins": "in2", "sq inch": "in2", "sq inches": "in2", "square inch": "in2", "square inches": "in2", "square in": "in2",
	"m2": "m2", "sq m": "m2", "sqm": "m2", "sq meter": "m2", "sq meters": "m2", "sq metre": "m2", "sq metres": "m2", "square meter": "m2", "square meters": "m2", "square metre": "m2", "square metres": "m2", "square m": "m2",
	"cm2": "cm2", "sq cm": "cm2", "sqcm": "cm2", "square centimeter": "cm2", "square centimeters": "cm2", "square centimetre": "cm2", "square centimetres": "cm2",
	"ft3": "ft3", "cu ft": "ft3", "cuft": "ft3", "cu foot": "ft3", "cu feet": "ft3", "cubic foot": "ft3", "cubic feet": "ft3", "cubic ft": "ft3",
	"in3": "in3", "cu in": "in3", "cuin": "in3", "cu inch": "in3", "cubic inch": "in3", "cubic inches": "in3",
	"m3": "m3", "cu m": "m3", "cum": "m3", "cubic meter": "m3", "cubic meters": "m3", "cubic metre": "m3", "cubic metres": "m3",
	"cc": "cm3", "cu cm": "cm3", "cm3": "cm3", "cucm": "cm3", "cubic centimeter": "cm3", "cubic centimeters": "cm3", "cubic centimetre": "cm3", "cubic centimetres": "cm3",
	"liter": "litre", "liters": "litre", "litre": "litre", "litres": "litre",
	"us gal": "usgal", "us gals": "usgal", "us gallon": "usgal", "us gallons": "usgal", "u s gal": "usgal", "u s gallon": "usgal", "u s gallons": "usgal", "american gallon": "usgal", "american gallons": "usgal",
	"imp gal": "impgal", "imp gals": "impgal", "imp gallon": "impgal", "imp gallons": "impgal", "imperial gal": "impgal", "imperial gallon": "impgal", "imperial gallons": "impgal", "british gallon": "impgal", "british gallons": "impgal",
	// German, Italian and Russian reports.
	"qm": "m2", "mq": "m2", "qcm": "cm2", "std": "h", "u": "rev", "umdr": "rev", "tr": "rev", "tour": "rev", "tours": "rev",
	"м": "m", "мм": "mm", "см": "cm", "км": "km", "м2": "m2", "м3": "m3", "сек": "s", "мин": "min", "ч": "h", "час": "h", "кг": "kg", "кгс": "kgf", "л с": "ps", "лс": "ps", "град": "deg", "рад": "rad", "об": "rev",

	"s": "s", "sec": "s", "secs": "s", "second": "s", "seconds": "s",
	"min": "min", "mins": "min", "minute": "min", "minutes": "min",
	"h": "h", "hr": "h", "hrs": "h", "hour": "h", "hours": "h",
	"s2": "s2", "sec2": "s2", "second squared": "s2", "second per second": "s2",

	"lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb",
	"lbf": "lbf", "lb force": "lbf", "lb f": "lbf", "pound force": "lbf", "pounds force": "lbf", "lb wt": "lbf", "pound weight": "lbf",
	"lbm": "lbm", "lb mass": "lbm", "lb m": "lbm", "pound mass": "lbm", "pounds mass": "lbm", "pound (mass)": "lbm", "lb (mass)": "lbm",
	"kg": "kg", "kgs": "kg", "kilo": "kg", "kilos": "kg", "kilogram": "kg", "kilograms": "kg", "kilogramme": "kg", "kilogrammes": "kg",
	"kgf": "kgf", "kg force": "kgf", "kg f": "kgf", "kilogram force": "kgf", "kilograms force": "kgf", "kp": "kgf", "kilopond": "kgf",
	"kg mass": "kgm", "kilogram mass": "kgm", "kg (mass)": "kgm", "kilogram (mass)": "kgm",
	"oz": "oz", "ounce": "oz", "ounces": "oz", "ozf": "ozf", "ounce force": "ozf", "oz mass": "ozm", "ounce mass": "ozm", "ounce (mass)": "ozm",
	"slug": "slug", "slugs": "slug",
	"long cwt": "lcwt", "long hundredweight": "lcwt", "short cwt": "scwt", "short hundredweight": "scwt",
	"long ton": "lton", "long tons": "lton", "short ton": "ston", "short tons": "ston",
	"metric ton": "t", "metric tons": "t", "tonne": "t", "tonnes": "t", "long ton force": "ltonf", "short ton force": "stonf", "metric ton force": "tf", "tonne force": "tf",
	"long ton (mass)": "ltonm", "short ton (mass)": "stonm", "metric ton (mass)": "tm", "long ton mass": "ltonm", "short ton mass": "stonm", "metric ton mass": "tm",
	"newton": "newton", "newtons": "newton", "kilonewton": "kilonewton", "kilonewtons": "kilonewton",
	"gram": "gram", "grams": "gram", "gramme": "gram", "grammes": "gram", "gm": "gram", "gms": "gram",

	"hp": "hp", "horsepower": "hp", "horse power": "hp", "bhp": "hp", "b hp": "hp", "brake horsepower": "hp", "brake horse power": "hp", "brake hp": "hp",
	"shp": "hp", "shaft horsepower": "hp", "ihp": "hp", "indicated horsepower": "hp", "thp": "hp", "thrust horsepower": "hp", "550 ft lb/s": "hp",
	"ps": "ps", "cv": "ps", "ch": "ps", "pk": "ps", "metric hp": "ps", "metric horsepower": "ps", "metric horse power": "ps", "horsepower (metric)": "ps", "hp (metric)": "ps", "hp metric": "ps", "cheval vapeur": "ps", "pferdestarke": "ps", "pferdestärke": "ps",
	"watt": "watt", "watts": "watt", "w": "watt", "kw": "kw", "kilowatt": "kw", "kilowatts": "kw",

	"deg": "deg", "degs": "deg", "degree": "deg", "degrees": "deg", "°": "deg", "º": "deg", "degree of arc": "deg",
	"rad": "rad", "rads": "rad", "radian": "rad", "radians": "rad",
	"rev": "rev", "revs": "rev", "revolution": "rev", "revolutions": "rev",
}

// compounds maps a normalized spelling to the units it can mean, as UCUM codes in
// the order in which an error names them.
var compounds = map[string][]string{
	"1": {"1"}, "none": {"1"}, "dimensionless": {"1"}, "ratio": {"1"}, "coefficient": {"1"}, "one": {"1"}, "-": {"1"}, "nondimensional": {"1"}, "non dimensional": {"1"},
	"%": {"%"}, "percent": {"%"}, "per cent": {"%"}, "pct": {"%"},
	"10*-3": {"10*-3"}, "thousandth": {"10*-3"}, "thousandths": {"10*-3"}, "10*-4": {"10*-4"}, "10*-5": {"10*-5"}, "10*-6": {"10*-6"}, "millionths": {"10*-6"}, "millionth": {"10*-6"},
	"10*3": {"10*3"}, "thousand": {"10*3"}, "thousands": {"10*3"}, "10*4": {"10*4"}, "10*5": {"10*5"}, "10*6": {"10*6"}, "million": {"10*6"}, "millions": {"10*6"},

	"m": {"m"}, "mm": {"mm"}, "cm": {"cm"}, "km": {"km"}, "ft": {"[ft_i]"}, "in": {"[in_i]"}, "yd": {"[yd_i]"}, "mi": {"[mi_i]"}, "nmi": {"[nmi_i]"},
	"'": {"[ft_i]", "'"}, "′": {"[ft_i]", "'"}, "\"": {"[in_i]", "''"}, "″": {"[in_i]", "''"},
	"m2": {"m2"}, "cm2": {"cm2"}, "ft2": {"[ft_i]2"}, "in2": {"[in_i]2"}, "m3": {"m3"}, "ft3": {"[ft_i]3"}, "in3": {"[in_i]3"},
	"cm3": {"cm3"}, "litre": {"L"}, "usgal": {"[gal_us]"}, "impgal": {"[gal_br]"},

	"s": {"s"}, "minute of time": {"min"}, "minutes of time": {"min"}, "min": {"min", "'"}, "h": {"h"},

	"lb": {"[lbf_av]", "[lb_av]"}, "lbf": {"[lbf_av]"}, "lbm": {"[lb_av]"},
	"kg": {"kgf", "kg"}, "kgf": {"kgf"}, "kgm": {"kg"},
	"oz": {"[oz_av].[g]", "[oz_av]"}, "ozf": {"[oz_av].[g]"}, "ozm": {"[oz_av]"},
	"lton": {"[lton_av].[g]", "[lton_av]"}, "ston": {"[ston_av].[g]", "[ston_av]"}, "t": {"t.[g]", "t"},
	"lcwt": {"[lcwt_av].[g]", "[lcwt_av]"}, "scwt": {"[scwt_av].[g]", "[scwt_av]"},
	"ltonf": {"[lton_av].[g]"}, "stonf": {"[ston_av].[g]"}, "tf": {"t.[g]"}, "ltonm": {"[lton_av]"}, "stonm": {"[ston_av]"}, "tm": {"t"},
	"slug": {"[lbf_av].s2/[ft_i]"}, "kgf s2/m": {"kgf.s2/m"}, "kg s2/m": {"kgf.s2/m"}, "kg m-1 s2": {"kgf.s2/m"}, "kgf m-1 s2": {"kgf.s2/m"}, "gram": {"g"}, "g": {"1", "[g]", "g"},
	"newton": {"N"}, "kilonewton": {"kN"},

	"pa": {"Pa"}, "pascal": {"Pa"}, "pascals": {"Pa"}, "hpa": {"hPa"}, "hectopascal": {"hPa"}, "kpa": {"kPa"}, "kilopascal": {"kPa"},
	"mb": {"mbar"}, "mbar": {"mbar"}, "millibar": {"mbar"}, "millibars": {"mbar"},
	"atm": {"atm"}, "atmosphere": {"atm"}, "atmospheres": {"atm"}, "standard atmosphere": {"atm"},
	"in hg": {"[in_i'Hg]"}, "inhg": {"[in_i'Hg]"}, "\" hg": {"[in_i'Hg]"}, "\"hg": {"[in_i'Hg]"}, "inch hg": {"[in_i'Hg]"}, "inches hg": {"[in_i'Hg]"}, "in of hg": {"[in_i'Hg]"}, "inches of hg": {"[in_i'Hg]"}, "inch of mercury": {"[in_i'Hg]"}, "inches of mercury": {"[in_i'Hg]"}, "in of mercury": {"[in_i'Hg]"}, "in mercury": {"[in_i'Hg]"}, "inches mercury": {"[in_i'Hg]"},
	"mm hg": {"mm[Hg]"}, "mmhg": {"mm[Hg]"}, "mm of hg": {"mm[Hg]"}, "mm of mercury": {"mm[Hg]"}, "mm mercury": {"mm[Hg]"}, "millimetre of mercury": {"mm[Hg]"}, "millimeters of mercury": {"mm[Hg]"}, "millimetres of mercury": {"mm[Hg]"}, "millimeter of mercury": {"mm[Hg]"},
	"bar": {"bar"}, "bars": {"bar"},
	"in water": {"[in_i'H2O]"}, "in of water": {"[in_i'H2O]"}, "inch of water": {"[in_i'H2O]"}, "inches of water": {"[in_i'H2O]"}, "inches water": {"[in_i'H2O]"}, "in h2o": {"[in_i'H2O]"}, "\" h2o": {"[in_i'H2O]"},
	"mm water": {"mm[H2O]"}, "mm of water": {"mm[H2O]"}, "mm h2o": {"mm[H2O]"}, "millimetres of water": {"mm[H2O]"}, "millimeters of water": {"mm[H2O]"}, "mm ws": {"mm[H2O]"},
	"lb/ft2": {"[lbf_av]/[ft_i]2"}, "lbf/ft2": {"[lbf_av]/[ft_i]2"}, "psf": {"[lbf_av]/[ft_i]2"},
	"lb/in2": {"[lbf_av]/[in_i]2"}, "lbf/in2": {"[lbf_av]/[in_i]2"}, "psi": {"[lbf_av]/[in_i]2"},
	"kg/m2": {"kgf/m2"}, "kgf/m2": {"kgf/m2"}, "kg/cm2": {"kgf/cm2"}, "kgf/cm2": {"kgf/cm2"}, "newton/m2": {"N/m2"},

	"watt": {"W"}, "kw": {"kW"}, "hp": {"[HP]"}, "ps": {"75.kgf.m/s"},
	"lb/hp": {"[lbf_av]/[HP]"}, "lbf/hp": {"[lbf_av]/[HP]"}, "kg/ps": {"kgf/(75.kgf.m/s)"}, "kgf/ps": {"kgf/(75.kgf.m/s)"}, "kg/hp (550 ft lbf/s)": {"kgf/[HP]"}, "kgf/hp (550 ft lbf/s)": {"kgf/[HP]"}, "newton/watt": {"N/W"},

	"lb/ft": {"[lbf_av]/[ft_i]"}, "lbf/ft": {"[lbf_av]/[ft_i]"}, "lb/in": {"[lbf_av]/[in_i]"}, "lbf/in": {"[lbf_av]/[in_i]"}, "kg/m": {"kgf/m"}, "kgf/m": {"kgf/m"}, "newton/m": {"N/m"},
	"lb/hp/h": {"[lb_av]/([HP].h)"}, "lb/hp h": {"[lb_av]/([HP].h)"}, "lb/(hp h)": {"[lb_av]/([HP].h)"}, "lbm/hp/h": {"[lb_av]/([HP].h)"},
	"kg/ps/h": {"kg/(75.kgf.m/s.h)"}, "kg/ps h": {"kg/(75.kgf.m/s.h)"}, "gram/ps/h": {"g/(75.kgf.m/s.h)"}, "gram/ps h": {"g/(75.kgf.m/s.h)"}, "g/ps/h": {"g/(75.kgf.m/s.h)"}, "g/ps h": {"g/(75.kgf.m/s.h)"},
	"kg m2": {"kg.m2"}, "slug ft2": {"[lbf_av].s2.[ft_i]"}, "slugs ft2": {"[lbf_av].s2.[ft_i]"}, "ft lb s2": {"[lbf_av].s2.[ft_i]"}, "lb ft s2": {"[lbf_av].s2.[ft_i]"}, "lb ft2": {"[lb_av].[ft_i]2"}, "lbm ft2": {"[lb_av].[ft_i]2"},
	"kg m s2": {"kgf.m.s2"}, "kgf m s2": {"kgf.m.s2"}, "m kg s2": {"kgf.m.s2"},

	"ft lb": {"[ft_i].[lbf_av]"}, "lb ft": {"[ft_i].[lbf_av]"}, "ftlb": {"[ft_i].[lbf_av]"}, "lbft": {"[ft_i].[lbf_av]"}, "ft lbf": {"[ft_i].[lbf_av]"}, "lbf ft": {"[ft_i].[lbf_av]"},
	"in lb": {"[in_i].[lbf_av]"}, "lb in": {"[in_i].[lbf_av]"}, "in lbf": {"[in_i].[lbf_av]"}, "lbf in": {"[in_i].[lbf_av]"},
	"kg m": {"kgf.m"}, "m kg": {"kgf.m"}, "kgf m": {"kgf.m"}, "m kgf": {"kgf.m"}, "newton m": {"N.m"},

	"m/s": {"m/s"}, "m/min": {"m/min"}, "mps": {"m/s"}, "km/h": {"km/h"}, "kmph": {"km/h"}, "km ph": {"km/h"}, "kph": {"km/h"}, "kmh": {"km/h"},
	"mi/h": {"[mi_i]/h"}, "mph": {"[mi_i]/h"}, "knot": {"[kn_i]"}, "knots": {"[kn_i]"}, "kt": {"[kn_i]"}, "kts": {"[kn_i]"}, "kn": {"[kn_i]"}, "nmi/h": {"[kn_i]"},
	"ft/s": {"[ft_i]/s"}, "fps": {"[ft_i]/s"}, "ft/min": {"[ft_i]/min"}, "fpm": {"[ft_i]/min"},
	"m/s2": {"m/s2"}, "m/s/s": {"m/s2"}, "ft/s2": {"[ft_i]/s2"}, "ft/s/s": {"[ft_i]/s2"}, "standard gravity": {"[g]"},

	"kg/m3": {"kg/m3"}, "kgm/m3": {"kg/m3"}, "slug/ft3": {"[lbf_av].s2/[ft_i]4"}, "lb ft-4 s2": {"[lbf_av].s2/[ft_i]4"}, "lb s2/ft4": {"[lbf_av].s2/[ft_i]4"},
	"lb/ft3": {"[lb_av]/[ft_i]3"}, "lbm/ft3": {"[lb_av]/[ft_i]3"}, "kg m-4 s2": {"kgf.s2/m4"}, "kg s2/m4": {"kgf.s2/m4"}, "kgf s2/m4": {"kgf.s2/m4"},
	"slug/ft s": {"[lbf_av].s/[ft_i]2"}, "lb s/ft2": {"[lbf_av].s/[ft_i]2"}, "m2/s": {"m2/s"}, "ft2/s": {"[ft_i]2/s"},

	"kelvin": {"K"}, "deg kelvin": {"K"}, "deg k": {"K"}, "k": {"K"}, "c": {"Cel"}, "deg c": {"Cel"}, "celsius": {"Cel"}, "centigrade": {"Cel"}, "deg celsius": {"Cel"}, "deg centigrade": {"Cel"}, "deg cent": {"Cel"},
	"f": {"[degF]"}, "deg f": {"[degF]"}, "fahrenheit": {"[degF]"}, "deg fahrenheit": {"[degF]"}, "deg fahr": {"[degF]"},
	"deg r": {"[degR]"}, "rankine": {"[degR]"}, "deg rankine": {"[degR]"}, "deg f abs": {"[degR]"}, "deg f absolute": {"[degR]"}, "deg c abs": {"K"}, "deg c absolute": {"K"},
	"deg f difference": {"[degR]{difference}"}, "fahrenheit difference": {"[degR]{difference}"}, "deg fahrenheit difference": {"[degR]{difference}"}, "deg r difference": {"[degR]{difference}"}, "deg rankine difference": {"[degR]{difference}"},
	"deg c difference": {"K{difference}"}, "celsius difference": {"K{difference}"}, "deg celsius difference": {"K{difference}"}, "centigrade difference": {"K{difference}"}, "deg centigrade difference": {"K{difference}"}, "deg k difference": {"K{difference}"}, "kelvin difference": {"K{difference}"},

	"deg": {"deg"}, "rad": {"rad"}, "arcmin": {"'"}, "minute of arc": {"'"}, "minutes of arc": {"'"}, "arcsec": {"''"}, "second of arc": {"''"}, "seconds of arc": {"''"},
	"deg/s": {"deg/s"}, "rad/s": {"rad/s"}, "rpm": {"circ/min"}, "rev/min": {"circ/min"}, "rps": {"circ/s"}, "rev/s": {"circ/s"},
	"deg/s2": {"deg/s2"}, "deg/s/s": {"deg/s2"}, "rad/s2": {"rad/s2"}, "rad/s/s": {"rad/s2"},
	"/deg": {"/deg"}, "1/deg": {"/deg"}, "deg-1": {"/deg"}, "/rad": {"/rad"}, "1/rad": {"/rad"}, "rad-1": {"/rad"},
}

// refused names what must be written instead of a spelling that no quantity
// settles.
var refused = map[string]string{
	"ton":  `long (2240 lb), short (2000 lb) or metric? write "long ton", "short ton" or "metric ton"`,
	"tons": `long (2240 lb), short (2000 lb) or metric? write "long ton", "short ton" or "metric ton"`,
	"gal":  gallons, "gals": gallons, "gallon": gallons, "gallons": gallons,
	"cwt": hundredweight, "hundredweight": hundredweight, "hundredweights": hundredweight, "cwts": hundredweight,
	"fahrenheit deg": onScaleOrNot, "centigrade deg": onScaleOrNot, "celsius deg": onScaleOrNot, "f deg": onScaleOrNot, "c deg": onScaleOrNot,
	"kg/hp/h": metricOrNot, "kg/hp h": metricOrNot, "gram/hp/h": metricOrNot, "g/hp/h": metricOrNot, "gram/hp h": metricOrNot, "g/hp h": metricOrNot,
	"knots/h":         `a knot is a nautical mile per hour already; write "knots" if a speed is meant`,
	"knot/h":          `a knot is a nautical mile per hour already; write "knots" if a speed is meant`,
	"knots/hr":        `a knot is a nautical mile per hour already; write "knots" if a speed is meant`,
	"knots/hour":      `a knot is a nautical mile per hour already; write "knots" if a speed is meant`,
	"kg/hp":           `the metric horsepower (75 kgf m/s) or that of 550 ft lbf/s? write "kg per metric hp" or "kg per hp (550 ft lbf/s)"`,
	"kgf/hp":          `the metric horsepower (75 kgf m/s) or that of 550 ft lbf/s? write "kg per metric hp" or "kg per hp (550 ft lbf/s)"`,
	"electric hp":     "746 W; not among the units of this trade",
	"admiralty knots": "6080 ft/h, not the international knot; enter the speed in another unit that the source gives",
	"admiralty knot":  "6080 ft/h, not the international knot; enter the speed in another unit that the source gives",
}

const (
	gallons       = `U.S. (231 cu. in.) or imperial (277.42 cu. in.)? write "U.S. gallon" or "imperial gallon"`
	hundredweight = `long (112 lb) or short (100 lb)? write "long hundredweight" or "short hundredweight"`
	onScaleOrNot  = `a temperature on the scale or a difference? write "deg F" or "deg F difference", "deg C" or "deg C difference"`
	metricOrNot   = `the metric horsepower (75 kgf m/s) or that of 550 ft lbf/s? a consumption per metric hp is written "kg/PS/hr" or "g/PS/hr"; enter one per hp of 550 ft lbf/s in "lb/hp/hr"`
)

// caseMatters holds symbols whose capital and small letter mean different things,
// with the key that each exact spelling stands for; "" refuses it.
var caseMatters = map[string]string{
	"N": "newton", "n": "", "kN": "kilonewton", "K": "k", "k": "", "C": "c", "c": "", "F": "f", "f": "",
	"R": "deg r", "r": "", "t": "t", "T": "", "G": "g", "L": "litre", "l": "litre", "U": "", "u": "", "M": "", "S": "", "H": "", "MW": "", "mW": "", "KN": "", "Cm": "", "CM": "",
}

// scaled matches a factor as heads print it, which of two ways is meant.
var scaled = regexp.MustCompile(`^\s*(?:[x×*]\s*)?10\s*(?:\^|[⁰¹²³⁴⁵⁶⁷⁸⁹⁻])`)

// Parse reads a unit as printed in a report's column head or as written in a
// table's description: "m.p.h.", "sq. ft.", "lb. per sq. ft.", "per deg.". A UCUM
// code of this package is understood too. Capitals are not told apart except
// where they mean another unit (N and n). What is ambiguous is an error that says
// what to write; where the quantity settles it, as force for "lb" in a weight, use
// ParseFor.
func Parse(printed string) (Unit, error) {
	codes, err := candidates(printed)
	if err != nil {
		return Unit{}, err
	}
	if len(codes) > 1 {
		return Unit{}, fmt.Errorf("unit %q is ambiguous: write %s", printed, alternatives(codes))
	}
	u, _ := Lookup(codes[0])
	return u, nil
}

// ParseFor is Parse for a quantity of known dimension, which settles what the
// spelling alone leaves open: "lb" is the pound-force for a weight (Force) and the
// pound for a mass; "min." is a minute of arc for an angle.
func ParseFor(printed string, dim Dimension) (Unit, error) {
	codes, err := candidates(printed)
	if err != nil {
		return Unit{}, err
	}
	var fit []Unit
	for _, code := range codes {
		if u, _ := Lookup(code); u.Dim == dim {
			fit = append(fit, u)
		}
	}
	switch len(fit) {
	case 1:
		return fit[0], nil
	case 0:
		u, _ := Lookup(codes[0])
		return Unit{}, fmt.Errorf("unit %q is %s (%s), but a unit of %s is wanted, such as %s", printed, u.Name, u.Dim, dim, examples(dim))
	}
	return Unit{}, fmt.Errorf("unit %q is ambiguous: write %s", printed, alternatives(codes))
}

// Settled reports whether a text is one unit, or at least one of a single dimension
// of those given.
func Settled(printed string, dims ...Dimension) bool {
	codes, err := candidates(printed)
	if err != nil {
		return false
	}
	return len(codes) == 1 || slices.ContainsFunc(dims, func(dim Dimension) bool {
		fit := 0
		for _, code := range codes {
			if u, _ := Lookup(code); u.Dim == dim {
				fit++
			}
		}
		return fit == 1
	})
}

// Refused reports why a spelling that is known is never taken as a unit, whatever
// the quantity ("tons"), or "".
func Refused(printed string) string { return refused[normalize(strings.TrimSpace(printed))] }

// examples names a few units of a dimension.
func examples(dim Dimension) string {
	var names []string
	for _, u := range table {
		if u.Dim == dim && len(names) < 3 {
			names = append(names, u.Name)
		}
	}
	if len(names) == 0 {
		return "none that is known here"
	}
	return strings.Join(names, ", ")
}

// alternatives lists the names of the candidates, joined by "or".
func alternatives(codes []string) string {
	names := make([]string, len(codes))
	for i, code := range codes {
		u, _ := Lookup(code)
		names[i] = strconv.Quote(u.Name)
	}
	return strings.Join(names, " or ")
}

func candidates(printed string) ([]string, error) {
	if strings.Contains(printed, "10") && scaled.MatchString(printed) {
		return nil, fmt.Errorf("unit %q: does the head multiply the figure or the quantity? a head C_D x 10^4 over 123 means 0.0123, write 10*-4; figures in ten thousands are 10*4", printed)
	}
	exact := strings.TrimSpace(printed)
	if exact == "" {
		return nil, fmt.Errorf(`no unit is given; write "1" for a number without one`)
	}
	// Case and points decide before codes: "t" and "g" are codes, but also
	// ambiguous print.
	bare := strings.TrimSuffix(exact, ".")
	key, known := caseMatters[bare]
	if known && key == "" {
		return nil, fmt.Errorf("unit %q is ambiguous: capital and small letters of this symbol mean different things; write the unit in full", printed)
	}
	if !known {
		key = normalize(exact)
	}
	if why, ok := refused[key]; ok {
		return nil, fmt.Errorf("unit %q is ambiguous: %s", printed, why)
	}
	if codes, ok := compounds[key]; ok {
		return codes, nil
	}
	if _, ok := index[exact]; ok {
		return []string{exact}, nil
	}
	if i, ok := named(key, exact); ok {
		return []string{table[i].UCUM}, nil
	}
	return nil, &unknownError{printed, key}
}

// names tells by the normalized name of each unit where it stands in the table, and
// exactNames by the name as it is. Neither is ever changed.
var names, exactNames = namesOf(table)

func namesOf(table []Unit) (normalized, exact map[string]int) {
	normalized, exact = map[string]int{}, map[string]int{}
	for i, u := range slices.Backward(table) { // the first of a name counts
		normalized[normalize(u.Name)], exact[u.Name] = i, i
	}
	return normalized, exact
}

// named finds the first unit of the table whose name is meant.
func named(key, exact string) (at int, ok bool) {
	i, byKey := names[key]
	j, byName := exactNames[exact]
	switch {
	case byKey && byName:
		return min(i, j), true
	case byKey:
		return i, true
	}
	return j, byName
}

// normalize brings a spelling to the form of the keys of compounds: lower case, no
// points, powers without a caret, "per" as a stroke, and each simple unit by its
// short token.
func normalize(printed string) string {
	s := pointBeforePower.Replace(strings.ToLower(printed))
	s = glyphs.Replace(s)
	s = initials(strings.Fields(s))
	if _, ok := compounds[s]; ok {
		return s
	}
	s = inWords.Replace(" " + s + " ")
	parts := strings.Split(s, "/")
	for i, part := range parts {
		parts[i] = token(strings.TrimSpace(part))
	}
	return strings.Join(parts, "/")
}

var (
	pointBeforePower = strings.NewReplacer(".^", "^", ".²", "2", ".³", "3", ".**", "^")
	glyphs           = strings.NewReplacer(
		".", " ", "²", "2", "³", "3", "⁻¹", "-1", "⁻⁴", "-4", "⁴", "4", "^", "", "**", "",
		"−", "-", "–", "-", "‐", "-", "·", " ", "⋅", " ", "\u00a0", " ", "’", "'", "”", "\"", "÷", " / ", "/", " / ",
	)
	inWords = strings.NewReplacer(" per ", "/", " an hour", "/h", " a second", "/s", " a minute", "/min")
)

// token returns the short token for one part between strokes; a product of two
// units keeps both with a space between them.
func token(part string) string {
	if inner, ok := strings.CutPrefix(part, "("); ok {
		part = strings.TrimSuffix(inner, ")")
	}
	if t, ok := atoms[part]; ok {
		return t
	}
	spaced := strings.Join(strings.Fields(hyphens(part)), " ")
	if t, ok := atoms[spaced]; ok {
		return t
	}
	for _, degree := range []string{"°", "º"} {
		if rest, ok := strings.CutPrefix(spaced, degree); ok {
			spaced = "deg " + strings.TrimSpace(rest)
		}
	}
	words := strings.Fields(spaced)
	for i, w := range words {
		if t, ok := atoms[w]; ok {
			words[i] = t
		}
	}
	return strings.Join(words, " ")
}

// hyphens turns a hyphen between units into a space ("ft-lb", "kg-m-4-s2") but
// leaves the minus of a power.
func hyphens(s string) string {
	out := []byte(s)
	for i := 1; i < len(out); i++ {
		if out[i] == '-' && (i+1 == len(out) || out[i+1] < '0' || out[i+1] > '9') {
			out[i] = ' '
		}
	}
	return string(out)
}

// initials joins words, closing up letters that stood apart with points: "m p h"
// is "mph", "b hp" stays.
func initials(words []string) string {
	var out []string
	run := ""
	flush := func() {
		if run != "" {
			out = append(out, run)
			run = ""
		}
	}
	for _, w := range words {
		if len(w) == 1 && 'a' <= w[0] && w[0] <= 'z' {
			run += w
			continue
		}
		flush()
		out = append(out, w)
	}
	flush()
	return strings.Join(out, " ")
}

// unknownError is the error for a spelling that is not known. A qualifier in it and
// near ones are looked for where it is shown: most words of a head are no units, and nobody asks why.
type unknownError struct{ printed, key string }

func (e *unknownError) Error() string {
	if bare, q, ok := Qualified(e.printed); ok {
		return fmt.Sprintf("unit %q holds more than a unit: %q is %s; write the unit alone, %q, and state the other where the table says what its figures mean", e.printed, q.Printed, q.Kind, bare)
	}
	var near []string
	if e.key != "" {
		near = nearest(e.key)
	}
	if len(near) == 0 {
		return fmt.Sprintf("unit %q is not known; write its UCUM code or its name in full", e.printed)
	}
	return fmt.Sprintf("unit %q is not known; did the source mean %s?", e.printed, strings.Join(near, ", "))
}

// nearest returns up to three known spellings within two edits, nearest first.
func nearest(key string) []string {
	type near struct {
		spelling string
		edits    int
	}
	most := min(2, len(key)/2)
	var found []near
	consider := func(spelling string) {
		if edits := distance(key, spelling, most); edits <= most {
			found = append(found, near{spelling, edits})
		}
	}
	for spelling := range compounds {
		consider(spelling)
	}
	for spelling := range atoms {
		if _, ok := compounds[spelling]; !ok {
			consider(spelling)
		}
	}
	slices.SortFunc(found, func(a, b near) int {
		if a.edits != b.edits {
			return a.edits - b.edits
		}
		return strings.Compare(a.spelling, b.spelling)
	})
	var out []string
	for _, f := range found[:min(3, len(found))] {
		out = append(out, strconv.Quote(f.spelling))
	}
	return out
}

// distance is the number of single-letter edits between a and b, or most+1 where
// it is larger than most.
func distance(a, b string, most int) int {
	if len(a)-len(b) > most || len(b)-len(a) > most {
		return most + 1
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diagonal := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			next := min(row[j]+1, row[j-1]+1, diagonal+cost)
			diagonal, row[j] = row[j], next
		}
	}
	return row[len(b)]
}
