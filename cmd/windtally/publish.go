package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"windtally/datasets"
	"windtally/datasets/publish"
	"windtally/extract"

	"github.com/urfave/cli/v2"
)

// publishedJSON is what publish says of an edition.
type publishedJSON struct {
	Version  string         `json:"version"`
	Dir      string         `json:"dir"`
	Previous string         `json:"previous,omitempty"`
	Values   int            `json:"values"`
	Derived  int            `json:"derived"` // numbers that follow from them
	Subjects int            `json:"subjects"`
	Sources  int            `json:"sources"`
	Findings int            `json:"findings"`
	Changes  int            `json:"changes"`
	Checked  map[string]int `json:"checked"` // values by how they were checked
}

// verifiedJSON is what verify says of an edition.
type verifiedJSON struct {
	Whole    bool     `json:"whole"`
	Problems []string `json:"problems"`
}

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
				return usagef("publish takes no argument, not %q; the study is named with --study, the version with --version", c.Args().First())
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
						settle := f.ID
						if at := mendAt(s, f); at != "" {
							settle = "mend " + at
						} else if f.Mend {
							settle = "mend the file"
						}
						fmt.Fprintf(p.stderr, "%s: %s (%s)\n", f.Where, f.Message, settle)
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
					return p.writeJSON(publishedJSON{e.Version, filepath.ToSlash(dir), e.Previous, len(e.Values), len(e.Derived), len(e.Subjects), len(e.Sources),
						len(e.Findings), len(e.Changes), checked})
				}
				p.printf("published edition %s: %s of %s from %s\n", e.Version, counted(len(e.Values), "value"), counted(len(e.Subjects), "subject"), counted(len(e.Sources), "source"))
				p.printf("checked: %s\n", stateText(checked))
				if len(e.Derived) > 0 {
					p.printf("derived from them: %s\n", counted(len(e.Derived), "number"))
				}
				if e.Previous != "" {
					p.printf("%s against edition %s\n", counted(len(e.Changes), "change"), e.Previous)
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
			if st, err := os.Stat(dir); err != nil || !st.IsDir() {
				return &extract.Error{File: filepath.ToSlash(dir), Msg: "is not the folder of an edition", Hint: "name one as publish does: " + filepath.ToSlash(filepath.Join(c.String("study"), "editions", "0.1.0"))}
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
				if err := p.writeJSON(verifiedJSON{len(problems) == 0, list}); err != nil {
					return err
				}
			} else {
				for _, f := range problems {
					p.printf("%s\n", f)
				}
			}
			if len(problems) > 0 {
				return fmt.Errorf("%s: %s; the edition is not as it was published", filepath.ToSlash(dir), counted(len(problems), "problem"))
			}
			e, err := datasets.Load(dir)
			if err != nil {
				return err
			}
			if !c.Bool("json") {
				derived := ""
				if len(e.Derived) > 0 {
					derived = fmt.Sprintf(" and %s worked out again", counted(len(e.Derived), "derived number"))
				}
				p.printf("%s: edition %s is whole: %s%s, every byte and every reference as published\n", filepath.ToSlash(dir), e.Version, counted(len(e.Values), "value"), derived)
			}
			return nil
		},
	})
}
