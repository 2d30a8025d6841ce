package main

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"windtally/extract"
	"windtally/validate"

	"go.yaml.in/yaml/v3"
)

// mendAt says where the file stands that a finding wants mended, as file:line, or
// "" where the finding is not about one column or given figure of a table's file.
func mendAt(s *extract.Study, f *validate.Finding) string {
	t := s.Table(f.Table)
	if t == nil || !f.Mend {
		return ""
	}
	parts := strings.Split(f.Where, ":")
	key := parts[len(parts)-1]
	if t.Column(key) == nil && t.GivenFigure(key) == nil {
		return ""
	}
	file := "tables/" + t.Name + ".yaml"
	data, err := os.ReadFile(filepath.Join(s.Dir, filepath.FromSlash(file)))
	if err != nil {
		return ""
	}
	var root yaml.Node
	if err := yaml.Unmarshal(data, &root); err != nil || len(root.Content) == 0 {
		return ""
	}
	for _, list := range []string{"columns", "givens"} {
		entries := child(root.Content[0], list)
		if entries == nil {
			continue
		}
		for _, e := range entries.Content {
			if k := child(e, "key"); k == nil || k.Value != key {
				continue
			}
			line := e.Line
			if at := child(e, f.Check); at != nil { // a check named for a key: unit, quantity
				line = at.Line
			}
			return file + ":" + strconv.Itoa(line)
		}
	}
	return ""
}

func child(n *yaml.Node, key string) *yaml.Node {
	if n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}
