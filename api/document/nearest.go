package document

// mostHints bounds the work spent on names that were probably meant.
const mostHints = 50

// longestHinted is the longest name that a near name is looked for.
const longestHinted = 64

// unknownName says what is wrong with a name that a struct does not have. Of two that are
// as near the one is meant that is not given yet.
func (s *shape) unknownName(name string, given []bool) (message, allowed string) {
	names := make([]string, 0, len(s.members))
	for _, taken := range []bool{false, true} {
		for i := range s.members {
			if (given != nil && given[i]) == taken {
				names = append(names, s.members[i].name)
			}
		}
	}
	message, allowed = "is not a known member", s.names
	if near := nearest(name, names); near != "" {
		message += "; did you mean " + near + "?"
	}
	return message, allowed
}

// Nearest is the name that was probably meant by a wrong one, or "" when none is
// close.
func Nearest(wrong string, names []string) string { return nearest(wrong, names) }

// nearest is the name closest to a wrong one, or "" when none is close: at most
// one edit in three letters, by Levenshtein's distance. The first of equals wins.
func nearest(wrong string, names []string) string {
	if len(wrong) > longestHinted {
		return ""
	}
	best, nearestName := len(wrong)/3+1, ""
	for _, name := range names {
		if d := distance(wrong, name); d < best {
			best, nearestName = d, name
		}
	}
	return nearestName
}

// distance is Levenshtein's: the fewest bytes to insert, delete or replace.
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := diagonal
			if a[i] != b[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
