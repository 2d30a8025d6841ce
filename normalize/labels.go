package normalize

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/normalize/air"
	"windtally/normalize/unit"
)

// metricBehind is a horsepower that a head calls metric behind its name, as the
// symbol pages of reports do: horsepower (metric).
var metricBehind = regexp.MustCompile(`(?i)\b(horse[\s-]?power|b\.?\s?h\.?\s?p\.?|h\.?\s?p\.?)\s*[(\[,]\s*metric\s*[)\]]?`)

// metricHead writes such a horsepower as the unit that it is.
func metricHead(head string) string { return metricBehind.ReplaceAllString(head, "metric hp ") }

// twoUnits says where a head names two units of the dimension: nothing but a person
// knows which of them the figures are in.
func twoUnits(head string, dim unit.Dimension, stated unit.Unit) string {
	var found []unit.Unit
	var texts []string
	for _, text := range unitTexts(metricHead(head)) {
		u, err := unit.ParseFor(text, dim)
		if bare, _, ok := unit.Qualified(text); err != nil && ok {
			u, err = unit.ParseFor(bare, dim)
		}
		if err != nil || u.UCUM == "1" || strings.HasPrefix(u.UCUM, "10*") || slices.ContainsFunc(found, func(o unit.Unit) bool { return o.UCUM == u.UCUM }) {
			continue
		}
		found, texts = append(found, u), append(texts, text)
	}
	if len(found) < 2 {
		return ""
	}
	var names []string
	for i, u := range found {
		names = append(names, fmt.Sprintf("%q (%s)", texts[i], u.Name))
	}
	return fmt.Sprintf("the print names two units in %q: %s; the unit is stated as %s: a column has one unit, so write a column for each, or confirm if all figures are in the stated one", head, strings.Join(names, " and "), stated.Name)
}

// What the labels of rows and a caption say in more words than a head, so that a
// "normal wing" or "the weights indicated" are not taken for it.
var (
	ofWeight   = `(?:\s+(?:gross|all-up|flying|permissible|total))?\s+weight`
	weightSaid = []said{
		{word(`test` + ofWeight + `|weights?\s+(?:as\s+(?:flown|tested)|(?:in|during)\s+(?:the\s+)?tests?)`), "test"},
		{word(`normal` + ofWeight), "normal"},
		{word(`(?:maximum|max\.?)` + ofWeight), "maximum"},
		{word(`(?:empty|tare)\s+weight|weight\s+empty`), "empty"},
	}
	powerSaid = []said{
		{word(`take[\s-]*off\s+(?:horse)?(?:power|rating)`), "take-off"},
		{word(`(?:war[\s-]*)?(?:emergency|combat|military)\s+(?:horse)?(?:power|rating)`), "emergency"},
		{word(`(?:max(?:imum|\.)?\s*)?continuous\s+(?:horse)?(?:power|rating)`), "continuous"},
		{word(`(?:normal\s+)?rated\s+(?:horse)?power`), "rated"},
	}
	speedSaid = []said{
		{regexp.MustCompile(`(?i)\bindicated\s+(?:air\s*)?speeds?\b|\b(?:readings?\s+of\s+the|as\s+read\s+(?:on|from))\s+[^.;,]{0,30}\b(?:instrument|indicator)\b|(?-i:\bK?I\.?A\.?S\b|\bA\.S\.I\b)`), "IAS"},
		{regexp.MustCompile(`(?i)\b(?:calibrated|rectified)\s+(?:air\s*)?speeds?\b|(?-i:\bK?C\.?A\.?S\b)`), "CAS"},
		{regexp.MustCompile(`(?i)\bequivalent\s+(?:air\s*)?speeds?\b|(?-i:\bK?E\.?A\.?S\b)`), "EAS"},
		{regexp.MustCompile(`(?i)\btrue\s+(?:air\s*)?speeds?\b|(?-i:\bK?T\.?A\.?S\b)`), "TAS"},
	}
	dragSaid = []said{{word(`profile[\s-]*drag`), "profile"}, {word(`total[\s-]*drag`), "total"}}
)

// telling is one part of a basis that labels and captions speak of.
type telling struct {
	name         string
	label, print []said // the words of a row's label, and of a caption
	bears        func(q *Quantity) bool
	stated       func(b extract.Basis) string
}

func spokenOf(n need) func(q *Quantity) bool { return func(q *Quantity) bool { return q.spoken(n) } }

var toldOfBasis = []telling{
	{"power_rating", ratingWords, powerSaid, spokenOf(needRating), func(b extract.Basis) string { return b.PowerRating }},
	{"weight_condition", weightSaid, weightSaid, func(q *Quantity) bool { return q.weighed() || q.spoken(needCondition) }, func(b extract.Basis) string { return b.WeightCondition }},
	{"airspeed_kind", speedSaid, speedSaid, spokenOf(needAirspeed), func(b extract.Basis) string {
		if k, err := airspeedKind(b); err == nil && !definesAnother(b, k) {
			return k.String()
		}
		return ""
	}},
	{"drag", dragSaid, dragSaid, spokenOf(needDrag), func(b extract.Basis) string { return b.Drag }},
}

// definesAnother reports whether the source's own words say what it means by its
// name of the speed, so that the name alone proves nothing.
func definesAnother(b extract.Basis, k air.Kind) bool {
	return k != air.IAS && b.AirspeedMeaning != "" && !strings.EqualFold(strings.ReplaceAll(b.AirspeedMeaning, "-", " "), "not stated")
}

// labelsAgainst holds the labels of the rows of a grid, and the caption, against the
// basis of the figures: a row "Take-off" stated as rated power, a caption that says
// calibrated airspeeds over a column stated as indicated. It also holds the
// condition of a weight that a basis names against the one that the basis states.
func (n *normalizer) labelsAgainst() {
	grid := n.t.Layout != "list"
	caption := make([][]string, len(toldOfBasis)) // what the caption says of each part
	captioned := false
	for i, t := range toldOfBasis {
		caption[i] = saidIn(n.t.Caption, t.print)
		captioned = captioned || len(caption[i]) > 0
	}
	for _, g := range n.t.Givens {
		if d := n.s.Givens[g.Key]; d != nil && d.Quantity != nil && !d.Refused {
			if captioned {
				n.captionAgainst(d, strings.TrimSpace(g.Head+" "+g.Words), "", caption)
			}
			n.weightAgainst(nil, d)
		}
	}
	keys := n.t.ColumnKeys()
	known := map[string][][]string{} // what a label says of each part
	for r := range n.s.Rows {
		row := &n.s.Rows[r]
		var says [][]string
		label := ""
		if grid && len(row.Labels) > 0 {
			var parts []string
			for _, key := range keys {
				if text := row.Labels[key]; text != "" {
					parts = append(parts, text)
				}
			}
			label = strings.Join(parts, " ")
			var seen bool
			if says, seen = known[label]; !seen {
				for i, t := range toldOfBasis {
					if found := saidIn(label, t.label); len(found) > 0 {
						if says == nil {
							says = make([][]string, len(toldOfBasis))
						}
						says[i] = found
					}
				}
				known[label] = says
			}
		}
		for k := range keys {
			d := row.At(k)
			if d == nil || d.Quantity == nil || d.Refused {
				continue
			}
			head := n.t.Columns[k].Head
			if !grid {
				head = row.Labels["label"]
			}
			if says != nil {
				n.labelAgainst(d, label, says)
			}
			if captioned {
				n.captionAgainst(d, head, label, caption)
			}
			if d.Basis.Weight != "" {
				n.weightAgainst(row, d)
			}
		}
	}
}

// labelAgainst holds what a row's label says against the basis of its figure.
func (n *normalizer) labelAgainst(d *Datum, label string, says [][]string) {
	for i, t := range toldOfBasis {
		stated := t.stated(d.Basis)
		if len(says[i]) == 0 || stated == "" || !t.bears(d.Quantity) || len(says[i]) == 1 && says[i][0] == stated {
			continue
		}
		n.group(HeadDiffers, t.name+"/label", d.Cell.ID, ":"+d.Cell.ID.Column, "mend the table's file: a basis for the row under rows:; or confirm, if the label's words mean something else",
			fmt.Sprintf("the label %q says %s; %s is stated as %s", label, strings.Join(says[i], " and "), t.name, stated))
	}
}

// captionAgainst does the same for the caption. What the head says of its column goes
// before the caption, and is held against it.
func (n *normalizer) captionAgainst(d *Datum, head, label string, caption [][]string) {
	for i, t := range toldOfBasis {
		stated := t.stated(d.Basis)
		if len(caption[i]) == 0 || stated == "" || !t.bears(d.Quantity) || slices.Contains(caption[i], stated) {
			continue
		}
		msg := fmt.Sprintf("the caption says %s; %s is stated as %s", strings.Join(caption[i], " and "), t.name, stated)
		for _, own := range []string{head, label} {
			if slices.Contains(saidIn(own, t.label), stated) {
				if n.ofAnotherColumn(t, caption[i]) {
					msg = "" // the caption speaks of the column beside it
					break
				}
				msg = fmt.Sprintf("the caption says %s and %q says %s: the print contradicts itself; %s is stated as %s", strings.Join(caption[i], " and "), own, stated, t.name, stated)
				break
			}
		}
		if msg == "" {
			continue
		}
		n.group(HeadDiffers, t.name+"/caption", d.Cell.ID, ":"+d.Cell.ID.Column, "look which of the two the figures are; mend the table's file, or confirm", msg)
	}
}

// ofAnotherColumn reports whether the head of a column says what the caption says:
// readings beside calibrated airspeeds, under a caption that has the one name.
func (n *normalizer) ofAnotherColumn(t telling, said []string) bool {
	return slices.ContainsFunc(n.t.Columns, func(c extract.Column) bool {
		return slices.ContainsFunc(saidIn(c.Head, t.label), func(s string) bool { return slices.Contains(said, s) })
	})
}

// weightAgainst holds the condition of the weight that a basis names against that
// which it states: a stall at the weight of the test is not one at the maximum weight.
func (n *normalizer) weightAgainst(row *Row, d *Datum) {
	if d.Quantity == nil || !d.Quantity.weighed() {
		return
	}
	at := n.s.Ref(row, d.Basis.Weight)
	if at == nil || at.Quantity == nil || at.Quantity.Name != "weight" {
		return
	}
	of, stated := at.Basis.WeightCondition, d.Basis.WeightCondition
	if of == "" || of == "not-stated" || stated == "" || stated == "not-stated" || of == stated {
		return
	}
	n.group(HeadDiffers, "weight_condition/weight", d.Cell.ID, ":"+d.Cell.ID.Column, "mend the table's file: name the weight of that condition; or confirm, if both are one weight",
		fmt.Sprintf("weight_condition is stated as %s, and the weight (%s) is stated as the %s weight", stated, d.Basis.Weight, of))
}
