package study

import (
	"cmp"
	"slices"

	"bankyear/sim"
)

// Headroom is how much all load may grow.
type Headroom struct {
	// Fraction is the growth up to which every one tried keeps within the limit,
	// 0.25 for a quarter more; negative when the load must shrink.
	Fraction float64
	// Bracketed is false when every growth tried keeps within the limit, or none:
	// Fraction is then the last of the grid or the first.
	Bracketed bool
	// Again is the largest growth of the grid beyond one that exceeds the limit
	// that keeps within it all the same; 0 when there is none. Downtime is not
	// monotone in the load.
	Again float64
	// BreaksFirst and BreaksSecond are the first two causes of downtime that a
	// year has not at the load as it is, in the order of the growth at which they
	// come; of several at the same growth the one with more hours. Empty when no
	// growth tried brings one.
	BreaksFirst, BreaksSecond string
	// Tried lists what was simulated, by growth.
	Tried []Grown
}

// Grown is a year with grown load.
type Grown struct {
	Fraction  float64
	DowntimeH float64
	causes    map[string]float64
}

// HeadroomLimitH is the downtime that a load may grow to: 99.9 % of the year is
// served.
const HeadroomLimitH = 8.76

// HeadroomGrid is the growths that a search looks at before it looks closer.
func HeadroomGrid() []float64 {
	return []float64{-.9, -.75, -.6, -.45, -.3, -.2, -.1, 0, .05, .1, .2, .3, .45, .6, .8, 1, 1.5, 2, 3, 4}
}

// mostHalvings is how often the bracket is halved at most.
const mostHalvings = 12

// FindHeadroom finds the growth of load up to which downtime stays within limitH,
// h a year. It simulates every growth from 0 on that is in the grid (ascending,
// with 0 in it), because downtime is not monotone, and those below 0 if the load
// as it is exceeds the limit; then it halves the bracket in which the limit is
// first exceeded until it is no wider than tolerance. year simulates a growth;
// its error ends the search.
func FindHeadroom(grid []float64, limitH, tolerance float64, year func(growth float64) (*sim.Figures, error)) (Headroom, error) {
	zero := slices.Index(grid, 0)
	if !slices.IsSorted(grid) || zero < 0 {
		panic("study: growths must ascend and hold 0")
	}
	var h Headroom
	try := func(growth float64) (bool, error) {
		f, err := year(growth)
		if err != nil {
			return false, err
		}
		h.Tried = append(h.Tried, Grown{growth, f.DowntimeH, f.DowntimeByCauseH})
		return f.DowntimeH <= limitH, nil
	}
	asIs, err := try(0)
	if err != nil {
		return Headroom{}, err
	}
	lowest := zero
	if !asIs {
		lowest = 0
	}
	within := make([]bool, len(grid))
	within[zero] = asIs
	for i := lowest; i < len(grid); i++ {
		if i == zero {
			continue
		}
		if within[i], err = try(grid[i]); err != nil {
			return Headroom{}, err
		}
	}
	first := lowest // of those that exceed the limit
	for first < len(grid) && within[first] {
		first++
	}
	for i := first; i < len(grid); i++ {
		if within[i] {
			h.Again = grid[i]
		}
	}
	h.Fraction, h.Bracketed = grid[max(first-1, lowest)], first > lowest && first < len(grid)
	if h.Bracketed {
		hi := grid[first]
		for i := 0; i < mostHalvings && hi-h.Fraction > tolerance; i++ {
			middle := (h.Fraction + hi) / 2
			ok, err := try(middle)
			if err != nil {
				return Headroom{}, err
			}
			if ok {
				h.Fraction = middle
			} else {
				hi = middle
			}
		}
	}
	slices.SortFunc(h.Tried, func(a, b Grown) int { return cmp.Compare(a.Fraction, b.Fraction) })
	h.BreaksFirst, h.BreaksSecond = breaks(h.Tried)
	return h, nil
}

// breaks names the first two causes that growth brings. A sorted list of years
// holds growth 0.
func breaks(tried []Grown) (first, second string) {
	zero := slices.IndexFunc(tried, func(g Grown) bool { return g.Fraction == 0 })
	var fresh []string
	for _, g := range tried[zero+1:] {
		var here []string
		for _, c := range sim.DowntimeCauses() {
			name := c.String()
			if g.causes[name] > 0 && tried[zero].causes[name] == 0 && !slices.Contains(fresh, name) {
				here = append(here, name)
			}
		}
		slices.SortStableFunc(here, func(a, b string) int { return cmp.Compare(g.causes[b], g.causes[a]) })
		fresh = append(fresh, here...)
	}
	fresh = append(fresh, "", "")
	return fresh[0], fresh[1]
}
