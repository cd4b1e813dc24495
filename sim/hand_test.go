package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// A bank off the bus for a day, with a set that is started by hand: nothing passes
// through the inverter without the bank, until somebody lays a cable past it (common
// practice, no source).
const cableOut = `{"bank":{"on_link_loss":"bank_opens","link_faults":{"listed":[{"start":"2025-01-01T08:00","hours":30}]}},
  "generators":{"main":{"key":"diesel_8kw","start_signal":"by_hand","failed_start_fraction":0,"exercise":{"run_s":0},"start_soc_fraction":0.001,"stop_soc_fraction":0.1,"min_run_s":0,"max_run_h":6}}}`

// threeDays is an essential AC load of three days.
func threeDays(watts float64) *sim.Load {
	return &sim.Load{ACEssentialW: forHours(72, watts).DCEssentialW}
}

// The site is dark from a minute after the fault until the operator has started the
// set, an hour and 210 s later; each run of 6 h ends dark, the second at 22:08, when the
// operator sleeps until 7. The link is back at 14 the next day, before the operator
// acts a fourth time, and the inverter runs half a minute later.
func TestBypass_Operator(t *testing.T) {
	w := steady(0)
	of := func(does string) *sim.Year {
		return run(t, w, threeDays(400), ideal, `{"bank":{"module":{"capacity_ah":10000}}}`, cableOut, `{"controls":{"operator":{"on_site":"always","does":[`+does+`]}}}`)
	}
	y := of(`"start_generator","bypass_inverter"`)
	const start = 3600 + 210.
	dark := []float64{start, start, 0, 0}
	dark[2] = (24+7)*3600 - (8*3600 + 60 + 2*start + 12*3600) + 210 // from 22:08 until 7:03:30
	dark[3] = 3600 - 180                                            // from 13:03:30 until the inverter has restarted
	require.Len(t, y.Outages, 4)
	sum := 0.
	for i, o := range y.Outages {
		assert.InDelta(t, dark[i]/3600, o.Hours, 1e-3, "%d from %s", i, o.Start)
		sum += dark[i]
	}
	assert.InDelta(t, sum/3600, y.Figures.DowntimeH, 1e-3)
	assert.InDelta(t, 18, y.Figures.BypassedH, 1e-3, "three runs of 6 h")
	assert.InDelta(t, .4*18, y.Books.GeneratorToACKWh, 1e-3)
	assert.Equal(t, 3, y.Figures.Visits)
	var told []string
	for _, e := range y.Outages[1].Chain {
		told = append(told, e.What)
	}
	assert.Contains(t, told, "load is cabled past the inverter")
	closeBooks(t, &y.Books)

	without := of(`"start_generator"`)
	assert.Zero(t, without.Figures.BypassedH)
	assert.InDelta(t, 30-1/60.+30/3600., without.Figures.DowntimeH, 1e-3, "the set runs, and the site is dark")
}

// A set too small for the load leaves the rest of it unserved: nothing flows from the
// inverter beside it.
func TestBypass_SmallSet(t *testing.T) {
	w := steady(0)
	y := run(t, w, threeDays(4000), ideal, `{"bank":{"module":{"capacity_ah":10000}}}`, cableOut, `{"generators":{"main":{"rated_kw":3,"altitude_fraction_per_100_m":0,"heat_fraction_per_c":0,"max_run_h":100}},
	  "controls":{"operator":{"on_site":"always","does":["start_generator","bypass_inverter"]}}}`)
	lies := 30 - 1/60. + 30/3600. - 1 - 210/3600.
	assert.InDelta(t, lies, y.Figures.BypassedH, 1e-3)
	assert.InDelta(t, 30-1/60.+30/3600., y.Figures.DowntimeH, 1e-3, "essential load is never served whole")
	assert.InDelta(t, 4*(1+210/3600.)+lies, y.Books.UnservedKWh, .02)
}

// shedding is a bank of 5.12 kWh that 102.4 W of essential and as much of flexible load
// empty, 4 % an hour, with an operator who sheds at 40 % and whose controls do so later.
const shedding = `{"bank":{"estimate":{"kind":"exact"}},"controls":{"shed_soc_fraction":0.05,"return_soc_fraction":0.1,"operator":{"on_site":"always","does":["shed_by_hand"]}}}`

func flexible(n int) *sim.Load {
	return &sim.Load{DCEssentialW: column(n, always(102.4)), DCFlexibleW: column(n, always(102.4))}
}

// Full, the bank is at 40 % after 15 h; the operator sheds an hour later at 36 %, which
// last for 18 h then and not for 9. At 68 % it is low at 7, and the operator acts at 8;
// at 50 and 44 % it is low in the night, in which nobody sheds before 7.
func TestShedByHand_Falls(t *testing.T) {
	w := steady(0)
	for _, c := range []struct{ soc, sheds float64 }{{1, 16}, {.68, 8}, {.5, 7}, {.44, 7}} {
		y := run(t, w, flexible(w.Len()), ideal, shedding, patch(`{"bank":{"initial_soc_fraction":%g}}`, c.soc))
		whole := min(c.sheds, c.soc/.04) // h with all of the load
		require.NotEmpty(t, y.Outages)
		assert.InDelta(t, whole+(c.soc-.04*whole)/.02, refStart(t, y.Outages[0].Start)/3600, 2e-3, "%g", c.soc)
		assert.GreaterOrEqual(t, y.Figures.Visits, 1)
	}
	// nobody there: the controls shed at 5 %
	y := run(t, w, flexible(w.Len()), ideal, shedding, `{"controls":{"operator":{"on_site":"never"}}}`)
	assert.InDelta(t, .95/.04+.05/.02, refStart(t, y.Outages[0].Start)/3600, 2e-3)
}

// What is shed is put back an hour after the bank is at 60 % again; a bank that is back
// there within the hour is left alone.
func TestShedByHand_PutBack(t *testing.T) {
	sun := func(row int) float64 {
		if row >= 17 {
			return 100 // 1 kW
		}
		return 0
	}
	w := year(3600, sun, always(25))
	y := run(t, w, flexible(w.Len()), ideal, topped, shedding, `{"bank":{"initial_soc_fraction":1}}`)
	// 36 % at 16:00, 34 % at 17:00; (1000 − 102.4) W add 17.53 % an hour: 60 % at 18:29
	assert.InDelta(t, .1024*(17-16+.26/.17531+1), y.Books.UnservedKWh, 2e-4)
	assert.InDelta(t, y.Books.UnservedKWh, y.Figures.ShedKWh, 1e-9)
	assert.Equal(t, 2, y.Figures.Visits)
	w = year(3600, func(row int) float64 {
		if row >= 15 {
			return 1000 // 10 kW: 60 % six minutes later
		}
		return 0
	}, always(25))
	y = run(t, w, flexible(w.Len()), ideal, topped, shedding, `{"bank":{"initial_soc_fraction":1}}`)
	assert.Zero(t, y.Figures.ShedKWh)
	assert.Zero(t, y.Figures.Visits)
}
