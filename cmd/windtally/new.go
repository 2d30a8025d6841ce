package main

import (
	"path/filepath"
	"regexp"
	"strings"

	"windtally/extract"

	"github.com/urfave/cli/v2"
)

// madeJSON is what new says of a study.
type madeJSON struct {
	Study string `json:"study"` // its folder
	Name  string `json:"name"`
}

func (p *program) newCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "new",
		Usage:     "make the folder of a study that explains itself",
		ArgsUsage: "DIR",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "title", Usage: "`TITLE` of the study (default: the folder's name)"},
			&cli.StringFlag{Name: "by", Usage: "your `INITIALS`, two to four small letters", Value: "me"},
			&cli.StringFlag{Name: "name", Usage: "your `NAME`, as editions give it", Value: "Curator"},
			&cli.StringFlag{Name: "licence", Usage: "SPDX `ID` of the licence of the numbers", Value: "CC0-1.0"},
			&cli.IntFlag{Name: "eyes", Usage: "`NUMBER` of independent readings or persons that a value needs: 0, 1 or 2"},
			jsonFlag,
		},
		Action: func(c *cli.Context) error {
			dir, err := argument(c, "DIR")
			if err != nil {
				return err
			}
			if base := filepath.Base(filepath.Clean(dir)); base == "." || base == ".." {
				return usagef("new: %s is a folder that is there already; name a new one", dir)
			}
			name := slug(filepath.Base(filepath.Clean(dir)))
			if name == "" {
				return usagef("new: the folder's name %q has no letter that a study's name could be made from", filepath.Base(dir))
			}
			title := c.String("title")
			if title == "" {
				title = filepath.Base(filepath.Clean(dir))
			}
			err = extract.NewStudy(dir, extract.Settings{Name: name, Title: title, Licence: c.String("licence"), Eyes: c.Int("eyes"),
				People: []extract.Person{{Initials: c.String("by"), Name: c.String("name")}}})
			if err != nil {
				return optionFault("new", err, map[string]string{"title": "--title", "people": "--by or --name", "people[0].initials": "--by",
					"people[0].name": "--name", "licence": "--licence", "eyes": "--eyes"})
			}
			if c.Bool("json") {
				return p.writeJSON(madeJSON{filepath.ToSlash(dir), name})
			}
			p.printf("made the study %s; its README.md says how work goes on\n", dir)
			p.printf("next: windtally --study %s cite FILE --designation NUMBER --title TITLE --year YEAR --rights RIGHTS\n", dir)
			return nil
		},
	})
}

var notSlug = regexp.MustCompile(`[^a-z0-9]+`)

// slug makes a name of small letters, figures and hyphens that begins with a letter.
func slug(text string) string {
	s := strings.Trim(notSlug.ReplaceAllString(strings.ToLower(text), "-"), "-")
	return strings.TrimLeft(s, "0123456789-")
}
