//go:build unix

package normalize

import (
	"encoding/csv"
	"fmt"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"windtally/extract"
)

// benchCells is how many cells the benchmark normalizes.
const benchCells = 1_000_000

// madeCollations are a million cells as collation leaves them, in tables of so many
// rows and ten columns in the units of the print, with or without their printed heads,
// and the same cells as a CSV file.
func madeCollations(rows int, heads bool) ([]*extract.Collation, string) {
	columns := []struct {
		key, quantity, unit string
		figure              func(i int) string
	}{
		{"alpha", "angle of attack", "deg", func(i int) string { return strconv.Itoa(i%41 - 10) }},
		{"CL", "lift coefficient", "1", func(i int) string { return fmt.Sprintf(".%03d", i%997) }},
		{"CD", "drag coefficient", "1", func(i int) string { return fmt.Sprintf("0.%04d", 50+i%900) }},
		{"CM", "pitching-moment coefficient", "1", func(i int) string { return fmt.Sprintf("-.%03d", 1+i%140) }},
		{"V", "airspeed", "m.p.h.", func(i int) string { return fmt.Sprintf("%d.%d", 40+i%300, i%10) }},
		{"Vs", "stall speed", "knots", func(i int) string { return strconv.Itoa(41 + i%60) }},
		{"W", "weight", "lb.", func(i int) string { return fmt.Sprintf("%d", 1001+i*7%9000) }},
		{"h", "altitude", "ft.", func(i int) string { return strconv.Itoa(101 + i*13%30000) }},
		{"P", "power", "b.hp.", func(i int) string { return strconv.Itoa(91 + i*3%1100) }},
		{"a", "lift-curve slope", "per degree", func(i int) string { return fmt.Sprintf(".%04d", 600+i%500) }},
	}
	var record []string
	for _, c := range columns {
		record = append(record, c.key)
	}
	var b strings.Builder
	w := csv.NewWriter(&b)
	w.Write(record)
	var list []*extract.Collation
	for first := 0; first < benchCells/len(columns); first += rows {
		table := &extract.Table{ID: fmt.Sprintf("t%08d", first), Name: "made", Layout: "grid", Origin: "print", Basis: full()}
		for _, c := range columns {
			column := extract.Column{Key: c.key, Quantity: c.quantity, Unit: c.unit}
			if heads {
				column.Head = c.key + ", " + c.unit
			}
			table.Columns = append(table.Columns, column)
		}
		table.Givens = []extract.Column{{Key: "re", Quantity: "Reynolds number", Unit: "1"}, {Key: "w", Quantity: "test weight", Unit: "lb"}, {Key: "flap", Quantity: "flap deflection", Unit: "deg"}}
		reading := &extract.Reading{Meta: extract.ReadingMeta{Reader: "keyed-ab"}}
		cell := func(row, column, text string) {
			reading.Cells = append(reading.Cells, extract.Cell{Row: row, Column: column, Text: text, Confidence: 1})
		}
		cell(extract.Given, "re", "3,410,000")
		cell(extract.Given, "w", "2,550")
		cell(extract.Given, "flap", "45")
		for i := first; i < first+rows; i++ {
			row := fmt.Sprintf("r%03d", i-first+1)
			for j := range columns {
				record[j] = columns[j].figure(i)
				cell(row, columns[j].key, record[j])
			}
			w.Write(record)
		}
		list = append(list, extract.Collate(table, nil, []*extract.Reading{reading}, nil))
	}
	w.Flush()
	return list, b.String()
}

// BenchmarkMillionCells normalizes a million cells (numeral, unit, half-width,
// configuration, every doubt) and reports the time (of the clock, and of the
// processor) as a ratio to that in which encoding/csv merely reads the same cells
// and keeps them, and the memory that a cell keeps and
// asks for on the way. The bounds are 8 times and 400 bytes.
//
// What a column's head says is held against the table's file once a column, so that
// heads weigh on short tables: these are shown with them and without. x-csv-valued
// is the processor's ratio where every value is worked out as one fraction besides,
// which nothing but a conversion asks for.
func BenchmarkMillionCells(b *testing.B) {
	b.Run("tables of 100 rows", func(b *testing.B) { millionCells(b, 100, false) })
	b.Run("tables of 100 rows with heads", func(b *testing.B) { millionCells(b, 100, true) })
	b.Run("one table", func(b *testing.B) { millionCells(b, benchCells/10, true) })
}

func millionCells(b *testing.B, rows int, heads bool) {
	list, text := madeCollations(rows, heads)
	read := func() time.Duration {
		start := time.Now()
		records, err := csv.NewReader(strings.NewReader(text)).ReadAll()
		if err != nil {
			b.Fatal(err)
		}
		took := time.Since(start)
		cells := 0
		for _, r := range records {
			cells += len(r)
		}
		if cells != benchCells+10 {
			b.Fatalf("%d cells", cells)
		}
		return took
	}
	// Once beforehand, so that neither pays for pages that the system gives first.
	read()
	for _, c := range list {
		Normalize(c)
	}
	var reading, normalizing, readingCPU, normalizingCPU, valuingCPU time.Duration
	var kept, asked float64
	for b.Loop() {
		runtime.GC()
		cpu := processTime(b)
		reading += read()
		readingCPU += processTime(b) - cpu
		runtime.GC()
		var before, after, done runtime.MemStats
		runtime.ReadMemStats(&before)
		start := time.Now()
		cpu = processTime(b)
		made := make([]*Series, len(list))
		for i, c := range list {
			made[i] = Normalize(c)
		}
		normalizing += time.Since(start)
		normalizingCPU += processTime(b) - cpu
		runtime.ReadMemStats(&done)
		runtime.GC()
		runtime.ReadMemStats(&after)
		cells := 0
		for _, s := range made {
			if len(s.Problems) > 0 {
				b.Fatalf("%v", s.Problems[0])
			}
			for i := range s.Rows {
				for j := range s.Table.Columns {
					d := s.Rows[i].At(j)
					if d == nil || d.Refused || !d.Value.Known() || d.Half == nil {
						b.Fatalf("a figure of row %s is refused", s.Rows[i].Key)
					}
					cells++
				}
			}
		}
		if cells != benchCells {
			b.Fatalf("%d cells", cells)
		}
		kept = float64(after.HeapAlloc) - float64(before.HeapAlloc)
		asked = float64(done.TotalAlloc - before.TotalAlloc)
		cpu = processTime(b)
		for _, s := range made {
			for i := range s.Rows {
				for j := range s.Table.Columns {
					if s.Rows[i].At(j).Value.Rat() == nil {
						b.Fatalf("a figure of row %s has no value", s.Rows[i].Key)
					}
				}
			}
		}
		valuingCPU += processTime(b) - cpu
		runtime.KeepAlive(made)
	}
	b.ReportMetric(float64(normalizing)/float64(reading), "x-csv")
	b.ReportMetric(float64(normalizingCPU)/float64(readingCPU), "x-csv-cpu")
	b.ReportMetric(float64(normalizingCPU+valuingCPU)/float64(readingCPU), "x-csv-valued")
	b.ReportMetric(kept/benchCells, "kept-B/cell")
	b.ReportMetric(asked/benchCells, "asked-B/cell")
	b.ReportMetric(float64(normalizing.Nanoseconds())/float64(b.N)/benchCells, "ns/cell")
}

// processTime is the processor time of the process, the garbage collector's too:
// on a shared machine wall clocks tell of the neighbours.
func processTime(b *testing.B) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
