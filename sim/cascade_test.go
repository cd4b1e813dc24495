package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// Three modules without an interlink, of 100 A each for the worst, which carries
// 1.1 of the mean: 300 A are 110 A in it, for 60 s; then 150 A in the worst of two
// for a second after that peak, then all of it in the last: dark after 62 s, and
// with an interlink after 60.
func TestCascade_ByHand(t *testing.T) {
	w := steady(0)
	l := dc(w, 0)
	for i := range 8760 {
		if i == 10 {
			l.DCEssentialW[i] = 290 * 51.2
		}
	}
	three := `{"bank":{"modules":3,"module":{"worst_share":1.1,"discharge_a":100,"discharge_peaks_a_s":[[110,60],[150,10],[220,3]]}}}`
	alone := run(t, w, l, ideal, three, `{"bank":{"modules_act_together":false}}`)
	together := run(t, w, l, ideal, three)
	require.NotEmpty(t, alone.Outages)
	require.NotEmpty(t, together.Outages)
	assert.Equal(t, sim.OverCurrent, alone.Outages[0].Cause)
	assert.Equal(t, "2025-01-01T10:01:00", together.Outages[0].Start)
	assert.Equal(t, "2025-01-01T10:01:02", alone.Outages[0].Start)
	assert.GreaterOrEqual(t, alone.Figures.ModuleTrips, 2)
	assert.Zero(t, together.Figures.ModuleTrips)
	closeBooks(t, &alone.Books)
	told := ""
	for _, e := range alone.Outages[0].Chain {
		told += e.What + " by " + e.Of + ". "
	}
	assert.Contains(t, told, "a module opens alone by discharge_over_current")
}

// A break behind two of four modules takes half of the charge off the bus, and
// gives it back with them.
func TestLinkChain_ByHand(t *testing.T) {
	w := steady(0)
	const watts = 512. // 10 A of 400 Ah
	chain := `{"bank":{"modules":4,"link_chain":{"break_after_modules":2,"start":"2025-01-01T10:00","hours":5}}}`
	y := run(t, w, dc(w, watts), ideal, chain)
	soc := values(t, y, "soc_fraction")
	assert.InDelta(t, .75, soc[9], 1e-4, "100 Ah of 400 in ten hours")
	assert.InDelta(t, .75-.25, soc[14], 1e-4, "50 Ah of 200 in five")
	assert.InDelta(t, (100+150-10)/400., soc[15], 1e-4, "what was behind it comes back")
	stays := run(t, w, dc(w, watts), ideal, chain, `{"bank":{"link_chain":{"modules_behind":"stay"}}}`)
	assert.InDelta(t, .6, values(t, stays, "soc_fraction")[15], 1e-4)
}
