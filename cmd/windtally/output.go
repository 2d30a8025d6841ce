package main

import (
	"encoding/json"
	"os"
	"strings"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// writeJSON writes one value for a program to read.
func (p *program) writeJSON(v any) error {
	enc := json.NewEncoder(p.stdout)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
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
