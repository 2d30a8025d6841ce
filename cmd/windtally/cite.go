package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"windtally/extract"
	"windtally/extract/scan"
	"windtally/extract/workbook"

	"github.com/urfave/cli/v2"
)

func (p *program) citeCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "cite",
		Usage:     "cite a report, manual, workbook or page image as a source",
		ArgsUsage: "FILE",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "designation", Usage: "report `NUMBER` as the publisher gives it"},
			&cli.StringFlag{Name: "title", Usage: "`TITLE` as printed"},
			&cli.StringFlag{Name: "year", Usage: "`YEAR` of publication"},
			&cli.StringFlag{Name: "rights", Usage: "`RIGHTS` in the source, for example public domain"},
			&cli.StringSliceFlag{Name: "author", Usage: "`AUTHOR` as printed; may be given several times"},
			&cli.StringFlag{Name: "publisher", Usage: "`PUBLISHER`"},
			&cli.StringFlag{Name: "url", Usage: "`ADDRESS` at which the source can be had"},
			&cli.StringFlag{Name: "name", Usage: "short `NAME` of the source (default: from the designation)"},
			&cli.StringFlag{Name: "first-page", Usage: "printed `NUMBER` that page 1 of the file bears"},
			jsonFlag,
		},
		Action: func(c *cli.Context) error {
			file, err := argument(c, "FILE")
			if err != nil {
				return err
			}
			var missing []string
			for _, f := range []string{"designation", "title", "year", "rights"} {
				if !c.IsSet(f) || c.String(f) == "" {
					missing = append(missing, "--"+f)
				}
			}
			if len(missing) > 0 {
				return usagef("cite %s: %s must be given; no source is cited without them", file, strings.Join(missing, ", "))
			}
			year, err := wholeNumber(c, "year")
			if err != nil {
				return err
			}
			first, err := wholeNumber(c, "first-page")
			if err != nil {
				return err
			}
			paged := sourceKind(file) == "pdf" || sourceKind(file) == "image"
			if c.IsSet("first-page") && !paged {
				return usagef("cite %s: --first-page goes with a source that has pages", file)
			}
			return p.change(c, func(s *extract.Study) error {
				src := &extract.Source{Name: c.String("name"), Designation: c.String("designation"), Title: c.String("title"),
					Authors: c.StringSlice("author"), Year: year, Publisher: c.String("publisher"), Rights: c.String("rights"),
					URL: c.String("url"), FirstPage: first}
				if src.Name == "" {
					src.Name = slug(src.Designation)
				}
				if src.Name == "" {
					return usagef("cite %s: the designation %q has no letter that a name could be made from; give --name", file, src.Designation)
				}
				if src.Pages, err = p.countPages(c, file); err != nil {
					return placed(err, file, filepath.Base(file))
				}
				if err := s.AddSource(src, file); err != nil {
					return optionFault("cite "+file, err, map[string]string{"designation": "--designation", "title": "--title", "year": "--year",
						"rights": "--rights", "authors": "--author", "publisher": "--publisher", "first_page": "--first-page"})
				}
				if c.Bool("json") {
					return p.writeJSON(citedJSON{src.Name, "sources/" + src.File, src.Pages, src.FirstPage, src.SHA256})
				}
				pages := ""
				if src.Pages > 0 {
					pages = counted(src.Pages, "page") + ", "
				}
				p.printf("cited %s as %s: %sSHA-256 %s\n", file, src.Name, pages, src.SHA256)
				if paged && src.FirstPage == 0 {
					p.printf("no printed page number was given; where page 1 of the file bears one, put it under first_page: in sources/%s.yaml\n", src.Name)
				}
				p.printf("next: %s extract %s\n", next(c), src.Name)
				return nil
			})
		},
	})
}

// citedJSON is what cite says of a source.
type citedJSON struct {
	Source    string `json:"source"`
	File      string `json:"file"`  // in the study
	Pages     int    `json:"pages"` // 0 where it has none
	FirstPage int    `json:"first_page"`
	SHA256    string `json:"sha256"`
}

// countPages opens the file as what its name says and counts its pages; a workbook
// or text file has none.
func (p *program) countPages(c *cli.Context, file string) (int, error) {
	switch kind := sourceKind(file); kind {
	case "pdf":
		r, err := p.pdfReader()
		if err != nil {
			return 0, err
		}
		info, err := r.Info(c.Context, file)
		return info.Pages, err
	case "workbook":
		_, err := workbook.ReadFile(file)
		return 0, err
	case "image":
		f, err := scan.Open(file)
		if err != nil {
			return 0, err
		}
		return f.Frames, nil
	}
	return 0, &extract.Error{File: file, Msg: fmt.Sprintf("files of kind %q are not read", filepath.Ext(file)),
		Hint: "cite a .pdf, .xlsx, .csv, .tsv, .png, .jpg or .tif file"}
}

func sourceKind(file string) string {
	switch strings.ToLower(filepath.Ext(file)) {
	case ".pdf":
		return "pdf"
	case ".xlsx", ".csv", ".tsv":
		return "workbook"
	case ".png", ".jpg", ".jpeg", ".tif", ".tiff":
		return "image"
	}
	return ""
}
