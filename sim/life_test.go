package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// The float life of 12 years (vented) or 8 (sealed) at 25 °C and below passes twice as fast for
// every 10 K more (IEEE Std 450 and 1188, from memory), here by the temperatures at the ends of
// the hours; of the cycles it is what Miner's rule leaves.
func TestYear_FloatLife(t *testing.T) {
	const yearH = 8766
	for _, c := range []struct {
		module, air string
		years       float64
	}{{vented, "5", 12}, {vented, "35", 12}, {sealed, "10", 8}, {sealed, "45", 8}} {
		y := plan(t, undecided, noModule, c.module, noSet, `{"bank":{"link_faults":null,"enclosure":{"kind":"fixed","fixed_c":`+c.air+`,"heater_w_per_module":0}}}`).Run(true)
		passed := 0.
		for _, celsius := range values(t, y, "bank_c") {
			passed += math.Pow(2, max(0, float64(celsius)-25)/10) / (c.years * yearH)
		}
		f := &y.Figures
		assert.InEpsilon(t, 1/passed, f.YearsOnFloat, 0.002, "%s at %s °C", c.module, c.air)
		require.Positive(t, f.CycleWearFraction)
		assert.InEpsilon(t, 1/f.CycleWearFraction, f.YearsByCycles, 1e-12)
	}
	aged := func(left string) *sim.Figures {
		return &plan(t, undecided, noModule, vented, noSet, `{"bank":{"aged_capacity_fraction":`+left+`,"enclosure":{"kind":"fixed","fixed_c":5}}}`).Run(false).Figures
	}
	assert.InEpsilon(t, 12*yearH/8760./2, aged("0.9").YearsOnFloat, 1e-9, "half of the fifth is lost")
	spent := aged("0.8")
	assert.Zero(t, spent.YearsOnFloat+spent.YearsByCycles)
}

// The life of a bank is that of its chemistry.
func TestSystem_Life(t *testing.T) {
	lfp := plan(t).Run(false).Figures
	require.Positive(t, lfp.YearsTo80Pct)
	require.Zero(t, lfp.YearsByCycles+lfp.YearsOnFloat, "the law of ageing has both")
	s := &sim.System{}
	assert.Equal(t, sim.Life{Years: lfp.YearsTo80Pct, By: "years_to_80_pct"}, s.Life(&lfp))
	assert.True(t, math.IsInf(s.Life(&sim.Figures{}).Years, 1))
	s.Bank.Module.WarrantyYears = 3
	assert.Equal(t, sim.Life{Years: 12, By: "years_on_float"}, s.Life(&sim.Figures{YearsOnFloat: 12}), "the warranty is not the life of lead-acid")
	assert.Equal(t, sim.Life{Years: 3, By: "warranty in years"}, s.Life(&sim.Figures{YearsByCycles: 5}))
}
