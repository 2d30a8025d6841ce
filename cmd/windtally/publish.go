package main

import (
	"errors"
	"fmt"
	"path/filepath"

	"windtally/datasets"
	"windtally/datasets/publish"
	"windtally/extract"

	"github.com/urfave/cli/v2"
)

func (p *program) publishCommand() *cli.Command {
	return command(&cli.Command{
		Name:  "publish",
		Usage: "write an edition, unless a blocking finding is open",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "version", Usage: "`VERSION` of the data, MAJOR.MINOR.PATCH (default: the least step from the edition before)"},
			jsonFlag,
		},
		Action: func(c *cli.Context) error {
			if c.NArg() > 0 {
				return usagef("publish takes no argument; the study is named with --study")
			}
			return p.change(c, func(s *extract.Study) error {
				r, err := p.report(s)
				if err != nil {
					return err
				}
				e, dir, err := publish.Study(r, c.String("version"))
				var refused *publish.RefusedError
				if errors.As(err, &refused) {
					for _, f := range refused.Blocking {
						fmt.Fprintf(p.stderr, "%s: %s (%s)\n", f.Where, f.Message, f.ID)
					}
					return err
				}
				if err != nil {
					return err
				}
				checked := map[string]int{}
				for _, v := range e.Values {
					checked[v.Checked]++
				}
				if c.Bool("json") {
					return p.writeJSON(map[string]any{"version": e.Version, "dir": filepath.ToSlash(dir), "values": len(e.Values), "subjects": len(e.Subjects),
						"findings": len(e.Findings), "checked": checked, "changes": len(e.Changes)})
				}
				p.printf("published edition %s: %d values of %d subjects from %d sources\n", e.Version, len(e.Values), len(e.Subjects), len(e.Sources))
				p.printf("checked: %s\n", stateText(checked))
				if e.Previous != "" {
					p.printf("%d changes against edition %s\n", len(e.Changes), e.Previous)
				}
				p.printf("in %s; to verify: windtally verify %s\n", filepath.ToSlash(dir), filepath.ToSlash(dir))
				p.printf("%s", wrap("Caution: "+publish.Caution, "", 100))
				return nil
			})
		},
	})
}

func (p *program) verifyCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "verify",
		Usage:     "prove that an edition is whole and consistent",
		ArgsUsage: "EDITION",
		Flags:     []cli.Flag{jsonFlag},
		Action: func(c *cli.Context) error {
			dir, err := argument(c, "EDITION")
			if err != nil {
				return err
			}
			problems, err := datasets.Verify(dir)
			if err != nil {
				return err
			}
			if c.Bool("json") {
				list := []string{}
				for _, f := range problems {
					list = append(list, f.String())
				}
				if err := p.writeJSON(map[string]any{"problems": list}); err != nil {
					return err
				}
			} else {
				for _, f := range problems {
					p.printf("%s\n", f)
				}
			}
			if len(problems) > 0 {
				return fmt.Errorf("%s: %d problems; the edition is not as it was published", dir, len(problems))
			}
			e, err := datasets.Load(dir)
			if err != nil {
				return err
			}
			if !c.Bool("json") {
				p.printf("%s: edition %s is whole: %d values, every byte and every reference as published\n", dir, e.Version, len(e.Values))
			}
			return nil
		},
	})
}
