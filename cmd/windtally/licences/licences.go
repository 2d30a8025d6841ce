// Package licences holds the licences of all that the program is made of: the Go
// modules that are linked into it, and what those modules carry inside.
package licences

import _ "embed"

//go:generate go run gather.go

//go:embed licences.txt
var text string

// Text returns all licences, one entry after another: first Go itself, then the
// modules in order of path, then what the modules carry.
func Text() string { return text }
