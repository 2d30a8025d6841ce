package main

import (
	"errors"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"windtally/extract"

	"github.com/urfave/cli/v2"
)

// optionsFirst puts the options of a command line where the flag package looks for
// them: those of the program before the command, those of the command before its
// arguments. The flag package stops at the first argument, and people do not.
// What follows "--" is left where it stands.
func optionsFirst(app *cli.App, args []string) []string {
	if len(args) == 0 {
		return args
	}
	global, rest := options(args[1:], app.Flags, nil, func(string) stray { return stop })
	if len(rest) == 0 {
		return args
	}
	name, rest := rest[:1], rest[1:]
	c := app.Command(name[0])
	if c == nil {
		return args
	}
	late, rest := options(rest, app.Flags, c.Flags, func(string) stray { return pass })
	if n := len(late); n > 0 && isOption(late[n-1]) && takesValue(flagOf(app.Flags, strings.TrimLeft(late[n-1], "-"))) {
		// Its value is missing; the command's name must not become it.
		return append(args[:1:1], late[n-1])
	}
	mine, arguments := options(rest, c.Flags, nil, func(a string) stray {
		if isOption(a) {
			return take // the flag package refuses it, or shows the help
		}
		return pass
	})
	return slices.Concat(args[:1], global, late, name, mine, arguments)
}

// stray says what becomes of an argument that is none of the options looked for.
type stray int

const (
	pass stray = iota // it stays in its place among the rest
	take              // it goes with the options
	stop              // it and all after it are the rest
)

func isOption(a string) bool { return len(a) > 1 && a[0] == '-' }

// options takes out of args the options that are in flags and not in others, each
// with its value, and leaves the order of the rest.
func options(args []string, flags, others []cli.Flag, otherwise func(string) stray) (taken, rest []string) {
	for i := 0; i < len(args); i++ {
		a := args[i]
		if a == "--" {
			return taken, append(rest, args[i:]...)
		}
		var f cli.Flag
		into := &rest
		name, _, hasValue := strings.Cut(strings.TrimLeft(a, "-"), "=")
		if isOption(a) {
			if f = flagOf(others, name); f == nil {
				if f = flagOf(flags, name); f != nil {
					into = &taken
				}
			}
		}
		if f == nil {
			switch otherwise(a) {
			case stop:
				return taken, append(rest, args[i:]...)
			case take:
				into = &taken
			}
		}
		*into = append(*into, a)
		if f != nil && takesValue(f) && !hasValue && i+1 < len(args) {
			i++
			*into = append(*into, args[i])
		}
	}
	return taken, rest
}

func flagOf(flags []cli.Flag, name string) cli.Flag {
	for _, f := range flags {
		if slices.Contains(f.Names(), name) {
			return f
		}
	}
	return nil
}

// takesValue is false for no flag at all.
func takesValue(f cli.Flag) bool {
	d, ok := f.(cli.DocGenerationFlag)
	return ok && d.TakesValue()
}

var (
	unknownOption = regexp.MustCompile(`^flag provided but not defined: -+(.*)$`)
	bareOption    = regexp.MustCompile(`^flag needs an argument: -+(.*)$`)
	badValue      = regexp.MustCompile(`^invalid (?:boolean )?value "(.*)" for (?:flag )?-+([^:]*): .*$`)
)

// onUsage puts what the flag package says into our words.
func onUsage(c *cli.Context, err error, _ bool) error {
	help := "windtally --help"
	if c != nil && c.Command != nil && c.Command.Name != "" && c.Command.Name != c.App.Name {
		help = "windtally " + c.Command.Name + " --help"
	}
	text := err.Error()
	if m := unknownOption.FindStringSubmatch(text); m != nil {
		return usagef("there is no option --%s here; see %s", m[1], help)
	}
	if m := bareOption.FindStringSubmatch(text); m != nil {
		return usagef("the option --%s needs a value; see %s", m[1], help)
	}
	if m := badValue.FindStringSubmatch(text); m != nil {
		return usagef("--%s %q is not what the option takes; see %s", m[2], m[1], help)
	}
	return usagef("%s; see %s", text, help)
}

// wholeNumber reads an option that is a number, 0 where it was not given.
func wholeNumber(c *cli.Context, name string) (int, error) {
	text := c.String(name)
	if text == "" && !c.IsSet(name) {
		return 0, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		return 0, usagef("--%s %q is not a whole number", name, text)
	}
	return n, nil
}

// optionFault turns faults of a file that was to be written from options into a
// fault of the options: the file is not there, its lines tell a person nothing.
func optionFault(command string, err error, options map[string]string) error {
	var faults extract.Faults
	if !errors.As(err, &faults) {
		return err
	}
	var said []string
	for _, f := range faults {
		field, rest, _ := strings.Cut(f.Msg, " ")
		if option, ok := options[field]; ok {
			field = option
		} else if name, _, list := strings.Cut(field, "["); list && options[name] != "" {
			field = options[name]
		}
		said = append(said, command+": "+field+" "+rest)
	}
	return usagef("%s", strings.Join(said, "\n"))
}

// placed names the file of each fault in err that a reader named otherwise (by its
// base name, or by its path in the study) as name.
func placed(err error, name string, others ...string) error {
	var walk func(error)
	walk = func(err error) {
		switch e := err.(type) {
		case nil:
		case *extract.Error:
			if slices.Contains(others, e.File) {
				e.File = name
			}
		case interface{ Unwrap() []error }:
			for _, one := range e.Unwrap() {
				walk(one)
			}
		default:
			walk(errors.Unwrap(err))
		}
	}
	walk(err)
	return err
}
