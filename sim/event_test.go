package sim_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// told is a list of events in short, times left out.
func told(list []sim.Event) []string {
	out := []string{}
	for _, e := range list {
		out = append(out, strings.TrimSuffix(e.What+": "+e.Of, ": "))
	}
	return out
}

// An empty bank that nothing charges, by hand (TestSleep_Timeline): under-voltage some
// hours after the cut-off, asleep a day later; a visitor who comes 100 h after the
// cut-off wakes it, and the sun of two noons had not; then the sun of others brings the load
// back.
func TestDuring(t *testing.T) {
	w := year(3600, func(row int) float64 {
		if row%24 == 12 && row > 24*2 {
			return 100
		}
		return 0
	}, always(25))
	y := run(t, w, dc(w, 20), ideal, lfpIdeal, `{"controls":{"visit_response_h":100}}`)
	require.NotEmpty(t, y.Outages)
	o := y.Outages[0]
	cut := whBetween(socAt(3.1), .1)/40*3600 + 30
	under := cut + (whBetween(socAt(2.8), socAt(3.1))-40*30./3600)/20*3600 + 5
	asleep := under + 86400
	require.Equal(t, []string{"disconnect trips: under_voltage", "bank falls asleep"}, told(o.During[:2]))
	noon := func(day float64) float64 { return day*86400 + 12*3600 }
	require.Less(t, asleep, noon(2), "it sleeps as the first sun comes, on the third day")
	const fails = "waking by the sun fails at: a solar charger puts voltage on a dead bus"
	require.Equal(t, []string{fails, fails, "visitor comes", "disconnect closes: under_voltage", "bank is woken: visit"}, told(o.During[2:7]))
	for i, at := range []float64{under, asleep, noon(2), noon(3), cut + 100*3600} {
		got, err := time.Parse("2006-01-02T15:04:05", o.During[i].At)
		require.NoError(t, err)
		want, _ := time.Parse("2006-01-02T15:04:05", clockOf(at))
		assert.InDelta(t, want.Unix(), got.Unix(), 5, o.During[i].What)
	}
	assert.Equal(t, []string{"load may come back", "inverter: restarts"}, told(o.During[len(o.During)-2:]))
	assert.Equal(t, sim.EndSun, o.EndedBy)
	for i, e := range o.During {
		assert.GreaterOrEqual(t, e.At, o.Start)
		if i > 0 {
			assert.LessOrEqual(t, o.During[i-1].At, e.At)
		}
	}
}

// A generator whose signal the dead bus would have to feed cannot wake the bank, and
// one that runs beside chargers that need a bank neither: the link that fails is told
// at its time, and is the first that the chain has broken.
func TestDuring_WakeAttempts(t *testing.T) {
	w := steady(0)
	for _, c := range []struct{ patch, what string }{
		{`{"generators":{"main":{"start_signal":"inverter","signal_fed_from":"bank"}}}`, "starting the generator fails at"},
		{`{"inverter":{"charger_starts_without_bank":false},"generators":{"main":{"start_signal":"own_controller","signal_fed_from":"own_battery"}}}`, "waking by the generator fails at"},
	} {
		// at first the generator may not start, so that the bank falls asleep
		s := system(t, ideal, lfpIdeal, diesel, `{"generators":{"main":{"start_soc_fraction":0.5,"start_below":null,"no_start_hours":"11-10"}},"bank":{"woken_by":["generator","visit"],"estimate":{"kind":"exact"},"initial_soc_fraction":0.02,
		  "module":{"protection":{"asleep_after_h":1}}}}`, c.patch)
		y := sim.Compile(&s.System, w, dc(w, 20)).Run(true)
		require.Positive(t, y.Figures.Sleeps)
		broken := s.WakeChains()[0].Broken
		require.NotEmpty(t, broken)
		assert.Contains(t, told(y.Outages[0].During), c.what+": "+broken)
		assert.Contains(t, told(y.Incidents), c.what+": "+broken)
	}
}

// Somebody who may do nothing of what would help is told of as such.
func TestDuring_VisitWithoutEffect(t *testing.T) {
	w := steady(0)
	y := run(t, w, dc(w, 20), ideal, lfpIdeal, `{"controls":{"operator":{"on_site":"always","does":["start_generator"]}}}`)
	require.Equal(t, 1, y.Figures.Visits, "who has seen a darkness that goes on tries again, but is not told of again")
	assert.Contains(t, told(y.Incidents), "operator acts: without effect")
}

// A motor that does not start is named, in what led to the outage that it brings:
// of two the one that asks for more.
func TestFailedStartIsNamed(t *testing.T) {
	w := steady(0)
	l := withMotor(w)
	pump := l.Starts[0]
	pump.Appliance, pump.RunningW = "pump", 1500
	l.Starts = append(l.Starts, pump)
	y := run(t, w, l, ideal, stiff)
	require.Len(t, y.Outages, 365)
	for _, o := range y.Outages {
		assert.Equal(t, "inverter restarts after a motor did not start: pump", told(o.Chain)[len(o.Chain)-1])
		assert.Equal(t, []string{"inverter: runs"}, told(o.During))
	}
	assert.Len(t, y.Incidents, 365)
}

// The incidents of the year are those that the figures count, also where the site
// stays lit; those of one kind on one day are one.
func TestIncidents_AreTheFigures(t *testing.T) {
	stations := map[string][]string{
		"cold, one switch": {voltageOnly, `{"generators":null,"bank":{"module":{"key":"lfp_16s_100ah_one_switch"},"enclosure":{"kind":"outdoor","heater_w_per_module":0}}}`},
		"compensation on":  {voltageOnly, `{"generators":null,"bank":{"modules":3,"enclosure":{"kind":"outdoor","heater_w_per_module":0},"module":{"protection":{"charge_cold_c":-59,"charge_cold_release_c":-50},"key":"lfp_16s_100ah_one_switch"},"settings":{"absorb_v":57.6,"float_v":54,"restart_charge_v":50.4,"tail_a":16,"charge_a":100,"compensation_v_per_c":-0.096}}}`},
		"sleeps":           {`{"generators":null,"array":{"planes":{"roof":{"rated_kw":1.2}}},"controls":{"visit_response_h":300}}`},
		"links":            {`{"bank":{"link_faults":{"mean_hours_between":300}}}`},
		"motors":           {`{"bank":{"modules":1,"module":{"discharge_peaks_a_s":[[110,60]]}}}`},
		"somebody on site": {`{"bank":{"modules":2},"generators":{"main":{"start_signal":"by_hand"}},"controls":{"operator":{"on_site":"always"}}}`},
	}
	seen := map[string]int{}
	for name, patches := range stations {
		y := plan(t, patches...).Run(true)
		count := map[string]int{}
		was := map[string]bool{}
		for _, e := range y.Incidents {
			count[e.What] += max(1, e.Times)
			kind := e.At[:10] + e.What + e.Of
			assert.False(t, was[kind], "%s: twice on a day: %+v", name, e)
			was[kind] = true
		}
		for what, figure := range map[string]int{
			"disconnect latches open": y.Figures.Latches, "bank falls asleep": y.Figures.Sleeps, "data link lost": y.Figures.LinkLosses,
			"inverter restarts after a motor did not start": y.Figures.FailedMotorStarts,
		} {
			assert.Equal(t, figure, count[what], "%s: %s", name, what)
			seen[what] += figure
		}
		assert.Equal(t, y.Figures.Trips, count["disconnect trips"]+count["disconnect latches open"], name)
		assert.Equal(t, y.Figures.Visits, count["visitor comes"]+count["operator acts"], name)
		seen["trips"] += y.Figures.Trips
		seen["visits"] += y.Figures.Visits
	}
	for what, n := range seen {
		assert.Greater(t, n, 3, what)
	}
}

// A disconnect that has latched stays open when its last trip is over: it closes as
// somebody resets it, and not before (common practice).
func TestDuring_LatchStaysOpen(t *testing.T) {
	w := steady(400)
	y := run(t, w, dc(w, 100), ideal, steep, `{"bank":{"module":{"disconnect":"one_switch","protection":{"over_v_release_v":57.7}},"settings":{"absorb_v":58.2}},
	  "controls":{"visit_response_h":20}}`)
	require.Positive(t, y.Figures.Latches)
	latched := 0
	for _, o := range y.Outages {
		events := append(told(o.Chain), told(o.During)...)
		at := slices.Index(events, "disconnect latches open: over_voltage")
		if at < 0 {
			continue
		}
		latched++
		reset := slices.Index(events[at:], "disconnect is reset: over_voltage")
		require.Positive(t, reset)
		assert.NotContains(t, events[at:at+reset], "disconnect closes: over_voltage")
	}
	assert.Positive(t, latched)
}

// The classic false full is an incident, and so is a knee that finds the counter far
// off; a re-set that moves next to nothing is none.
func TestIncidents_Resets(t *testing.T) {
	w := dayThen(1, 0, 15)
	y := run(t, w, &sim.Load{}, ideal, shunt, `{"bank":{"initial_soc_fraction":0.52,"module":{"chemistry":"lfp","open_circuit_by_soc_v":null,"resistance_ohm":0.025},
	  "estimate":{"full_seen_at_v":52.8,"full_seen_a":4,"full_seen_hold_s":60}}}`)
	require.NotEmpty(t, y.Incidents)
	e := y.Incidents[0]
	assert.Equal(t, []string{"reported charge is set to full, falsely: from 52 %"}, told([]sim.Event{e}))
	assert.Equal(t, 1., *e.Reported)
	assert.InDelta(t, .52, e.SoC, .01)
	knee := run(t, steady(0), forHours(8, 512), ideal, `{"bank":{"initial_soc_fraction":0.5,"module":{"open_circuit_by_soc_v":[[0,2.9],[0.05,3],[0.2,3.2],[1,3.3]]},
	  "estimate":{"kind":"bms","gain_fraction":0,"offset_a":5,"dead_band_a":0,"assumed_efficiency_fraction":1,"low_knee_cell_v":3}}}`)
	require.NotEmpty(t, knee.Incidents)
	assert.Equal(t, "reported charge is set right", knee.Incidents[0].What)
	right := plan(t, `{"bank":{"link_faults":null}}`).Run(true)
	assert.Greater(t, right.Figures.Resets, 100)
	assert.Empty(t, right.Incidents)

	// Lead-acid that its charger calls full has some per cent to go, every day.
	kept := plan(t, keptBanks[0].patches...).Run(true)
	require.Greater(t, kept.Figures.Resets, 100)
	for _, what := range told(kept.Incidents) {
		assert.NotContains(t, what, "falsely")
	}
}
