// Command accuracy measures how truly page images are read: on pages made with known
// truth (package press) or, with -real, on scans of published tables whose figures
// were keyed by hand. Run it in the root of the module.
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime"
	"time"

	"windtally/extract/scan/cache"
	"windtally/extract/scan/ocr"
	"windtally/extract/scan/press"
	"windtally/extract/scan/transcribe"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, os.Args[1:], os.Stdout, os.Stderr); err != nil {
		fmt.Fprintln(os.Stderr, "accuracy:", err)
		os.Exit(1)
	}
}

type settings struct {
	half     string
	pages    int
	only     string
	seed     uint64
	ordinary bool
	real     bool
	ocr      bool
	kept     bool
	verbose  bool
	parallel int
}

func run(ctx context.Context, args []string, out, progress io.Writer) error {
	var s settings
	f := flag.NewFlagSet("accuracy", flag.ContinueOnError)
	f.StringVar(&s.half, "half", press.Tuned, "half of the plan: tuned or held-out")
	f.IntVar(&s.pages, "pages", 0, "read the first `N` pages alone; 0 means all")
	f.StringVar(&s.only, "only", "", "read the page of this `NAME` alone and, with -v, list its flagged cells too")
	f.Uint64Var(&s.seed, "seed", 0, "read pages of other tables and damages, that this `NUMBER` decides; 0 means the planned ones")
	f.BoolVar(&s.ordinary, "ordinary", false, "leave out heavily damaged pages")
	f.BoolVar(&s.real, "real", false, "read scans of published tables in WINDTALLY_MATERIAL instead of made pages")
	f.BoolVar(&s.ocr, "ocr", true, "let character recognition take part")
	f.BoolVar(&s.kept, "kept", false, "use answers of character recognition kept from earlier runs; times are then not those of a first reading")
	f.BoolVar(&s.verbose, "v", false, "print each silent cell, and why cells are flagged")
	f.IntVar(&s.parallel, "parallel", runtime.NumCPU(), "most child processes at a time")
	if err := f.Parse(args); err != nil {
		return err
	}
	if f.NArg() > 0 {
		return fmt.Errorf("argument %q is not known: flags alone would be right", f.Arg(0))
	}
	if s.pages < 0 {
		return fmt.Errorf("-pages %d: 0 or more would be right", s.pages)
	}
	o := transcribe.Options{Parallel: s.parallel}
	if s.ocr {
		engine, err := ocr.Locate()
		if err != nil {
			return err
		}
		if s.kept {
			engine.Cache = cache.User()
		}
		o.Engine = engine
	}
	var b board
	var err error
	if s.real {
		err = readReal(ctx, s, o, &b, progress)
	} else {
		err = readMade(ctx, s, o, &b, progress)
	}
	if err != nil {
		return err
	}
	if b.total.pages == 0 {
		return fmt.Errorf("no page was read: -only %q names none that is planned", s.only)
	}
	return b.print(out, s)
}

func readMade(ctx context.Context, s settings, o transcribe.Options, b *board, progress io.Writer) error {
	specs, err := press.Plan(s.half)
	if s.seed != 0 {
		specs, err = press.PlanOf(s.half, s.seed)
	}
	if err != nil {
		return err
	}
	fonts, err := press.Fonts()
	if err != nil {
		return err
	}
	done := 0
	for _, spec := range specs {
		if s.ordinary && !spec.Ordinary {
			continue
		}
		if s.only != "" && spec.Name != s.only {
			continue
		}
		if s.pages > 0 && done == s.pages {
			break
		}
		done++
		page, err := press.Make(spec, fonts)
		if err != nil {
			return err
		}
		start := time.Now()
		t := readPage(ctx, page, o)
		t.seconds = time.Since(start).Seconds()
		if err := ctx.Err(); err != nil {
			return err
		}
		b.addMade(spec, t)
		fmt.Fprintf(progress, "%s %s %d dpi: printed %d, found %d, right %d, accepted %d, silent %d, %.1f s%s\n", spec.Name, spec.Fount, spec.DPI,
			t.figures.printed, t.figures.found, t.figures.right, t.figures.accepted, t.figures.silent(), t.seconds, t.remark())
	}
	return nil
}
