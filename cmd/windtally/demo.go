package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"windtally/cmd/windtally/internal/demo"

	"github.com/urfave/cli/v2"
)

func (p *program) demoCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "demo",
		Usage:     "make invented reports and carry them through the whole line",
		ArgsUsage: "[DIR]",
		Description: "Makes the study DIR (default windtally-demo) and the folder DIR-reports; neither may exist.\n" +
			"Everything in them is invented. Tesseract is not used, so that every machine shows the same.",
		Action: func(c *cli.Context) error {
			dir := "windtally-demo"
			switch c.NArg() {
			case 0:
			case 1:
				dir = c.Args().First()
			default:
				return usagef("demo takes at most one DIR")
			}
			for _, d := range []string{dir, dir + "-reports"} {
				if _, err := os.Stat(d); !errors.Is(err, fs.ErrNotExist) {
					return fmt.Errorf("%s: is there already\nhint: remove it, or name another folder: windtally demo DIR", d)
				}
			}
			exec := func(args ...string) (int, string, string) {
				var out, errs bytes.Buffer
				code := run(append([]string{"windtally"}, args...), p.stdin, &out, &errs)
				return code, out.String(), errs.String()
			}
			reader, err := p.pdfReader()
			if err != nil {
				return err
			}
			render := func(file string, page int, dpi float64) ([]byte, error) {
				return reader.Render(c.Context, file, page, dpi)
			}
			step, done := p.progress(demo.Steps, "steps")
			defer done()
			_, err = demo.Run(dir, exec, render, p.stdout, step)
			return err
		},
	})
}
