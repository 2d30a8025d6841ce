package extract

import (
	"fmt"
	"strconv"
	"strings"
)

// maxPage bounds a page number that a person may name; no report is longer, and
// a slip such as 12-14000 must not make a list of thousands.
const maxPage = 5000

// ParsePages reads a list of page ranges such as "12-14,20" into ascending page
// numbers without doubles. Pages count from 1 as the file counts them.
func ParsePages(text string) ([]int, error) {
	var named [maxPage + 1]bool
	for _, part := range strings.Split(text, ",") {
		part = strings.TrimSpace(part)
		from, to, ranged := strings.Cut(part, "-")
		a, ok := pageNumber(from)
		b := a
		if ok && ranged {
			b, ok = pageNumber(to)
		}
		if !ok {
			return nil, fmt.Errorf("pages %q: %q is not a page or a range; write pages as in 12-14,20", text, part)
		}
		if a < 1 || b < a || b > maxPage {
			return nil, fmt.Errorf("pages %q: %q runs outside 1 to %d or backwards", text, part, maxPage)
		}
		for p := a; p <= b; p++ {
			named[p] = true
		}
	}
	var pages []int
	for p, is := range named {
		if is {
			pages = append(pages, p)
		}
	}
	return pages, nil
}

// pageNumber reads figures alone: no sign, and few enough not to overflow.
func pageNumber(text string) (n int, ok bool) {
	text = strings.TrimSpace(text)
	if strings.Trim(text, "0123456789") != "" || len(text) > 9 {
		return 0, false
	}
	n, err := strconv.Atoi(text)
	return n, err == nil
}

// FormatPages is the shortest list of ranges that ParsePages reads back as pages,
// which ascend without doubles.
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
