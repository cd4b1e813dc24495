package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
	"bankyear/weather"
)

// warming is a year whose air is at −25 °C for a day, then at 25 °C.
func warming(row int) float64 {
	if row < 24 {
		return -25
	}
	return 25
}

// What ended an outage (common practice, no source): systems in which one thing
// alone can end the outage of the given number, from 0.
func TestEndedBy(t *testing.T) {
	dark := steady(0)
	later := dayThen(30, 0, 200)
	burnt := acForHours(3, 5, 9000)
	for row := 5; row < 24; row++ {
		burnt.ACEssentialW[row] = 500
	}
	latching := `{"bank":{"module":{"discharge_a":100,"discharge_peaks_a_s":[[110,60]],"peak_rest_s":0,"capacity_ah":1000}},"controls":{"visit_response_h":72}}`
	byHand := `{"bank":{"initial_soc_fraction":0.01},"generators":{"main":{"start_signal":"by_hand"}},"controls":{"visit_response_h":5}}`
	for _, c := range []struct {
		name   string
		number int
		want   sim.Ending
		y      *sim.Year
	}{
		{"sun after a night", 0, sim.EndSun, run(t, later, dc(later, 500), ideal)},
		{"generator by its rule", 0, sim.EndGenerator, run(t, dark, ac(dark, 500), ideal, diesel, blocked, `{"bank":{"initial_soc_fraction":0.05},"controls":{"low_end":{"stop_soc_fraction":0.1,"resume_soc_fraction":0.2}}}`)},
		{"generator by hand", 0, sim.EndVisit, run(t, dark, ac(dark, 500), ideal, diesel, byHand)},
		{"bank woken by hand, then the sun", 0, sim.EndSun, run(t, later, dc(later, 20), ideal, lfpIdeal, `{"bank":{"initial_soc_fraction":0.001,"module":{"protection":{"asleep_after_h":1}}},"controls":{"visit_response_h":20}}`)},
		{"grid after its outage", 0, sim.EndGrid, run(t, dark, ac(dark, 1000), ideal, `{"grid":{"limit_w":4000,"outages":{"listed":[{"start":"2025-01-01T02:00","hours":8}]}},"inverter":{"charger_a":0}}`)},
		{"three trips, the first", 0, sim.EndClosed, run(t, dark, forHours(1, 5300), ideal, latching)},
		{"three trips, the last", 2, sim.EndReset, run(t, dark, forHours(1000, 5300), ideal, latching)},
		{"lock-out", 2, sim.EndReset, run(t, dark, dc(dark, 1000), ideal, sagging)},
		{"a sag without load", 0, sim.EndRecovered, run(t, dark, dc(dark, 1000), ideal, sagging)},
		{"the link", 0, sim.EndLink, run(t, steady(100), ac(dark, 400), ideal, topped, silence, `{"bank":{"on_link_loss":"all_stop"}}`)},
		{"the link, bank open", 0, sim.EndLink, run(t, steady(100), ac(dark, 400), ideal, topped, silence, `{"bank":{"on_link_loss":"bank_opens"}}`)},
		{"cells that were too cold", 0, sim.EndWindow, run(t, year(3600, always(0), warming), ac(dark, 10), ideal, `{"bank":{"enclosure":{"kind":"outdoor"}}}`)},
		{"overload", 0, sim.EndLoad, run(t, dark, burnt, ideal, `{"bank":{"modules":10}}`)},
		{"a motor", 0, sim.EndRestart, run(t, dark, withMotor(dark), ideal, stiff)},
		{"nothing", 0, sim.EndOfTheYear, run(t, dark, dc(dark, 20), ideal, lfpIdeal)},
	} {
		require.Greater(t, len(c.y.Outages), c.number, c.name)
		o := c.y.Outages[c.number]
		assert.Equal(t, c.want, o.EndedBy, "%s: %+v", c.name, o.During)
	}
}

// withMotor is a motor of 6 kW that starts at nine beside next to no load.
func withMotor(w *weather.Year) *sim.Load {
	l := starter(w, sim.Start{RunningW: 1200, PowerFactor: 1, InrushMultiple: 5, InrushS: 1}, atNine)
	l.ACEssentialW = column(w.Len(), always(.001))
	return l
}
