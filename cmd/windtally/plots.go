package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/validate"
)

// plotted is a plot that was written.
type plotted struct {
	File     string `json:"file"`
	Table    string `json:"table"`
	Subject  string `json:"subject"`
	Kind     string `json:"kind"` // lift-curve or drag-polar
	Points   int    `json:"points"`
	Suspects int    `json:"suspects"`
}

// writePlots writes a plot of each lift curve and polar to dir, and returns what it
// wrote and the plots of earlier runs there that are no longer made.
func writePlots(dir string, s *extract.Study, r *validate.Report, table string) (made []plotted, old []string, err error) {
	shown := filepath.ToSlash(dir)
	if st, err := os.Stat(filepath.Dir(filepath.Clean(dir))); err != nil || !st.IsDir() {
		return nil, nil, &extract.Error{File: shown, Msg: "cannot be made: the folder that it is to be in is not there", Hint: "make that folder, or name another with --plots"}
	}
	if st, err := os.Stat(dir); err == nil && !st.IsDir() {
		return nil, nil, &extract.Error{File: shown, Msg: "is a file; --plots needs a folder", Hint: "name a folder with --plots; it is made where it is not there"}
	}
	type drawn struct {
		file      string
		was, data []byte
	}
	var plots []drawn
	number := map[string]int{}
	for _, c := range r.Curves() {
		name := c.Subject.Name + "-" + c.Table.Name + "-" + plotKind(&c)
		number[name]++
		if table != "" && c.Table.Name != table {
			continue
		}
		file := filepath.Join(dir, fmt.Sprintf("%s-%d.svg", name, number[name]))
		was, err := os.ReadFile(file)
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			return nil, nil, &extract.Error{File: filepath.ToSlash(file), Msg: "cannot be written: it is there and cannot be read", Hint: "name another folder with --plots"}
		case !bytes.HasPrefix(was, []byte(plotHead)):
			return nil, nil, &extract.Error{File: filepath.ToSlash(file), Msg: "is there already and is no plot of windtally; nothing was written over it", Hint: "move it away, or name another folder with --plots"}
		}
		plots = append(plots, drawn{file, was, plot(s, &c)})
		p := plotted{File: filepath.ToSlash(file), Table: c.Table.Name, Subject: c.Subject.Name, Kind: plotKind(&c), Points: len(c.Points)}
		for _, point := range c.Points {
			if len(point.Suspect) > 0 {
				p.Suspects++
			}
		}
		made = append(made, p)
	}
	if err := os.Mkdir(dir, 0o777); err != nil && !errors.Is(err, fs.ErrExist) {
		return nil, nil, &extract.Error{File: shown, Msg: "cannot be made", Hint: "name another folder with --plots"}
	}
	for _, p := range plots {
		if err := extract.WriteFile(p.file, p.was, p.data); err != nil {
			return nil, nil, err
		}
	}
	if table != "" {
		return made, nil, nil // the others may be those of other tables
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, nil, err
	}
	for _, e := range entries {
		file := filepath.ToSlash(filepath.Join(dir, e.Name()))
		if !strings.HasSuffix(file, ".svg") || slices.ContainsFunc(made, func(p plotted) bool { return p.File == file }) {
			continue
		}
		if text, err := os.ReadFile(file); err == nil && bytes.HasPrefix(text, []byte(plotHead)) {
			old = append(old, file)
		}
	}
	return made, old, nil
}
