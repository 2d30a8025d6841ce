package main

import "github.com/urfave/cli/v2"

func (p *program) demoCommand() *cli.Command {
	return command(&cli.Command{Name: "demo", Usage: "x", Action: func(c *cli.Context) error { return usagef("not yet") }})
}
