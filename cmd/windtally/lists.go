package main

import (
	"windtally/cmd/windtally/licences"
	"windtally/normalize"
	"windtally/normalize/unit"
	"windtally/validate"

	"github.com/urfave/cli/v2"
)

func (p *program) quantitiesCommand() *cli.Command {
	return command(&cli.Command{
		Name:  "quantities",
		Usage: "list the quantities and units, and what the basis of each must state",
		Flags: []cli.Flag{jsonFlag},
		Action: func(c *cli.Context) error {
			if c.NArg() > 0 {
				return usagef("quantities takes no argument")
			}
			if c.Bool("json") {
				type quantity struct {
					Name  string   `json:"name"`
					Unit  string   `json:"unit"`
					Group string   `json:"group"`
					Needs []string `json:"needs"`
				}
				list := []quantity{}
				for _, q := range normalize.Quantities() {
					needs := q.Needs()
					if needs == nil {
						needs = []string{}
					}
					list = append(list, quantity{q.Name, q.Canonical, string(q.Group), needs})
				}
				return p.writeJSON(list)
			}
			for _, q := range normalize.Quantities() {
				p.printf("%s", q.Name)
				if q.Canonical != "" {
					p.printf(" [%s]", q.Canonical)
				}
				p.printf("\n")
				for _, n := range q.Needs() {
					p.printf("    needs %s\n", n)
				}
			}
			p.printf("unclassified\n    read, collated and checked by relations, and not published\n\nunits:")
			for _, u := range unit.All() {
				p.printf(" %s", u.UCUM)
			}
			p.printf("\n(the spellings of reports are understood too: m.p.h., lb./sq. ft., kts, per deg;\nunder a head C_D x 10^4 the unit is 10*-4)\n")
			return nil
		},
	})
}

// checkJSON is a check as JSON gives it.
type checkJSON struct {
	Name   string      `json:"name"`
	About  string      `json:"about"`
	Range  string      `json:"range"`
	Source string      `json:"source"` // of its tolerances
	Bounds []boundJSON `json:"bounds"`
}

type boundJSON struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	What  string  `json:"what"`
}

func (p *program) checksCommand() *cli.Command {
	return command(&cli.Command{
		Name:  "checks",
		Usage: "list the checks, their range, and the tolerances that study.yaml may set",
		Flags: []cli.Flag{jsonFlag},
		Action: func(c *cli.Context) error {
			if c.NArg() > 0 {
				return usagef("checks takes no argument")
			}
			if c.Bool("json") {
				list := []checkJSON{}
				for _, k := range validate.Checks() {
					v := checkJSON{k.Name, k.About, k.Range, k.Source, []boundJSON{}}
					for _, b := range k.Bounds {
						v.Bounds = append(v.Bounds, boundJSON{b.Name, b.Value, b.What})
					}
					list = append(list, v)
				}
				return p.writeJSON(list)
			}
			for _, k := range validate.Checks() {
				p.printf("%s\n%s", k.Name, wrap(k.About, "    ", 100))
				p.printf("%s", wrap("range: "+k.Range, "    ", 100))
				p.printf("%s", wrap("tolerance from: "+k.Source, "    ", 100))
				for _, b := range k.Bounds {
					p.printf("    %s = %g: %s\n", b.Name, b.Value, b.What)
				}
			}
			return nil
		},
	})
}

func (p *program) licencesCommand() *cli.Command {
	return command(&cli.Command{
		Name:  "licences",
		Usage: "print the licences of what is in this program",
		Action: func(c *cli.Context) error {
			if c.NArg() > 0 {
				return usagef("licences takes no argument")
			}
			p.printf("%s", licences.Text())
			return nil
		},
	})
}
