package validate

import (
	"testing"

	"windtally/extract"
)

// errorStudy is a table of position errors with both airspeeds and the correction.
func errorStudy(sign string, rows ...string) func() *extract.Study {
	return func() *extract.Study {
		s := newStudy()
		columns := []extract.Column{
			{Key: "ias", Quantity: "airspeed", Unit: "knots"},
			{Key: "cas", Quantity: "airspeed", Unit: "knots", Basis: &extract.Basis{AirspeedKind: "CAS"}},
			{Key: "d", Quantity: "airspeed correction", Unit: "knots"},
		}
		addTable(s, extract.Table{ID: polarID, Name: "errors", Columns: columns, Basis: extract.Basis{Article: "aeroplane", AirspeedKind: "IAS", AirspeedMeaning: "as read", CorrectionSign: sign,
			Configuration: extract.Configuration{Flap: "none", Gear: "fixed"}}}, "keyed-ab", rows...)
		s.Subjects = []*extract.Subject{{Schema: 1, Name: "craft-a", Kind: "aeroplane", Title: "Craft A", Tables: []extract.SubjectTable{{Table: "errors"}}}}
		return s
	}
}

// 54 indicated and 60 calibrated is +6 to be added, or an error of -6.
func TestCorrectionSign(t *testing.T) {
	same := func(*extract.Study) {}
	said := func(stated, expected string) []string {
		return []string{"blocking correction-sign errors:d: the corrections are stated as " + stated + ", and in 2 of the 2 rows that tell they lead from the indicated to the calibrated airspeed with the other sign | expected correction_sign: " +
			expected + " | t0000000a/r01/d t0000000a/r01/ias t0000000a/r01/cas t0000000a/r02/d t0000000a/r02/ias t0000000a/r02/cas"}
	}
	runChanges(t, []change{
		{"added", errorStudy("added", "54|60|6", "64|68|4"), same, nil},
		{"errors", errorStudy("indicated-minus-true", "54|60|-6", "64|68|-4"), same, nil},
		{"errors taken for corrections", errorStudy("added", "54|60|-6", "64|68|-4"), same, said("added", "indicated-minus-true")},
		{"corrections taken for errors", errorStudy("indicated-minus-true", "54|60|6", "64|68|4"), same, said("indicated-minus-true", "added")},
		{"hidden by rounding", errorStudy("added", "54|54|-.5", "64|64|-.5"), same, nil},
		{"one row is a figure, not the sign", errorStudy("added", "54|60|-6", "64|68|4"), same, nil},
	})
}
