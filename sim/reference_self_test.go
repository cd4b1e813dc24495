package sim_test

import "testing"

// The reference keeps its own books: what is not used of the sun is curtailed
// by a named cause, no more is served than asked for, and every dark second has
// a cause.
func TestReference_Books(t *testing.T) {
	for _, c := range refCases {
		s := system(t, refBase, c.patch)
		w, l := c.inputs(&s.System)
		r := newReference(&s.System, w, l)
		r.run(c.days)
		for i := range r.hours {
			h := &r.hours[i]
			lost := h.available - h.used
			for _, ws := range h.curtailedBy {
				lost -= ws
			}
			if lost > 36 || lost < -1e-3 || h.served > h.load+1e-3 || h.soc < 0 || h.soc > 1 || h.downBy[0] > 0 {
				t.Errorf("%s, hour %d: lost %g Ws, served %g of %g Ws, SoC %g, dark without a cause %g s",
					c.name, i, lost, h.served, h.load, h.soc, h.downBy[0])
			}
		}
	}
}
