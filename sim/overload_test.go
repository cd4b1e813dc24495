package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim"
)

// acForHours is an AC load for some hours of the year's first day.
func acForHours(from, to int, watts float64) *sim.Load {
	return &sim.Load{ACEssentialW: column(8760, func(row int) float64 {
		if row >= from && row < to {
			return watts
		}
		return 0
	})}
}

// Above its rating of 6 kW the inverter lasts as long as its short ratings say,
// 7 kW for 30 min, 9 kW for 60 s, 12 kW for 5 s, less in heat; then it stays
// off until the load has fallen, and restarts in 30 s (common practice).
func TestInverterOverload(t *testing.T) {
	for _, c := range []struct{ watts, airC, lit float64 }{
		{6000, 25, 7200}, {6001, 25, 1800}, {7000, 25, 1800}, {7500, 25, 60}, {9000, 25, 60}, {11000, 25, 5}, {20000, 25, 1},
		{5401, 50, 1800}, {5399, 50, 7200}, {6301, 50, 60}, // −1 %/K above 40 °C
	} {
		w := year(3600, always(0), always(c.airC))
		y := run(t, w, acForHours(3, 5, c.watts), ideal, `{"bank":{"modules":10}}`)
		assert.InDelta(t, 7200-c.lit, y.Figures.DowntimeH*3600, 1e-3, "%+v", c)
		assert.InDelta(t, y.Figures.DowntimeH, y.Figures.DowntimeByCauseH["inverter_limit"], 1e-9)
		if c.lit < 7200 {
			assert.Equal(t, 1, y.Figures.Restarts)
		}
	}
	// what falls in the hours after is dark until the restart is over
	l := acForHours(3, 5, 9000)
	for row := 5; row < 24; row++ {
		l.ACEssentialW[row] = 500
	}
	y := run(t, steady(0), l, ideal, `{"bank":{"modules":10}}`)
	assert.InDelta(t, 7200-60+30, y.Figures.DowntimeH*3600, 1e-3)
}

// A loaded generator carries what it can past the inverter, so that the rest is
// within the rating.
func TestGeneratorRelievesTheInverter(t *testing.T) {
	w := steady(0)
	y := run(t, w, acForHours(3, 5, 9000), ideal, diesel, `{"bank":{"modules":10,"initial_soc_fraction":0.5},
	  "generators":{"main":{"start_soc_fraction":0.6,"stop_soc_fraction":0.99}},"inverter":{"charger_a":0}}`)
	assert.Zero(t, y.Figures.DowntimeH)
	assert.InDelta(t, 2*6.4, y.Books.GeneratorToACKWh, 1e-6, "80 % of 8 kW")
	assert.InDelta(t, 2*2.6, y.Books.InverterOutKWh, 1e-6)
}

// Above 100 A a module a discharge lasts as long as its curve of peaks allows,
// 110 A 60 s, 150 A 10 s, 220 A 3 s, else 1 s; the protection closes again after
// 60 s (common practice).
func TestDischargeOverCurrent(t *testing.T) {
	w := steady(0)
	curve := `{"bank":{"module":{"discharge_a":100,"discharge_peaks_a_s":[[110,60],[150,10],[220,3]],"worst_share":1,
	  "protection":{"over_current_latch_count":100,"over_current_latch_s":1}}}}`
	for _, c := range []struct{ amperes, lit float64 }{{99.9, 1800}, {105, 60}, {110, 60}, {111, 10}, {150, 10}, {200, 3}, {230, 1}} {
		for _, modules := range []int{1, 3} {
			for _, disconnect := range []string{"directional", "one_switch"} {
				y := run(t, w, forHours(1, c.amperes*51.2*float64(modules)*(1-1e-4)), ideal, curve,
					patch(`{"bank":{"modules":%d,"module":{"disconnect":"%s","capacity_ah":1000}}}`, modules, disconnect))
				period := c.lit + 60
				if c.lit == 1800 {
					assert.Zero(t, y.Figures.Trips, "%+v", c)
					continue
				}
				assert.InDelta(t, 3600/period, y.Figures.TripsByKind["discharge_over_current"], 1, "%+v %s", c, disconnect)
				assert.InDelta(t, 60/period, y.Figures.DowntimeH, .02, "%+v %s", c, disconnect)
				assert.InDelta(t, y.Figures.DowntimeH, y.Figures.DowntimeByCauseH["over_current"], 1e-9, "%+v %s", c, disconnect)
			}
		}
	}
	// the worst module takes more than the mean and trips first
	y := run(t, w, forHours(1, 95*51.2), ideal, curve, `{"bank":{"module":{"worst_share":1.1,"capacity_ah":1000}}}`)
	assert.Positive(t, y.Figures.Trips)
}

// Peaks need a rest between them: a second one without it lasts a second only
// (common practice).
func TestPeaksNeedRest(t *testing.T) {
	w := year(60, always(0), always(25))
	l := &sim.Load{DCEssentialW: column(w.Len(), func(row int) float64 {
		if row == 0 || row == 3 {
			return 105 * 51.2
		}
		return 0
	})}
	for rest, trips := range map[float64]int{60: 0, 119: 0, 200: 1} {
		y := run(t, w, l, ideal, patch(`{"bank":{"module":{"discharge_a":100,"discharge_peaks_a_s":[[110,90]],"peak_rest_s":%g}}}`, rest))
		assert.Equal(t, trips, y.Figures.Trips, "rest of %g s", rest)
		assert.InDelta(t, float64(trips)*59/3600, y.Figures.DowntimeH, 1e-6)
	}
}
