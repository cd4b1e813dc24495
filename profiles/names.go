package profiles

import (
	"fmt"
	"slices"
	"strings"
)

var (
	weekdays = []string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"} // as time.Weekday counts
	months   = []string{"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}
)

// parseNames reads a list of names and ranges of names, such as mon-fri,sun or
// nov-mar (over the end and on from the start), and marks each one that is in
// it. No text marks all.
func parseNames(text string, names []string) ([]bool, error) {
	in := make([]bool, len(names))
	if text == "" {
		for i := range in {
			in[i] = true
		}
		return in, nil
	}
	for part := range strings.SplitSeq(text, ",") {
		first, last, isRange := strings.Cut(strings.TrimSpace(part), "-")
		if !isRange {
			last = first
		}
		from, to := slices.Index(names, first), slices.Index(names, last)
		if from < 0 || to < 0 {
			return nil, fmt.Errorf("%q is none of %s, nor a range of them", part, strings.Join(names, ", "))
		}
		for i := from; ; i = (i + 1) % len(names) {
			in[i] = true
			if i == to {
				break
			}
		}
	}
	return in, nil
}
