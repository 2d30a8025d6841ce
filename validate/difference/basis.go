package difference

import "math"

// basis is polynomials that are orthonormal on the points of a line: of[d][i] is the
// polynomial of degree d at point i. They come from the recurrence of G. E. Forsythe,
// "Generation and Use of Orthogonal Polynomials for Data-Fitting with a Digital
// Computer", J. SIAM 5 (1957), which needs no matrix and stays exact where powers do
// not.
type basis struct {
	x          []float64 // the points
	of         [][]float64
	a, b, norm []float64 // of the recurrence
	mid, scale float64   // put the points between -1 and 1
}

// newBasis makes the polynomials up to a degree, which is less than the points.
func newBasis(x []float64, degree int) *basis {
	n := len(x)
	p := &basis{x: x, mid: (x[0] + x[n-1]) / 2, scale: math.Abs(x[n-1]-x[0]) / 2}
	last, now := make([]float64, n), make([]float64, n)
	for i := range now {
		now[i] = 1 / math.Sqrt(float64(n))
	}
	p.of = append(p.of, now)
	for range degree {
		next := make([]float64, n)
		var a, b, norm float64
		for i := range x {
			u := p.unit(x[i])
			a += u * now[i] * now[i]
			b += u * now[i] * last[i]
		}
		for i := range x {
			next[i] = (p.unit(x[i])-a)*now[i] - b*last[i]
			norm += next[i] * next[i]
		}
		norm = math.Sqrt(norm)
		for i := range next {
			next[i] /= norm
		}
		p.a, p.b, p.norm = append(p.a, a), append(p.b, b), append(p.norm, norm)
		p.of = append(p.of, next)
		last, now = now, next
	}
	return p
}

func (p *basis) unit(x float64) float64 { return (x - p.mid) / p.scale }

// like reports whether two lines have the same spacing, so that their polynomials
// are the same.
func (p *basis) like(q *basis) bool {
	for i := range p.x {
		if math.Abs(p.unit(p.x[i])-q.unit(q.x[i])) > 1e-9 {
			return false
		}
	}
	return true
}

// weights are those of the points in the value at x of the least-squares polynomial.
func (p *basis) weights(x float64) []float64 {
	w := make([]float64, len(p.x))
	u := p.unit(x)
	last, now := 0.0, p.of[0][0]
	for d, of := range p.of {
		for i := range w {
			w[i] += now * of[i]
		}
		if d < len(p.a) {
			last, now = now, ((u-p.a[d])*now-p.b[d]*last)/p.norm[d]
		}
	}
	return w
}
