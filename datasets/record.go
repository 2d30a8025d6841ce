package datasets

// Format is the version of the published form itself: which files, columns and
// meanings an edition has. It is apart from the version of the data.
const Format = 1

// Edition is one published version of the dataset.
//
// Every record is one row of a CSV resource. The order of the slices carries no
// meaning: Write sorts each resource by its primary key, and Load returns it so.
type Edition struct {
	Name         string // lower-case, as Data Package names are: "tarnholm-flaps"
	Title        string
	Version      string // MAJOR.MINOR.PATCH
	Created      string // RFC 3339, UTC, to the second: "2031-05-04T10:00:00Z"
	Description  string
	Format       int // 1; Write takes 0 as the format that it writes
	Licence      Licence
	Contributors []Contributor
	Caution      string // what the data must not be used for

	// Previous is the version of the edition before, "" for the first one, and
	// Changes is what Compare found between the two.
	Previous string
	Changes  Changes

	Sources         []Source
	Subjects        []Subject
	Configurations  []Configuration
	Conditions      []Conditions
	Values          []Value
	Polars          []Polar
	FlapIncrements  []FlapIncrement
	StallSpeeds     []StallSpeed
	Limits          []Limit
	Power           []Power
	Characteristics []Characteristic
	Derived         []Derived
	Reviews         []Review
	Findings        []Finding
	Tolerances      []Tolerance
}

// Licence is the licence of the edition; Name is an SPDX identifier.
type Licence struct{ Name, Path, Title string }

// Contributor is a person or a body and what they did.
type Contributor struct {
	Title string
	Roles []string
}

// Measured is a number in a record: what is published, half the width of the
// interval that rounding leaves, and the record in values that the number
// repeats. It takes three columns: X, X_half_width and X_value_id.
type Measured struct {
	Value     Number
	HalfWidth Number // "" or positive
	ValueID   string
}

// The tags below are the one description of each resource, from which the CSV
// files, the schemas and the checks are made:
//
//	csv       column name
//	type      id, text, print (text as printed, which may be a negative numeral),
//	          list (ids with single spaces between), integer, boolean, datetime,
//	          digest, uri, unit; a Number or Measured field is a number without saying so
//	key       part of the primary key
//	ref       resource that the column points into
//	need      must not be empty; on a Measured field this goes for its value
//	said      on a Measured field: the value may be stated by the basis alone,
//	          without a record in values
//	enum      values allowed, with | between
//	min       least value of an integer
//	unit      UCUM code
//	quantity  what a Measured field's record in values may be, with | between
//	change    the step in the data's version that a change of this column demands,
//	          where it is not the usual one (numbers minor, all else major)
//	doc       what the column means
type (
	// Source is a cited report or manual.
	Source struct {
		SourceID    string `csv:"source_id" type:"id" key:"yes" doc:"source: a cited report or manual"`
		Designation string `csv:"designation" type:"text" need:"yes" change:"patch" doc:"report number as the publisher gives it"`
		Title       string `csv:"title" type:"text" need:"yes" change:"patch" doc:"title of the source"`
		Authors     string `csv:"authors" type:"text" change:"patch" doc:"authors as printed, with a semicolon between"`
		Year        int    `csv:"year" type:"integer" min:"1" change:"patch" doc:"year of publication"`
		Publisher   string `csv:"publisher" type:"text" change:"patch" doc:"publisher"`
		Rights      string `csv:"rights" type:"text" need:"yes" change:"patch" doc:"rights in the source itself, not in these data"`
		SHA256      string `csv:"sha256" type:"digest" need:"yes" change:"minor" doc:"SHA-256 of the file that was read, in lower-case hexadecimal"`
		Pages       int    `csv:"pages" type:"integer" min:"1" change:"patch" doc:"number of pages of the file"`
		FirstPage   string `csv:"first_page" type:"print" change:"patch" doc:"number printed on the first page of the file"`
		URL         string `csv:"url" type:"uri" change:"patch" doc:"where the source can be had"`
	}

	// Subject is what numbers describe.
	Subject struct {
		SubjectID string `csv:"subject_id" type:"id" key:"yes" doc:"subject: what the numbers describe"`
		Kind      string `csv:"kind" type:"text" need:"yes" enum:"section|wing|rotor|model|aeroplane" doc:"kind of subject"`
		Title     string `csv:"title" type:"text" need:"yes" change:"patch" doc:"name of the subject"`
		Note      string `csv:"note" type:"text" change:"patch" doc:"remark"`
	}

	// Configuration is the state of a subject: flaps, slats, gear, propeller,
	// power and trim.
	Configuration struct {
		ConfigurationID     string   `csv:"configuration_id" type:"id" key:"yes" doc:"configuration: flaps, slats, gear, propeller, power and trim"`
		SubjectID           string   `csv:"subject_id" type:"id" need:"yes" ref:"subjects" doc:"subject"`
		FlapType            string   `csv:"flap_type" type:"text" doc:"type of flap; empty where it is not said"`
		FlapDeflection      Measured `csv:"flap_deflection" unit:"deg" quantity:"flap deflection" said:"yes" change:"major" doc:"flap deflection, positive downwards"`
		FlapDeflectionState string   `csv:"flap_deflection_state" type:"text" enum:"lowered|loaded" doc:"deflection as lowered on the ground or as loaded in the air stream"`
		FlapDeflectionDatum string   `csv:"flap_deflection_datum" type:"text" enum:"neutral|chord|lower-surface" doc:"line from which the flap deflection is counted: the flap's own place when it is up, the chord or the lower surface of the wing; empty where the source does not say"`
		FlapDeflectionPlane string   `csv:"flap_deflection_plane" type:"text" enum:"hinge|stream" doc:"plane in which the flap deflection is measured: square to the hinge, or along the stream; empty where the source does not say"`
		FlapSettings        string   `csv:"flap_settings" type:"text" doc:"settings that the pilot can select"`
		Slats               string   `csv:"slats" type:"text" doc:"leading-edge slats or slots"`
		Gear                string   `csv:"gear" type:"text" doc:"landing gear"`
		Propeller           string   `csv:"propeller" type:"text" doc:"propeller"`
		PowerState          string   `csv:"power_state" type:"text" doc:"state of the engine"`
		Trim                string   `csv:"trim" type:"text" doc:"trim"`
		Note                string   `csv:"note" type:"text" change:"patch" doc:"remark"`
	}

	// Conditions is what figures mean: one row a distinct basis.
	Conditions struct {
		ConditionsID       string   `csv:"conditions_id" type:"id" key:"yes" doc:"conditions: what the figures mean"`
		Article            string   `csv:"article" type:"text" need:"yes" doc:"article tested: section, wing, model, rotor, aeroplane"`
		Fitted             string   `csv:"fitted" type:"text" doc:"what was fitted to the article: propeller, cooling flow, gear"`
		CoefficientSystem  string   `csv:"coefficient_system" type:"text" doc:"system of coefficients"`
		ReferenceArea      string   `csv:"reference_area" type:"text" doc:"area on which coefficients are based"`
		ReferenceChord     string   `csv:"reference_chord" type:"text" doc:"chord on which moment coefficients and Reynolds number are based"`
		MomentCenter       string   `csv:"moment_center" type:"text" doc:"point about which moments are taken"`
		MomentSign         string   `csv:"moment_sign" type:"text" enum:"nose-up|nose-up, converted from nose-down" doc:"pitching moments are positive nose up, as the print has them or converted; empty where the source does not say"`
		AngleDatum         string   `csv:"angle_datum" type:"text" doc:"line from which the angle of attack is counted"`
		DragKind           string   `csv:"drag_kind" type:"text" enum:"total|profile" doc:"total or profile drag"`
		Walls              string   `csv:"walls" type:"text" doc:"whether figures are corrected for the walls of the tunnel"`
		AspectRatioBasis   string   `csv:"aspect_ratio_basis" type:"text" doc:"aspect ratio to which figures apply"`
		ReynoldsKind       string   `csv:"reynolds_kind" type:"text" enum:"test|effective|not-stated" doc:"test or effective Reynolds number"`
		Reynolds           Measured `csv:"reynolds" unit:"1" quantity:"Reynolds number" said:"yes" change:"major" doc:"Reynolds number"`
		Mach               Measured `csv:"mach" unit:"1" quantity:"Mach number" said:"yes" change:"major" doc:"Mach number"`
		ThrustCoefficient  Measured `csv:"thrust_coefficient" unit:"1" quantity:"thrust coefficient" said:"yes" change:"major" doc:"thrust coefficient Tc as the source defines it"`
		Surface            string   `csv:"surface" type:"text" doc:"condition of the surface"`
		AirspeedKind       string   `csv:"airspeed_kind" type:"text" doc:"kind of airspeed"`
		AirspeedDefinition string   `csv:"airspeed_definition" type:"text" doc:"the source's own definition of its airspeed"`
		IncrementBasis     string   `csv:"increment_basis" type:"text" doc:"increments at constant angle of attack, at constant lift coefficient or between maxima"`
		StallDefinition    string   `csv:"stall_definition" type:"text" doc:"what the source calls the stall"`
		EntryRate          string   `csv:"entry_rate" type:"text" doc:"rate at which speed was lost on the way to the stall, as the source says it"`
		CenterOfGravity    string   `csv:"center_of_gravity" type:"text" doc:"centre of gravity"`
		GravityPosition    Measured `csv:"center_of_gravity_position" unit:"1" quantity:"center-of-gravity position" said:"yes" change:"major" doc:"centre of gravity behind the leading edge as a fraction of the chord, where a figure prints it"`
		LimitKind          string   `csv:"limit_kind" type:"text" enum:"limit|proof|ultimate|not-stated" doc:"limit, proof or ultimate (the failing load)"`
		WeightCondition    string   `csv:"weight_condition" type:"text" doc:"condition of loading"`
		PowerRating        string   `csv:"power_rating" type:"text" doc:"rating of the engine"`
		Altitude           Measured `csv:"altitude" unit:"m" quantity:"altitude" said:"yes" change:"major" doc:"altitude"`
		Atmosphere         string   `csv:"atmosphere" type:"text" doc:"atmosphere that the figures assume"`
		AltitudeKind       string   `csv:"altitude_kind" type:"text" enum:"pressure|density|geometric" doc:"what an altitude is: where the standard atmosphere has the pressure, or the density, or the height itself"`
		Temperature        Measured `csv:"temperature" unit:"K" quantity:"air temperature" said:"yes" change:"major" doc:"temperature of the air"`
		CorrectionSign     string   `csv:"correction_sign" type:"text" enum:"added|indicated-minus-true" doc:"whether an airspeed correction is added to the indicated airspeed, or is the indicated less the true one"`
		Note               string   `csv:"note" type:"text" change:"patch" doc:"remark"`
	}

	// Value is the provenance of one published number.
	Value struct {
		ValueID         string `csv:"value_id" type:"id" key:"yes" doc:"value: one published number"`
		SubjectID       string `csv:"subject_id" type:"id" need:"yes" ref:"subjects" doc:"subject"`
		ConfigurationID string `csv:"configuration_id" type:"id" ref:"configurations" doc:"configuration; empty where the number does not depend on it"`
		ConditionsID    string `csv:"conditions_id" type:"id" need:"yes" ref:"conditions" doc:"conditions: what the number means"`
		Quantity        string `csv:"quantity" type:"text" need:"yes" doc:"quantity"`
		Value           Number `csv:"value" need:"yes" doc:"value in the unit of column unit"`
		Unit            string `csv:"unit" type:"unit" need:"yes" doc:"canonical unit, UCUM code"`
		HalfWidth       Number `csv:"half_width" doc:"half the width of the interval that rounding leaves, in the unit of column unit; empty or positive"`
		Accuracy        Number `csv:"accuracy" doc:"accuracy that the source states, as a half-width in the unit of column unit; empty or positive"`
		Printed         string `csv:"printed" type:"print" need:"yes" change:"minor" doc:"text exactly as printed"`
		PrintEmended    string `csv:"print_emended" type:"print" change:"minor" doc:"what the text should have been, where a ruling emends it"`
		Decimals        Number `csv:"decimals" type:"integer" min:"0" doc:"digits after the point of the printed figure that the value follows from, powers of ten written out; empty where it is not a decimal numeral"`
		PrintedUnit     string `csv:"printed_unit" type:"unit" need:"yes" doc:"unit of the print, UCUM code"`
		SourceID        string `csv:"source_id" type:"id" need:"yes" ref:"sources" change:"minor" doc:"source"`
		Table           string `csv:"table" type:"text" need:"yes" change:"minor" doc:"table of the source, as the study names it"`
		Caption         string `csv:"caption" type:"text" change:"patch" doc:"caption of the table"`
		Page            int    `csv:"page" type:"integer" min:"1" doc:"page of the file, from 1"`
		Row             string `csv:"row" type:"print" need:"yes" change:"minor" doc:"row key of the cell"`
		Column          string `csv:"column" type:"print" need:"yes" change:"minor" doc:"column key of the cell"`
		X0              Number `csv:"x0" doc:"left edge of the cell, from the left edge of the page as a person sees it, in points (1/72 inch), in pixels where the source is an image"`
		Y0              Number `csv:"y0" doc:"top edge of the cell, from the top edge of the page, downwards"`
		X1              Number `csv:"x1" doc:"right edge of the cell"`
		Y1              Number `csv:"y1" doc:"bottom edge of the cell"`
		Sheet           string `csv:"sheet" type:"text" change:"minor" doc:"sheet of a workbook"`
		Ref             string `csv:"ref" type:"text" change:"minor" doc:"cell of a workbook"`
		Line            int    `csv:"line" type:"integer" min:"1" doc:"line of a text file, from 1"`
		Readers         string `csv:"readers" type:"list" need:"yes" change:"minor" doc:"readers of the cell, with spaces between"`
		Checked         string `csv:"checked" type:"text" need:"yes" enum:"unwitnessed|keyed|agreed|confirmed|reread|emended" change:"minor" doc:"how the cell was checked"`
		RulingID        string `csv:"ruling_id" type:"id" ref:"reviews" change:"minor" doc:"ruling on the cell"`
		Formula         string `csv:"formula" type:"text" change:"minor" doc:"how the value follows from the print; empty where it is the printed number in the same unit"`
	}

	// Polar is one point of a polar of a section or of a wing.
	Polar struct {
		PolarID           string   `csv:"polar_id" type:"id" key:"yes" doc:"polar"`
		Point             int      `csv:"point" type:"integer" key:"yes" min:"1" doc:"point of the polar, from 1"`
		SubjectID         string   `csv:"subject_id" type:"id" need:"yes" ref:"subjects" doc:"subject"`
		ConfigurationID   string   `csv:"configuration_id" type:"id" ref:"configurations" doc:"configuration"`
		ConditionsID      string   `csv:"conditions_id" type:"id" need:"yes" ref:"conditions" doc:"conditions: what the figures mean"`
		SourceID          string   `csv:"source_id" type:"id" need:"yes" ref:"sources" change:"minor" doc:"source"`
		Table             string   `csv:"table" type:"text" need:"yes" change:"minor" doc:"table of the source, as the study names it"`
		AngleOfAttack     Measured `csv:"angle_of_attack" unit:"deg" quantity:"angle of attack" doc:"angle of attack, from the datum of the conditions"`
		LiftCoefficient   Measured `csv:"lift_coefficient" unit:"1" quantity:"lift coefficient" doc:"lift coefficient"`
		DragCoefficient   Measured `csv:"drag_coefficient" unit:"1" quantity:"drag coefficient" doc:"drag coefficient, of the kind of the conditions"`
		MomentCoefficient Measured `csv:"moment_coefficient" unit:"1" quantity:"pitching-moment coefficient" doc:"pitching-moment coefficient about the point of the conditions"`
	}

	// FlapIncrement is what a flap adds to lift, drag and moment coefficients.
	FlapIncrement struct {
		IncrementID       string   `csv:"increment_id" type:"id" key:"yes" doc:"flap increment"`
		SubjectID         string   `csv:"subject_id" type:"id" need:"yes" ref:"subjects" doc:"subject"`
		ConfigurationID   string   `csv:"configuration_id" type:"id" need:"yes" ref:"configurations" doc:"configuration with the flap"`
		ConditionsID      string   `csv:"conditions_id" type:"id" need:"yes" ref:"conditions" doc:"conditions: what the figures mean, and at what the increment is taken"`
		AtAngleOfAttack   Measured `csv:"at_angle_of_attack" unit:"deg" quantity:"angle of attack" said:"yes" change:"major" doc:"angle of attack at which the increment is taken"`
		AtLiftCoefficient Measured `csv:"at_lift_coefficient" unit:"1" quantity:"lift coefficient" said:"yes" change:"major" doc:"lift coefficient at which the increment is taken"`
		LiftIncrement     Measured `csv:"lift_increment" unit:"1" quantity:"lift increment" doc:"increment of lift coefficient"`
		DragIncrement     Measured `csv:"drag_increment" unit:"1" quantity:"drag increment" doc:"increment of drag coefficient"`
		MomentIncrement   Measured `csv:"moment_increment" unit:"1" quantity:"pitching-moment increment" doc:"increment of pitching-moment coefficient"`
	}

	// StallSpeed is a stalling speed with its weight and load factor.
	StallSpeed struct {
		StallSpeedID    string   `csv:"stall_speed_id" type:"id" key:"yes" doc:"stalling speed"`
		SubjectID       string   `csv:"subject_id" type:"id" need:"yes" ref:"subjects" doc:"subject"`
		ConfigurationID string   `csv:"configuration_id" type:"id" need:"yes" ref:"configurations" doc:"configuration"`
		ConditionsID    string   `csv:"conditions_id" type:"id" need:"yes" ref:"conditions" doc:"conditions: what the figures mean"`
		AirspeedKind    string   `csv:"airspeed_kind" type:"text" need:"yes" doc:"kind of airspeed"`
		Speed           Measured `csv:"speed" unit:"m/s" quantity:"stall speed" need:"yes" doc:"stalling speed, of the kind in column airspeed_kind"`
		Weight          Measured `csv:"weight" unit:"N" quantity:"weight|test weight" said:"yes" doc:"weight"`
		LoadFactor      Measured `csv:"load_factor" unit:"1" quantity:"load factor in flight|positive load factor" said:"yes" doc:"load factor"`
		Bank            Measured `csv:"bank" unit:"deg" quantity:"bank angle" said:"yes" doc:"angle of bank"`
		Altitude        Measured `csv:"altitude" unit:"m" quantity:"altitude" said:"yes" doc:"altitude"`
	}

	// Limit is a limiting speed, load factor or the like.
	Limit struct {
		LimitID         string   `csv:"limit_id" type:"id" key:"yes" doc:"limit"`
		SubjectID       string   `csv:"subject_id" type:"id" need:"yes" ref:"subjects" doc:"subject"`
		ConfigurationID string   `csv:"configuration_id" type:"id" ref:"configurations" doc:"configuration"`
		ConditionsID    string   `csv:"conditions_id" type:"id" need:"yes" ref:"conditions" doc:"conditions: what the figures mean"`
		Quantity        string   `csv:"quantity" type:"text" need:"yes" doc:"quantity"`
		Value           Number   `csv:"value" need:"yes" doc:"limit in the unit of column unit"`
		HalfWidth       Number   `csv:"half_width" doc:"half the width of the interval that rounding leaves, in the unit of column unit; empty or positive"`
		Unit            string   `csv:"unit" type:"unit" need:"yes" doc:"canonical unit, UCUM code"`
		ValueID         string   `csv:"value_id" type:"id" need:"yes" ref:"values" change:"minor" doc:"record in values that the limit repeats"`
		LimitKind       string   `csv:"limit_kind" type:"text" enum:"limit|proof|ultimate|not-stated" doc:"limit, proof or ultimate (the failing load)"`
		AirspeedKind    string   `csv:"airspeed_kind" type:"text" doc:"kind of airspeed, where the limit is one"`
		Weight          Measured `csv:"weight" unit:"N" quantity:"weight|test weight" said:"yes" doc:"weight to which the limit applies"`
		Rolling         string   `csv:"rolling" type:"boolean" doc:"whether the limit is for a manoeuvre with rolling"`
	}

	// Power is the power of an engine at a rating.
	Power struct {
		PowerID         string   `csv:"power_id" type:"id" key:"yes" doc:"power at a rating"`
		SubjectID       string   `csv:"subject_id" type:"id" need:"yes" ref:"subjects" doc:"subject"`
		ConfigurationID string   `csv:"configuration_id" type:"id" ref:"configurations" doc:"configuration"`
		ConditionsID    string   `csv:"conditions_id" type:"id" need:"yes" ref:"conditions" doc:"conditions: what the figures mean, and where the power is measured"`
		Rating          string   `csv:"rating" type:"text" doc:"rating of the engine"`
		Power           Measured `csv:"power" unit:"W" quantity:"power" need:"yes" doc:"power"`
		Speed           Measured `csv:"speed" unit:"m/s" quantity:"airspeed" said:"yes" doc:"airspeed, of the kind of the conditions"`
		Altitude        Measured `csv:"altitude" unit:"m" quantity:"altitude" said:"yes" doc:"altitude"`
		EngineSpeed     Measured `csv:"engine_speed" unit:"rad/s" quantity:"engine speed" said:"yes" doc:"angular velocity of the crankshaft"`
		Duration        Measured `csv:"duration" unit:"s" quantity:"duration" said:"yes" doc:"time for which the rating is allowed"`
	}

	// Characteristic is a single quantity of a subject: maximum lift
	// coefficient, lift-curve slope, wing area, weight and the like.
	Characteristic struct {
		CharacteristicID string `csv:"characteristic_id" type:"id" key:"yes" doc:"characteristic"`
		SubjectID        string `csv:"subject_id" type:"id" need:"yes" ref:"subjects" doc:"subject"`
		ConfigurationID  string `csv:"configuration_id" type:"id" ref:"configurations" doc:"configuration"`
		ConditionsID     string `csv:"conditions_id" type:"id" need:"yes" ref:"conditions" doc:"conditions: what the figures mean"`
		Quantity         string `csv:"quantity" type:"text" need:"yes" doc:"quantity"`
		Value            Number `csv:"value" need:"yes" doc:"value in the unit of column unit"`
		HalfWidth        Number `csv:"half_width" doc:"half the width of the interval that rounding leaves, in the unit of column unit; empty or positive"`
		Unit             string `csv:"unit" type:"unit" need:"yes" doc:"canonical unit, UCUM code"`
		ValueID          string `csv:"value_id" type:"id" need:"yes" ref:"values" change:"minor" doc:"record in values that the characteristic repeats"`
	}

	// Derived is a number that follows from published ones by a conversion. It stands
	// beside them and never in their place.
	Derived struct {
		DerivedID       string `csv:"derived_id" type:"id" key:"yes" doc:"derived number"`
		SubjectID       string `csv:"subject_id" type:"id" need:"yes" ref:"subjects" doc:"subject"`
		ConfigurationID string `csv:"configuration_id" type:"id" ref:"configurations" doc:"configuration; that of the number in column of"`
		ConditionsID    string `csv:"conditions_id" type:"id" need:"yes" ref:"conditions" doc:"conditions: what the derived number means"`
		Quantity        string `csv:"quantity" type:"text" need:"yes" doc:"quantity; that of the number in column of"`
		Value           Number `csv:"value" need:"yes" doc:"value in the unit of column unit"`
		HalfWidth       Number `csv:"half_width" need:"yes" doc:"half-widths of the parents carried through the formula: how far it goes from the value in the corners of their intervals, with the rounding of the value, outward"`
		Accuracy        Number `csv:"accuracy" doc:"the same with the stated accuracy of those parents that have one; empty where none has"`
		Unit            string `csv:"unit" type:"unit" need:"yes" doc:"canonical unit, UCUM code"`
		Of              string `csv:"of" type:"id" need:"yes" ref:"values" doc:"record in values that was converted"`
		Parents         string `csv:"parents" type:"list" need:"yes" ref:"values" change:"minor" doc:"all records in values that the number follows from, with spaces between"`
		Formula         string `csv:"formula" type:"text" need:"yes" change:"minor" doc:"arithmetic in the ids of the parents, each in its canonical unit; EAS(v, h, standard) turns a calibrated airspeed in m/s, and TAS(v, h, standard) an equivalent one, at the altitude h in m of a standard atmosphere, modern or period; CAS_of_EAS and EAS_of_TAS are their inverses; density_altitude(h, T, standard) is that of a pressure altitude in m and a temperature in K; cosd and sind are of degrees; TAU(A, a0, taper) and DELTA(A, a0, taper) are Glauert's factors of a wing with square tips, of aspect ratio A, section slope a0 per rad and taper ratio"`
		Checked         string `csv:"checked" type:"text" need:"yes" enum:"unwitnessed|keyed|agreed|confirmed|reread|emended" change:"minor" doc:"how the least vouched for of the parents was checked"`
	}

	// Review is a ruling of a person.
	Review struct {
		RulingID   string `csv:"ruling_id" type:"id" key:"yes" doc:"ruling of a person"`
		Supersedes string `csv:"supersedes" type:"id" ref:"reviews" change:"minor" doc:"ruling that this one takes the place of"`
		Target     string `csv:"target" type:"text" need:"yes" change:"minor" doc:"what is ruled on: a finding or a cell"`
		Decision   string `csv:"decision" type:"text" need:"yes" enum:"confirm|reread|emend|withhold" change:"minor" doc:"confirm (printed so, read so), reread (the print says otherwise), emend (the print is wrong), withhold (not published)"`
		Value      string `csv:"value" type:"print" change:"minor" doc:"text that takes the place of the one read or printed; empty where a reread says that nothing is printed there"`
		Reason     string `csv:"reason" type:"text" change:"patch" doc:"why; an emendation and a withholding always say it"`
		Who        string `csv:"who" type:"text" need:"yes" change:"patch" doc:"who ruled"`
		When       string `csv:"when" type:"datetime" need:"yes" change:"patch" doc:"when, in UTC"`
	}

	// Finding is something that a check noticed: open where it does not block,
	// ruled on, or the reason for which numbers are withheld.
	Finding struct {
		FindingID string `csv:"finding_id" type:"id" key:"yes" doc:"finding of a check"`
		Check     string `csv:"check" type:"text" need:"yes" change:"minor" doc:"check that made the finding"`
		State     string `csv:"state" type:"text" need:"yes" enum:"open|ruled|withheld" change:"minor" doc:"open, ruled on, or numbers withheld because of it"`
		Severity  string `csv:"severity" type:"text" need:"yes" enum:"note|doubt|blocking" change:"minor" doc:"severity"`
		Message   string `csv:"message" type:"text" need:"yes" change:"patch" doc:"what was noticed, and why it matters"`
		Expected  string `csv:"expected" type:"print" change:"minor" doc:"what was expected"`
		Miss      Number `csv:"miss" unit:"1" doc:"size of the miss, in half-widths"`
		Cells     string `csv:"cells" type:"text" change:"minor" doc:"cells that the finding is about (table/row/column), with spaces between"`
		ValueIDs  string `csv:"value_ids" type:"list" ref:"values" change:"minor" doc:"published values that the finding is about, with spaces between"`
		RulingID  string `csv:"ruling_id" type:"id" ref:"reviews" change:"minor" doc:"ruling on the finding"`
	}

	// Tolerance is a tolerance of a check that the study sets otherwise than the
	// program does, and why.
	Tolerance struct {
		Check  string `csv:"check" type:"id" key:"yes" doc:"check"`
		Name   string `csv:"name" type:"id" key:"yes" doc:"name of the tolerance within its check"`
		Value  Number `csv:"value" need:"yes" doc:"value that the study sets, in the unit that the check states"`
		Reason string `csv:"reason" type:"text" need:"yes" change:"patch" doc:"why it differs"`
	}
)
