package transcribe

import (
	"context"
	"testing"

	"windtally/extract/scan"
	"windtally/extract/scan/ocr"
	"windtally/extract/scan/press"
)

// BenchmarkPage reads the fullest ordinary page at 300 dpi of the made ones, with
// character recognition and by shape alone.
func BenchmarkPage(b *testing.B) {
	fonts, err := press.Fonts()
	if err != nil {
		b.Fatal(err)
	}
	plan, err := press.Plan(press.Tuned)
	if err != nil {
		b.Fatal(err)
	}
	var page press.Page
	most := 0
	for _, spec := range plan {
		if !spec.Ordinary || spec.DPI != 300 || spec.Design.Turn != 0 || spec.Design.Rows*spec.Design.Columns <= most {
			continue
		}
		if page, err = press.Make(spec, fonts); err != nil {
			b.Fatal(err)
		}
		most = spec.Design.Rows * spec.Design.Columns
	}
	engine, err := ocr.Locate()
	if err != nil {
		b.Fatal(err)
	}
	for _, c := range []struct {
		name string
		o    Options
	}{{"ocr", Options{Engine: engine, Parallel: 2}}, {"shapes", Options{}}} {
		o := c.o
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			cells := 0
			for b.Loop() {
				p, err := Open(context.Background(), page.Image, scan.Options{Page: 1, DPI: page.DPI, Unit: 1, Turn: 0}, o)
				if err != nil {
					b.Fatal(err)
				}
				var parts []Part
				for _, t := range p.Tables {
					parts = append(parts, Part{Page: p, Table: t})
				}
				res, err := Read(context.Background(), parts, o)
				if err != nil {
					b.Fatal(err)
				}
				cells = 0
				for _, part := range res.Cells {
					cells += len(part)
				}
			}
			if cells == 0 {
				b.Fatal("no cell was read")
			}
			b.ReportMetric(float64(cells), "cells")
		})
	}
}
