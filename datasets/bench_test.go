package datasets

import (
	"fmt"
	"path/filepath"
	"testing"
)

// large is an edition of n points of a polar, each with two values.
func large(n int) *Edition {
	e := tarnholm()
	for i := range n {
		id := func(letter string) string { return fmt.Sprintf("%s%08x", letter, i) }
		angle, lift := e.Values[0], e.Values[1]
		angle.ValueID, lift.ValueID = id("a"), id("b")
		e.Values = append(e.Values, angle, lift)
		point := e.Polars[0]
		point.PolarID, point.Point = "large", i+1
		point.AngleOfAttack.ValueID, point.LiftCoefficient.ValueID, point.DragCoefficient = angle.ValueID, lift.ValueID, Measured{}
		e.Polars = append(e.Polars, point)
	}
	return e
}

func BenchmarkWrite(b *testing.B) {
	e := large(5000)
	parent := b.TempDir()
	for i := 0; b.Loop(); i++ {
		if err := Write(filepath.Join(parent, fmt.Sprint(i)), e); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLoad(b *testing.B) {
	dir := filepath.Join(b.TempDir(), "1.0.0")
	if err := Write(dir, large(5000)); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := Load(dir); err != nil {
			b.Fatal(err)
		}
	}
}
