package validate

import (
	"fmt"
	"strconv"

	"windtally/extract"
)

// leastPart is the least share of the larger area that the smaller one has. Common
// practice, no source: a fuselage covers a sixth of a wing, seldom a third, and a flap
// adds less than a third.
const leastPart = 0.45

func areasCheck() Check {
	return Check{Name: "areas", About: "net wing area < gross wing area, original < extended, gross <= that of all wings, and none is less than half of the other",
		Range:  "subjects with wing areas of two kinds",
		Source: "geometry; the half, common practice, no source",
		run:    areas,
	}
}

// areas holds the wing areas of a subject against each other: labels exchanged, a lost
// point, square feet beside square metres.
func areas(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		of := map[string][]Entry{}
		for _, e := range r.Records[i].scalars("wing area") {
			of[e.Basis.ReferenceArea] = append(of[e.Basis.ReferenceArea], e)
		}
		for _, pair := range [][2]string{{"net", "gross"}, {"original", "extended"}, {"gross", "all-wings"}} {
			for _, small := range of[pair[0]] {
				for _, large := range of[pair[1]] {
					s, l := float(small.Value), float(large.Value)
					width := float(small.Half) + float(large.Half)
					bound, least := "no greater than", leastPart*l
					if pair[1] == "all-wings" {
						least = 0.25 * l // of a triplane
					}
					if s <= l+width && s >= least-width {
						continue
					}
					if s < least {
						bound = fmt.Sprintf("at least %s m2, and no greater than", rounded(least))
					}
					list = append(list, draft{Finding{Check: "areas", Severity: Doubt, Table: small.Series.Table.Name,
						Where:    small.Series.Table.Name + ":" + small.Cell.ID.Row + ":" + small.Column,
						Cells:    []extract.CellID{small.Cell.ID, large.Cell.ID},
						Message:  fmt.Sprintf("the %s wing area is %s m2 (printed %s), and the %s one %s m2 (printed %s)", pair[0], rounded(s), small.Cell.Text, pair[1], rounded(l), large.Cell.Text),
						Expected: fmt.Sprintf("a %s wing area %s the %s one", pair[0], bound, pair[1]),
						Why:      "coefficients are converted by the ratio of the two; a miss shows exchanged labels, a wrong unit or figure",
						Hint:     "look at both figures, their units, and reference_area: of each",
					}, pair[0] + " " + pair[1]})
				}
			}
		}
	}
	return list
}

// rounded writes a number in four figures.
func rounded(v float64) string { return strconv.FormatFloat(v, 'g', 4, 64) }
