package sorts

import (
	"math"
	"slices"
)

// linkage joins n things by average linkage (nearest-neighbour chain, exact) until
// no two groups are at least as like as cut. like is the full n by n matrix, which
// is used up. It returns the groups, largest first.
func linkage(like []float32, n int, cut float32) [][]int {
	size := make([]float32, n)
	members := make([][]int, n)
	alive := make([]bool, n)
	for i := range n {
		size[i], members[i], alive[i] = 1, []int{i}, true
	}
	var chain []int
	left := n
	next := 0
	done := make([]bool, n) // no neighbour is near enough any more
	for left > 0 {
		if len(chain) == 0 {
			for next < n && (!alive[next] || done[next]) {
				next++
			}
			if next == n {
				break
			}
			chain = append(chain, next)
		}
		a := chain[len(chain)-1]
		best, at := float32(math.Inf(-1)), -1
		row := like[a*n : a*n+n]
		for b := range n {
			if b != a && alive[b] && row[b] > best {
				best, at = row[b], b
			}
		}
		// Prefer to go back in the chain on ties, or it would not end.
		if len(chain) > 1 && at >= 0 && row[chain[len(chain)-2]] >= best {
			at = chain[len(chain)-2]
			best = row[at]
		}
		if at < 0 || best < cut {
			// With average linkage nothing that happens later can bring a nearer one.
			done[a] = true
			chain = chain[:0]
			left--
			continue
		}
		if len(chain) < 2 || at != chain[len(chain)-2] {
			chain = append(chain, at)
			continue
		}
		b := at
		chain = chain[:len(chain)-2]
		sa, sb := size[a], size[b]
		for k := range n {
			if !alive[k] || k == a || k == b {
				continue
			}
			v := (sa*like[a*n+k] + sb*like[b*n+k]) / (sa + sb)
			like[a*n+k], like[k*n+a] = v, v
		}
		alive[b] = false
		left--
		size[a] += sb
		members[a] = append(members[a], members[b]...)
		if a < next {
			next = a
		}
	}
	var groups [][]int
	for i := range n {
		if alive[i] {
			slices.Sort(members[i])
			groups = append(groups, members[i])
		}
	}
	slices.SortStableFunc(groups, func(a, b []int) int { return len(b) - len(a) })
	return groups
}
