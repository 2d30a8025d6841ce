package main

import (
	"encoding/json"
	"os"
	"strconv"
	"strings"

	"github.com/schollz/progressbar/v3"
	"github.com/urfave/cli/v2"
	"golang.org/x/term"
)

// writeJSON writes one value for a program to read.
func (p *program) writeJSON(v any) error {
	enc := json.NewEncoder(p.stdout)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

// next is how a command that follows on this one begins.
func next(c *cli.Context) string {
	if study := c.String("study"); study != "." && study != os.Getenv("WINDTALLY_STUDY") {
		return "windtally --study " + study
	}
	return "windtally"
}

// counted is a number with its noun.
func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}

// progress shows how far a long piece of work is, on stderr when that is a
// terminal, and nothing otherwise.
func (p *program) progress(total int, what string) (step func(), done func()) {
	f, ok := p.stderr.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return func() {}, func() {}
	}
	bar := progressbar.NewOptions(total, progressbar.OptionSetWriter(f), progressbar.OptionSetDescription(what),
		progressbar.OptionClearOnFinish(), progressbar.OptionShowCount())
	return func() { _ = bar.Add(1) }, func() { _ = bar.Finish() }
}

// wrap indents and folds a text for a terminal.
func wrap(text, indent string, width int) string {
	var b strings.Builder
	line := indent
	for _, word := range strings.Fields(text) {
		if len(line)+1+len(word) > width && line != indent {
			b.WriteString(line + "\n")
			line = indent
		}
		if line != indent {
			line += " "
		}
		line += word
	}
	b.WriteString(line + "\n")
	return b.String()
}
