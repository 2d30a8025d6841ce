// Command speed measures how long windtally takes to read a dense page, character
// recognition included, beside one plain pass of Tesseract over the same page, and the
// memory of all its processes together. Run it in the root of the module, with
// WINDTALLY_MATERIAL set; it wants tesseract and pdftoppm, and Linux for the memory.
//
// The page is NACA TR 572 (1936), page 22 of the file: Table II, 715 cells.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"
)

const (
	report = "reports/naca-tr-572.pdf"
	page   = "22"
	// sampleEvery is how often the processes are looked at.
	sampleEvery = 20 * time.Millisecond
	// endTime is what a command that is told to end has for it.
	endTime = 10 * time.Second
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "speed:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, args []string, out io.Writer) error {
	f := flag.NewFlagSet("speed", flag.ContinueOnError)
	rounds := f.Int("rounds", 3, "measure `N` times, the two passes in turn")
	if err := f.Parse(args); err != nil {
		return err
	}
	if f.NArg() > 0 || *rounds < 1 {
		return errors.New("-rounds N with N of 1 or more would be right, and no argument")
	}
	material := os.Getenv("WINDTALLY_MATERIAL")
	if material == "" {
		return errors.New("no page to read: WINDTALLY_MATERIAL is not set")
	}
	dir, err := os.MkdirTemp("", "speed")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	file := filepath.Join(material, filepath.FromSlash(report))
	program, study, image := filepath.Join(dir, "windtally"), filepath.Join(dir, "study"), filepath.Join(dir, "page")
	cache := filepath.Join(dir, "cache")
	env := append(os.Environ(), "XDG_CACHE_HOME="+cache, "WINDTALLY_STUDY="+study)
	// The first run of all compiles the reader of PDF files, and is not measured.
	for _, args := range [][]string{
		{"go", "build", "-o", program, "./cmd/windtally"},
		{"pdftoppm", "-r", "300", "-gray", "-png", "-singlefile", "-f", page, "-l", page, file, image},
		{program, "new", "--by", "ab", study},
		{program, "cite", file, "--designation", "TR 572", "--title", "Table II", "--year", "1936", "--rights", "public domain", "--name", "page"},
		{program, "extract", "--pages", page, "--image", "page"},
	} {
		if _, err := measure(ctx, env, args...); err != nil {
			return err
		}
	}
	tables, err := filepath.Glob(filepath.Join(study, "tables", "*.yaml"))
	if err != nil || len(tables) != 1 {
		return fmt.Errorf("page %s of %s: drafted %d tables, want 1: %v", page, report, len(tables), err)
	}
	table := strings.TrimSuffix(filepath.Base(tables[0]), ".yaml")

	fmt.Fprint(out, "| round | pass | s | s of processor | peak memory, MB |\n|--:|---|--:|--:|--:|\n")
	var factors []float64
	most := 0.0
	for n := range *rounds {
		plain, err := measure(ctx, append(slices.Clone(env), "OMP_THREAD_LIMIT=1"), "tesseract", image+".png", "-", "--psm", "6")
		if err != nil {
			return err
		}
		if err := os.RemoveAll(filepath.Join(cache, "windtally", "pages")); err != nil {
			return err
		}
		full, err := measure(ctx, env, program, "extract", "--image", table)
		if err != nil {
			return err
		}
		again, err := measure(ctx, env, program, "extract", "--image", table)
		if err != nil {
			return err
		}
		for _, row := range []struct {
			name string
			cost
		}{{"plain tesseract", plain}, {"windtally", full}, {"windtally again", again}} {
			fmt.Fprintf(out, "| %d | %s | %.1f | %.1f | %.0f |\n", n+1, row.name, row.wall.Seconds(), row.cpu.Seconds(), row.memory/1e6)
		}
		factors = append(factors, full.wall.Seconds()/plain.wall.Seconds())
		most = max(most, full.memory)
	}
	slices.Sort(factors)
	_, err = fmt.Fprintf(out, "\nThe page takes %.2f times a plain pass (median; %.2f to %.2f; wanted: at most 3), and %.0f MB (wanted: less than 1000).\n",
		factors[len(factors)/2], factors[0], factors[len(factors)-1], most/1e6)
	return err
}

// cost is that of a command with all that it starts.
type cost struct {
	wall, cpu time.Duration
	memory    float64 // bytes, resident, summed over processes: what they share counts in each
}

func measure(ctx context.Context, env []string, args ...string) (cost, error) {
	cmd := exec.CommandContext(ctx, args[0], args[1:]...)
	cmd.Env = env
	// Windtally ends its children, if it is asked to end.
	cmd.Cancel = func() error { return cmd.Process.Signal(syscall.SIGTERM) }
	cmd.WaitDelay = endTime
	var said strings.Builder
	cmd.Stderr = &said
	start := time.Now()
	if err := cmd.Start(); err != nil {
		return cost{}, err
	}
	done := make(chan struct{})
	var most float64
	var watching sync.WaitGroup
	watching.Go(func() {
		tick := time.NewTicker(sampleEvery)
		defer tick.Stop()
		for {
			select {
			case <-done:
				return
			case <-tick.C:
				most = max(most, resident(cmd.Process.Pid))
			}
		}
	})
	err := cmd.Wait()
	wall := time.Since(start)
	close(done)
	watching.Wait()
	if err != nil {
		return cost{}, fmt.Errorf("%s: %w\n%s", strings.Join(args, " "), err, said.String())
	}
	return cost{wall, cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime(), most}, nil
}

// resident is the resident size of a process and its descendants, 0 where the system
// does not tell.
func resident(root int) float64 {
	names, err := filepath.Glob("/proc/[0-9]*/stat")
	if err != nil {
		return 0
	}
	parent, size := map[int]int{}, map[int]float64{}
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			continue // it has ended
		}
		// The name of the program stands in brackets and may hold anything.
		_, rest, ok := strings.Cut(string(data), ") ")
		fields := strings.Fields(rest)
		if !ok || len(fields) < 22 {
			continue
		}
		pid, err1 := strconv.Atoi(filepath.Base(filepath.Dir(name)))
		up, err2 := strconv.Atoi(fields[1])
		pages, err3 := strconv.ParseFloat(fields[21], 64)
		if errors.Join(err1, err2, err3) == nil {
			parent[pid], size[pid] = up, pages*float64(os.Getpagesize())
		}
	}
	sum := 0.0
	for pid := range size {
		for p := pid; p > 1; p = parent[p] {
			if p == root {
				sum += size[pid]
				break
			}
		}
	}
	return sum
}
