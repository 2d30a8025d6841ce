package main

import (
	"encoding/json"
	"os"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"

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
	var count atomic.Int64
	set, done := p.bar(total, what)
	return func() { set(int(count.Add(1))) }, done
}

func (p *program) bar(total int, what string) (set func(at int), done func()) {
	f, ok := p.stderr.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return func(int) {}, func() {}
	}
	bar := progressbar.NewOptions(total, progressbar.OptionSetWriter(f), progressbar.OptionSetDescription(what),
		progressbar.OptionClearOnFinish(), progressbar.OptionShowCount())
	// Of two goroutines the one that is behind may come later.
	return func(at int) {
		switch {
		case at == 0:
			_ = bar.RenderBlank()
		case int64(at) > bar.State().CurrentNum:
			_ = bar.Set(at)
		}
	}, func() { _ = bar.Finish() }
}

// stages shows how far each stage of a long piece of work is, where progress is shown.
// Several goroutines may tell.
func (p *program) stages() (tell func(stage string, at, total int), done func()) {
	var mu sync.Mutex
	var now string
	var set func(at int)
	end := func() {}
	tell = func(stage string, at, total int) {
		mu.Lock()
		defer mu.Unlock()
		if stage != now {
			end()
			now = stage
			set, end = p.bar(total, stage)
		}
		set(at)
	}
	return tell, func() {
		mu.Lock()
		defer mu.Unlock()
		end()
	}
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
