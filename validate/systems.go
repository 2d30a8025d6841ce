package validate

import (
	"windtally/normalize"
)

// convertedFrom is the system of a coefficient that is printed in another than the
// absolute one, for the digest of evidence; it is empty for all other figures.
func convertedFrom(d *normalize.Datum) string {
	if d.Factor == nil {
		return ""
	}
	return "\t" + d.Basis.Coefficients + "\t" + d.Factor.RatString()
}
