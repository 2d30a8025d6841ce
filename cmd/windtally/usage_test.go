package main

import (
	"slices"
	"strings"
	"testing"
)

func TestOptionsFirst(t *testing.T) {
	app := (&program{}).app()
	for _, c := range []struct{ given, want string }{
		{"findings", "findings"},
		{"findings polar --json", "findings --json polar"},
		{"findings --study s polar", "--study s findings polar"},
		{"--study s findings polar --all", "--study s findings --all polar"},
		{"findings polar --study=s --json", "--study=s findings --json polar"},
		// The value of an option may look like an option: a printed figure begins with a minus.
		{"rule polar:r1:CL --reread -.012 --by ab", "rule --reread -.012 --by ab polar:r1:CL"},
		{"rule --reread --study polar:r1:CL", "rule --reread --study polar:r1:CL"},
		{"publish --version 0.2.0 --study s", "--study s publish --version 0.2.0"},
		{"cite a.pdf --author A --author B", "cite --author A --author B a.pdf"},
		{"show polar -- --json", "show polar -- --json"},
		{"show -- --json --study", "show -- --json --study"},
		{"show polar --help", "show --help polar"},
		{"licences --help", "licences --help"},
		{"findings --study", "--study"},
		{"--study", "--study"},
		{"nonsense --json --study s", "nonsense --json --study s"},
		{"findings polar --bogus", "findings --bogus polar"},
		{"show -", "show -"},
		{"", ""},
	} {
		args := append([]string{"windtally"}, strings.Fields(c.given)...)
		if got, want := optionsFirst(app, args), append([]string{"windtally"}, strings.Fields(c.want)...); !slices.Equal(got, want) {
			t.Errorf("%s: got %q, want %q", c.given, got, want)
		}
	}
}
