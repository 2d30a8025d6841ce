package main

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"windtally/extract/scan/ocr"
	"windtally/extract/scan/transcribe"
)

// TestRealPages reads scans of published tables and holds every accepted figure
// against the truth: none may differ.
func TestRealPages(t *testing.T) {
	tables := publishedTables()
	material := os.Getenv("WINDTALLY_MATERIAL")
	if material == "" {
		t.Skipf("not run: %d scanned tables, WINDTALLY_MATERIAL is not set", len(tables))
	}
	engine, err := ocr.Locate()
	if err != nil {
		t.Fatal(err)
	}
	o := transcribe.Options{Engine: engine, Parallel: runtime.NumCPU()}
	// Printed figures, and the least share of them that is to be accepted. Dashes stand
	// for two missing figures of Table VI.
	want := map[string]struct {
		figures  int
		accepted float64
	}{
		"TR 572 p22":          {312, 0.97}, // the aspect ratios included
		"TR 515 Table III":    {729, 0.97},
		"TR 572 Table V":      {54, 0.92},
		"TR 572 Table VI":     {70, 0.92},
		"TM-4741 p22":         {506, 0.97},
		"degraded typewriter": {175, 0.97},
	}
	if len(want) != len(tables) {
		t.Errorf("%d tables, %d expectations", len(tables), len(want))
	}
	for _, r := range tables {
		t.Run(r.name, func(t *testing.T) {
			truth, err := keyed(filepath.Join("..", "..", ".."), material, r)
			if err != nil {
				t.Fatal(err)
			}
			img, dpi, err := open(t.Context(), material, r)
			if err != nil {
				t.Fatal(err)
			}
			got := readPublished(t.Context(), r, img, dpi, truth, o)
			if got.why != "" {
				t.Fatal(got.why)
			}
			for _, s := range got.silents {
				t.Error(s)
			}
			f, w := got.figures, want[r.name]
			t.Logf("figures %d, found %d, right %d, accepted %d, flagged %d, silent %d", f.printed, f.found, f.right, f.accepted, f.flagged, f.silent())
			if f.printed != w.figures || f.found != w.figures {
				t.Errorf("%d of %d figures were found, want %d", f.found, f.printed, w.figures)
			}
			if float64(f.accepted) < w.accepted*float64(w.figures) {
				t.Errorf("%d of %d figures were accepted; at least %.0f %% should be", f.accepted, w.figures, 100*w.accepted)
			}
		})
	}
}
