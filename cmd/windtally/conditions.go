package main

import (
	"fmt"
	"slices"
	"strings"

	"windtally/normalize"
	"windtally/validate"

	"github.com/urfave/cli/v2"
)

// besideJSON is one quantity of several tables as JSON gives it.
type besideJSON struct {
	Quantity string     `json:"quantity"`
	Unit     string     `json:"unit"`
	Lines    []lineJSON `json:"lines"`
	Pairs    []pairJSON `json:"pairs"`
}

type lineJSON struct {
	Source  string `json:"source"`
	Table   string `json:"table"`
	Column  string `json:"column"`
	Figures int    `json:"figures"`
	// Conditions has what bears on the quantity; null stands for what is not stated.
	Conditions map[string][]*string `json:"conditions"`
}

type pairJSON struct {
	A       int      `json:"a"` // index of a line, from 0
	B       int      `json:"b"`
	Verdict string   `json:"verdict"`
	Differ  []string `json:"differ"`
	Untold  []string `json:"untold"`
	// Reworded is what both state in words of their own, Partly what some figures share.
	Reworded []string `json:"reworded"`
	Partly   []string `json:"partly"`
	Why      []string `json:"why"`
}

func (p *program) conditionsCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "conditions",
		Usage:     "lay the sources of each quantity of a subject side by side, and say whether they may be combined",
		ArgsUsage: "SUBJECT",
		Flags:     []cli.Flag{jsonFlag},
		Action: func(c *cli.Context) error {
			subject, err := argument(c, "SUBJECT")
			if err != nil {
				return err
			}
			r, err := p.checked(c)
			if err != nil {
				return err
			}
			list, err := r.SideBySide(subject)
			if err != nil {
				return err
			}
			if c.Bool("json") {
				return p.writeJSON(besidesJSON(list))
			}
			for i := range list {
				p.printBeside(&list[i])
			}
			if len(list) == 0 {
				p.printf("no quantity of %s stands in two tables\n", subject)
				return nil
			}
			p.printf("what one side does not state is never taken for equal; figures are the same where their half-widths overlap\n")
			return nil
		},
	})
}

func besidesJSON(list []validate.Beside) []besideJSON {
	out := []besideJSON{}
	for _, b := range list {
		v := besideJSON{b.Quantity.Name, b.Quantity.Canonical, []lineJSON{}, []pairJSON{}}
		for _, l := range b.Lines {
			line := lineJSON{l.Source, l.Table, l.Column, l.Figures, map[string][]*string{}}
			for _, h := range l.Conditions {
				for _, one := range h.Of {
					var text *string
					if one.Text != "" {
						text = &one.Text
					}
					line.Conditions[h.Name] = append(line.Conditions[h.Name], text)
				}
			}
			v.Lines = append(v.Lines, line)
		}
		some := func(list []string) []string { return append([]string{}, list...) }
		for _, pair := range b.Pairs {
			v.Pairs = append(v.Pairs, pairJSON{pair.A, pair.B, string(pair.Verdict), some(pair.Differ), some(pair.Untold), some(pair.Reworded), some(pair.Partly), some(pair.Why)})
		}
		out = append(out, v)
	}
	return out
}

// columnsOf are the conditions that have a column of their own, in this order; the
// others are in the words of sources or seldom stated, and stand below.
var columnsOf = []struct{ name, head string }{
	{"Reynolds number", "Reynolds"}, {"kind of Reynolds number", "kind"}, {"Mach number", "Mach"}, {"power", "power"}, {"thrust coefficient", "thrust"}, {"trim", "trim"}, {"walls", "walls"},
	{"reference area", "area"}, {"aspect-ratio basis", "aspect ratio"}, {"aspect ratio", "A"}, {"kind of drag", "drag"}, {"angle datum", "datum"},
	{"flap", "flap"}, {"flap deflection", "deflection"}, {"gear", "gear"}, {"airspeed kind", "airspeed"}, {"weight", "weight"},
	{"altitude", "altitude"},
}

func (p *program) printBeside(b *validate.Beside) {
	p.printf("== %s\n", b.Quantity.Name)
	head := []string{"", "source", "table:column"}
	var shown []string
	for _, c := range columnsOf {
		// What reports state seldom has a column where one of these does.
		if slices.ContainsFunc(b.Lines, func(l validate.Line) bool {
			h := l.Condition(c.name)
			return h != nil && slices.ContainsFunc(h.Of, func(o normalize.Holding) bool { return o.Text != "" || !o.Seldom })
		}) {
			head = append(head, c.head)
			shown = append(shown, c.name)
		}
	}
	lines := [][]string{head}
	for i := range b.Lines {
		l := &b.Lines[i]
		row := []string{fmt.Sprint(i + 1), l.Source, l.Table + ":" + l.Column}
		for _, name := range shown {
			text := "-"
			if h := l.Condition(name); h != nil {
				text = together(h.Texts())
			}
			row = append(row, text)
		}
		lines = append(lines, row)
	}
	p.printf("%s", aligned(lines))
	// What all state alike is told once.
	for i := range b.Lines {
		for _, h := range b.Lines[i].Conditions {
			if slices.Contains(shown, h.Name) {
				continue
			}
			var of []string
			first := true
			for k := range b.Lines {
				if o := b.Lines[k].Condition(h.Name); o != nil && slices.Equal(o.Texts(), h.Texts()) {
					first = first && k >= i
					of = append(of, fmt.Sprint(k+1))
				}
			}
			if !first || slices.Equal(h.Texts(), []string{"not stated"}) {
				continue
			}
			who := strings.Join(of, ", ")
			if len(of) == len(b.Lines) {
				who = "all"
			}
			p.printf("%s", wrap(fmt.Sprintf("%s: %s (%s)", h.Name, strings.Join(h.Texts(), "; "), who), "    ", 100))
		}
	}
	var order []string
	pairs := map[string][]string{}
	for _, pair := range b.Pairs {
		says := string(pair.Verdict)
		before := ": "
		for _, of := range []struct {
			what  string
			names []string
		}{{"differs", pair.Differ}, {"not stated on one side or both", pair.Untold}, {"in other words", pair.Reworded}, {"the same for some figures only", pair.Partly}} {
			if len(of.names) > 0 {
				says += before + of.what + ": " + strings.Join(of.names, ", ")
				before = "; "
			}
		}
		if pairs[says] == nil {
			order = append(order, says)
		}
		pairs[says] = append(pairs[says], fmt.Sprintf("%d and %d", pair.A+1, pair.B+1))
	}
	for _, says := range order {
		p.printf("%s", wrap(strings.Join(pairs[says], ", ")+": "+says, "  ", 100))
	}
	p.printf("\n")
}

// together joins texts; a unit that all of them bear is told once.
func together(texts []string) string {
	_, unit, ok := strings.Cut(texts[0], " ")
	plain := []string{}
	for _, t := range texts {
		number, u, _ := strings.Cut(t, " ")
		ok = ok && u == unit && strings.ContainsAny(number, "0123456789")
		plain = append(plain, number)
	}
	if !ok {
		return strings.Join(texts, "; ")
	}
	return strings.Join(plain, "; ") + " " + unit
}

// aligned sets rows of texts in columns.
func aligned(lines [][]string) string {
	var widths []int
	for _, l := range lines {
		for i, t := range l {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], len([]rune(t)))
		}
	}
	var b strings.Builder
	for _, l := range lines {
		line := ""
		for i, t := range l {
			line += "  " + t + strings.Repeat(" ", widths[i]-len([]rune(t)))
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	return b.String()
}
