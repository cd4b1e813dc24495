package inverter

import (
	"strconv"

	"bankyear/sim/fault"
)

// Check records what is wrong with the meaning of the values: the DC window
// must be open, and the short ratings must rise in watts above the continuous
// rating and fall in seconds (a longer time at a higher power would make the
// rating before it meaningless). Ranges of single values are not its business.
func (s *Spec) Check(c fault.Collector) {
	if s.MaxV <= s.MinV {
		c.At("max_v").Add(s.MaxV, "above "+number(s.MinV), "V", "is not above min_v: the inverter works at no voltage")
	}
	if back := s.HighReturnV(); s.MaxV > s.MinV && (back >= s.MaxV || back <= s.MinV) {
		c.At("max_return_v").Add(back, "between "+number(s.MinV)+" and "+number(s.MaxV), "V", "is not between min_v and max_v")
	}
	below := [2]float64{s.RatedW, 0}
	for i, r := range s.Short {
		at := c.At("short_ratings_w_s", strconv.Itoa(i))
		if r[0] <= below[0] {
			at.At("0").Add(r[0], "above "+number(below[0]), "W", "is not above the rating before it (rated_w, or the pair before)")
		}
		if r[1] <= 0 {
			at.At("1").Add(r[1], "above 0", "s", "is not a time")
		} else if i > 0 && r[1] >= below[1] {
			at.At("1").Add(r[1], "below "+number(below[1]), "s", "is not shorter than that of the lower rating before it")
		}
		below = r
	}
}

func number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
