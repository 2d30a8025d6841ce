package extract

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// maxPage bounds a page number that a person may name; no report is longer, and
// a slip such as 12-14000 must not make a list of thousands.
const maxPage = 5000

// ParsePages reads a list of page ranges such as "12-14,20" into ascending page
// numbers without doubles. Pages count from 1 as the file counts them.
func ParsePages(text string) ([]int, error) {
	var pages []int
	for _, part := range strings.Split(text, ",") {
		part = strings.TrimSpace(part)
		from, to, ranged := strings.Cut(part, "-")
		a, err := strconv.Atoi(strings.TrimSpace(from))
		b := a
		if err == nil && ranged {
			b, err = strconv.Atoi(strings.TrimSpace(to))
		}
		if err != nil {
			return nil, fmt.Errorf("pages %q: %q is not a page or a range; write pages as in 12-14,20", text, part)
		}
		if a < 1 || b < a || b > maxPage {
			return nil, fmt.Errorf("pages %q: %q runs outside 1 to %d or backwards", text, part, maxPage)
		}
		for p := a; p <= b; p++ {
			pages = append(pages, p)
		}
	}
	slices.Sort(pages)
	return slices.Compact(pages), nil
}

// FormatPages is the shortest list of ranges that ParsePages reads back as pages.
func FormatPages(pages []int) string {
	var b strings.Builder
	for i := 0; i < len(pages); {
		j := i
		for j+1 < len(pages) && pages[j+1] == pages[j]+1 {
			j++
		}
		if b.Len() > 0 {
			b.WriteByte(',')
		}
		if j > i {
			fmt.Fprintf(&b, "%d-%d", pages[i], pages[j])
		} else {
			b.WriteString(strconv.Itoa(pages[i]))
		}
		i = j + 1
	}
	return b.String()
}
