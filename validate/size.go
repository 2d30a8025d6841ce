package validate

// sizes are the bounds of quantities beyond which a figure is doubtful: wide enough for
// everything from models to transports and pressure tunnels, so that they speak of a
// scale or a unit mistaken, and of nothing finer; they raise doubts alone. Common practice, no source. It is
// never changed.
var sizes = []size{
	{"Mach number", 0, 5, "is it printed in percent, or as 1000 M?"},
	{"flap-chord ratio", 0, 1, "is it printed in percent of the chord? then the unit is %"},
	{"flap-span ratio", 0, 1, "is it printed in percent of the span? then the unit is %"},
	{"chord extension", 1, 2.5, "chord with the flap out to chord with it in is wanted; is it printed in percent, or as what is added?"},
	{"center-of-gravity position", -1, 1.5, "is it printed in percent of the chord? then the unit is %"},
	{"taper ratio", 0, 1, "tip chord to root chord is wanted; is it printed the other way about?"},
	{"lift-drag ratio", -250, 250, "is the column scaled?"},
	{"pitching-moment coefficient", -3, 3, "is the column scaled?"},
	{"zero-lift moment coefficient", -1.5, 1.5, "is the column scaled?"},
	{"lift increment", -5, 5, "is the column scaled?"},
	{"drag increment", -5, 5, "is the column scaled?"},
	{"pitching-moment increment", -3, 3, "is the column scaled?"},
	{"zero-lift angle", -40, 40, "is it in degrees, minutes or radians?"},
	{"stalling angle", -40, 60, "is it in degrees, minutes or radians?"},
	{"angle of wing setting", -20, 20, "is it in degrees or minutes?"},
	{"angle of chord", -20, 20, "is it in degrees or minutes?"},
	{"dihedral", -45, 45, "is it in degrees or minutes?"},
	{"flap deflection", -90, 130, "is it in degrees, or a share of the travel?"},
	{"bank angle", -180, 180, "is it in degrees or minutes?"},
	{"stall speed", 4, 130, "is it a speed in the stated unit, with its point where it is printed?"},
	{"airspeed", 0, 1000, "is it a speed in the stated unit, with its point where it is printed?"},
	{"limit speed", 8, 1000, "is it a speed in the stated unit, with its point where it is printed?"},
	{"flap limit speed", 8, 300, "is it a speed in the stated unit, with its point where it is printed?"},
	{"airspeed correction", -50, 50, "is it a correction, and in the stated unit?"},
	{"air temperature", 190, 330, "is it in degrees Celsius, Fahrenheit or of an absolute scale, and no difference of two?"},
	{"altitude", -500, 40000, "is it in feet, metres, or thousands of them?"},
	{"wing loading", 10, 12000, "is it per square foot or per square metre?"},
	{"power", 100, 1e8, "is the column scaled?"},
}

type size struct {
	quantity  string
	low, high float64 // in the canonical unit
	hint      string
}

// sizeOf finds the bounds of a quantity.
func sizeOf(quantity string) (size, bool) {
	for _, s := range sizes {
		if s.quantity == quantity {
			return s, true
		}
	}
	return size{}, false
}
