package main

import (
	"windtally/datasets/publish"

	"github.com/urfave/cli/v2"
)

// chainJSON is the way of a figure as JSON gives it.
type chainJSON struct {
	Cell     string     `json:"cell"`  // id for life
	Where    string     `json:"where"` // table:row:column
	ValueIDs []string   `json:"value_ids"`
	Steps    []stepJSON `json:"steps"`
}

type stepJSON struct {
	Step  string            `json:"step"`
	Says  string            `json:"says"`
	Facts map[string]string `json:"facts"`
}

func (p *program) explainCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "explain",
		Usage:     "tell the whole way of one number, from its place on the page to the edition",
		ArgsUsage: "VALUE|TABLE:ROW:COLUMN",
		Description: "VALUE is a value_id of an edition, or of the study as it would be published now, or the derived_id of a number that follows from printed ones.\n" +
			"windtally show TABLE prints the keys of rows and columns; a figure outside the grid is TABLE:given:KEY.",
		Flags: []cli.Flag{jsonFlag},
		Action: func(c *cli.Context) error {
			what, err := argument(c, "VALUE or TABLE:ROW:COLUMN")
			if err != nil {
				return err
			}
			r, err := p.checked(c)
			if err != nil {
				return err
			}
			chain, err := publish.Explain(r, what)
			if err != nil {
				return err
			}
			if c.Bool("json") {
				out := chainJSON{chain.Cell.String(), chain.Where, append([]string{}, chain.ValueIDs...), []stepJSON{}}
				for _, step := range chain.Steps {
					v := stepJSON{step.Name, step.Says, map[string]string{}}
					for _, f := range step.Facts {
						v.Facts[f.Name] = f.Value
					}
					out.Steps = append(out.Steps, v)
				}
				return p.writeJSON(out)
			}
			p.printf("%s\n", chain.Where)
			for _, step := range chain.Steps {
				p.printf("  %-13s  %s\n", step.Name, step.Says)
			}
			return nil
		},
	})
}
