package demo

import (
	"fmt"
	"os"
	"testing"
)

func TestScratch(t *testing.T) {
	docs, tables, err := compose()
	for _, d := range docs {
		os.WriteFile("/tmp/demo/"+d.File, d.PDF, 0o666)
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range tables {
		fmt.Println(x.Name, x.Pages, x.Regions)
		for _, c := range x.Columns {
			fmt.Print(c.Key, "[", c.Head, "] ")
		}
		fmt.Println()
		for _, r := range x.Rows {
			fmt.Println("  ", r.Page, r.Cells)
		}
	}
}
