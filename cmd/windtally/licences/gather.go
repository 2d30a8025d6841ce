//go:build ignore

// Gather writes licences.txt: an entry for Go, one for each module that is linked
// into the program on any of the platforms it is built for, with the licence files
// of the module cache, and the entries in carried/ of what such a module carries.
// Packages may be named as arguments; without any it is the program.
package main

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

var platforms = []string{"linux/amd64", "darwin/arm64", "windows/amd64"}

type module struct {
	Path, Version, Dir string
	Main               bool
}

type pkg struct {
	Dir    string
	Module *module
}

const rule = "========================================================================"

func main() {
	text, err := gather(os.Args[1:])
	if err == nil {
		err = os.WriteFile("licences.txt", []byte(text), 0o644)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "gather:", err)
		os.Exit(1)
	}
}

func gather(packages []string) (string, error) {
	if len(packages) == 0 {
		packages = []string{"windtally/cmd/windtally"}
	}
	modules := map[string]*module{}
	files := map[string]map[string]bool{} // by module path, relative to its folder
	for _, platform := range platforms {
		list, err := linked(platform, packages)
		if err != nil {
			return "", err
		}
		for _, p := range list {
			m := p.Module
			if m == nil || m.Main {
				continue
			}
			if modules[m.Path] == nil {
				modules[m.Path], files[m.Path] = m, map[string]bool{}
			}
			// A package may be under terms of its own.
			for dir := p.Dir; ; dir = filepath.Dir(dir) {
				if err := collect(files[m.Path], m.Dir, dir); err != nil {
					return "", err
				}
				if dir == m.Dir || len(dir) <= len(m.Dir) {
					break
				}
			}
		}
	}
	var b strings.Builder
	b.WriteString("Licences of what windtally is made of: Go, the Go modules linked into the\n" +
		"program, and what those modules carry inside. Written by go generate.\n")

	out, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return "", err
	}
	root := strings.TrimSpace(string(out))
	if err := entry(&b, "Go (runtime and standard library)", "that of the compiler which built the program", root, []string{"LICENSE", "PATENTS"}); err != nil {
		return "", err
	}
	for _, path := range slices.Sorted(maps.Keys(modules)) {
		m := modules[path]
		if err := entry(&b, m.Path, m.Version, m.Dir, slices.Sorted(maps.Keys(files[path]))); err != nil {
			return "", err
		}
	}
	names, err := filepath.Glob("carried/*.txt")
	if err != nil || len(names) == 0 {
		return "", cmp.Or(err, errors.New("carried: no files"))
	}
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			return "", err
		}
		_, by, _ := strings.Cut(string(data), "\ncarried by: ")
		by, _, _ = strings.Cut(by, "\n")
		if slices.ContainsFunc(slices.Collect(maps.Keys(modules)), func(path string) bool { return strings.Contains(by, path) }) {
			fmt.Fprintf(&b, "\n%s\n%s", rule, data)
		}
	}
	return b.String(), nil
}

func linked(platform string, packages []string) ([]pkg, error) {
	goos, goarch, _ := strings.Cut(platform, "/")
	cmd := exec.Command("go", append([]string{"list", "-deps", "-json=Dir,Module"}, packages...)...)
	cmd.Env = append(os.Environ(), "GOOS="+goos, "GOARCH="+goarch, "CGO_ENABLED=0")
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("go list for %s: %w\n%s", platform, err, &stderr)
	}
	var list []pkg
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p pkg
		if err := d.Decode(&p); err == io.EOF {
			return list, nil
		} else if err != nil {
			return nil, err
		}
		list = append(list, p)
	}
}

var (
	isTerms  = regexp.MustCompile(`(?i)^(licen[cs]e|notice|patents|copying|copyright)(\.(txt|md))?$`)
	isFolder = regexp.MustCompile(`(?i)^(third_party_)?licen[cs]es$`)
)

// collect adds the files of terms that stand in dir, relative to root.
func collect(into map[string]bool, root, dir string) error {
	list, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	for _, e := range list {
		full := filepath.Join(dir, e.Name())
		name, err := filepath.Rel(root, full)
		if err != nil {
			return err
		}
		switch {
		case !e.IsDir() && isTerms.MatchString(e.Name()):
			into[filepath.ToSlash(name)] = true
		case e.IsDir() && isFolder.MatchString(e.Name()):
			inner, err := os.ReadDir(full)
			if err != nil {
				return err
			}
			for _, f := range inner {
				if !f.IsDir() {
					into[filepath.ToSlash(filepath.Join(name, f.Name()))] = true
				}
			}
		}
	}
	return nil
}

func entry(b *strings.Builder, path, version, dir string, files []string) error {
	var texts strings.Builder
	var names []string
	for _, name := range files {
		data, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
		if err != nil {
			return err
		}
		text := tidy(string(data))
		fmt.Fprintf(&texts, "\n--- %s ---\n\n%s\n", name, text)
		if !strings.Contains(name, "/") {
			names = append(names, identify(text)...)
		}
	}
	slices.Sort(names)
	names = slices.Compact(names)
	if len(names) == 0 {
		return fmt.Errorf("%s %s: no licence that is known among its files %q", path, version, files)
	}
	fmt.Fprintf(b, "\n%s\nmodule: %s\nversion: %s\nlicence: %s\n%s", rule, path, version, strings.Join(names, " AND "), &texts)
	return nil
}

// identify returns the SPDX identifiers of the licences whose text it sees.
func identify(text string) []string {
	t := strings.ToLower(strings.Join(strings.Fields(text), " "))
	var names []string
	if strings.Contains(t, "apache license") && strings.Contains(t, "version 2.0") {
		names = append(names, "Apache-2.0")
	}
	if strings.Contains(t, "permission is hereby granted, free of charge") {
		names = append(names, "MIT")
	}
	if strings.Contains(t, "redistribution and use in source and binary forms") {
		if strings.Contains(t, "endorse or promote") {
			names = append(names, "BSD-3-Clause")
		} else {
			names = append(names, "BSD-2-Clause")
		}
	}
	return names
}

// tidy makes line ends LF and drops spaces at the end of lines.
func tidy(text string) string {
	lines := strings.Split(strings.ReplaceAll(strings.TrimPrefix(text, "\ufeff"), "\r\n", "\n"), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " \t\f")
	}
	return strings.Trim(strings.Join(lines, "\n"), "\n")
}
