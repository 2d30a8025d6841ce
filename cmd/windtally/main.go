// Windtally carries printed numbers from technical reports to a published open
// dataset, and never loses sight of where they stood on the page.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"

	"windtally/extract"
	"windtally/extract/pdf"

	"github.com/urfave/cli/v2"
)

// version is the program's own, set at release by the linker.
var version = "devel"

// pdfWorker is the hidden subcommand by which the binary runs as the child process
// that reads PDF files.
const pdfWorker = "pdf-worker"

func main() {
	os.Exit(run(os.Args, os.Stdin, os.Stdout, os.Stderr))
}

// Exit codes, as in the README: done; open blocking findings where the command was
// asked to judge, or failure; wrong usage.
const (
	exitDone   = 0
	exitFailed = 1
	exitUsage  = 2
)

// usageError is a command line that was not understood.
type usageError struct{ msg string }

func (e *usageError) Error() string { return e.msg }

func usagef(format string, args ...any) error { return &usageError{fmt.Sprintf(format, args...)} }

// errFindings is what a command that judges returns while blocking findings are
// open; it has said so itself.
var errFindings = errors.New("blocking findings are open")

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	if len(args) > 1 && args[1] == pdfWorker {
		if err := pdf.Work(stdin, stdout, args[2:]); err != nil {
			fmt.Fprintln(stderr, err)
			return exitFailed
		}
		return exitDone
	}
	// A second signal does no more than the first: if it ended the program at once,
	// children that are just being killed might live on.
	ctx, stop := signal.NotifyContext(context.Background(), endings()...)
	defer stop()
	p := &program{stdin: stdin, stdout: stdout, stderr: stderr, now: time.Now}
	app := p.app()
	err := app.RunContext(ctx, optionsFirst(app, args))
	var usage *usageError
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errFindings):
		return exitFailed
	case errors.As(err, &usage):
		fmt.Fprintln(stderr, message(err))
		return exitUsage
	case errors.Is(err, context.Canceled), ctx.Err() != nil && errors.Is(err, context.Cause(ctx)):
		fmt.Fprintln(stderr, "windtally: interrupted; run the command again")
		return exitFailed
	}
	fmt.Fprintln(stderr, message(err))
	return exitFailed
}

// endings are the signals that end the program. Its children are of other process
// groups, so that it must end them whatever ends it.
func endings() []os.Signal {
	list := []os.Signal{syscall.SIGTERM}
	for _, s := range []os.Signal{os.Interrupt, syscall.SIGHUP} {
		if !signal.Ignored(s) { // as under nohup
			list = append(list, s)
		}
	}
	return list
}

// message is an error as stderr shows it: hints and further faults stand below the first.
func message(err error) string {
	return "windtally: " + strings.ReplaceAll(err.Error(), "\n", "\n           ")
}

// program is what commands share: streams, clock and the study's folder.
type program struct {
	stdin          io.Reader
	stdout, stderr io.Writer
	now            func() time.Time
}

func (p *program) app() *cli.App {
	return &cli.App{
		Name:      "windtally",
		Usage:     "carry printed numbers of technical reports to a published open dataset",
		Version:   version,
		Reader:    p.stdin,
		Writer:    p.stdout,
		ErrWriter: p.stderr,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "study", Value: ".", Usage: "the study's `DIR`", EnvVars: []string{"WINDTALLY_STUDY"}},
		},
		Commands: []*cli.Command{
			p.newCommand(), p.citeCommand(), p.extractCommand(), p.entryCommand(), p.showCommand(),
			p.findingsCommand(), p.ruleCommand(), p.explainCommand(), p.conditionsCommand(), p.publishCommand(), p.verifyCommand(),
			p.quantitiesCommand(), p.checksCommand(), p.demoCommand(), p.licencesCommand(),
		},
		OnUsageError:   onUsage,
		ExitErrHandler: func(*cli.Context, error) {}, // run decides
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				return usagef("there is no command %q; windtally --help lists them", c.Args().First())
			}
			return cli.ShowAppHelp(c)
		},
		HideHelpCommand: true,
		// An author is "Berg, A.": a comma parts nothing.
		DisableSliceFlagSeparator: true,
	}
}

// command fills in what all commands share.
func command(c *cli.Command) *cli.Command {
	c.OnUsageError = onUsage
	c.HideHelpCommand = true
	return c
}

var jsonFlag = &cli.BoolFlag{Name: "json", Usage: "write JSON for a program to read"}

// argument returns the only argument of a command.
func argument(c *cli.Context, what string) (string, error) {
	if c.NArg() != 1 {
		return "", usagef("%s takes one %s, not %d arguments; see windtally %s --help", c.Command.Name, what, c.NArg(), c.Command.Name)
	}
	if c.Args().First() == "" {
		return "", usagef("%s takes one %s, not an empty text; see windtally %s --help", c.Command.Name, what, c.Command.Name)
	}
	return c.Args().First(), nil
}

func (p *program) open(c *cli.Context) (*extract.Study, error) {
	return extract.OpenStudy(c.String("study"))
}

// change opens the study under its lock and runs do.
func (p *program) change(c *cli.Context, do func(s *extract.Study) error) error {
	s, err := p.open(c)
	if err != nil {
		return err
	}
	release, err := s.Lock()
	if err != nil {
		return err
	}
	defer release()
	// What was read before the lock may have changed while it was waited for.
	if s, err = p.open(c); err != nil {
		return err
	}
	return do(s)
}

// pdfReader starts this very binary as the worker.
func (p *program) pdfReader() (pdf.Reader, error) {
	self, err := os.Executable()
	if err != nil {
		return pdf.Reader{}, err
	}
	return pdf.Reader{Worker: []string{self, pdfWorker}}, nil
}

func (p *program) printf(format string, args ...any) { fmt.Fprintf(p.stdout, format, args...) }
