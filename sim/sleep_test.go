package sim_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// lfpCell is the published open-circuit table of checks in open_circuit.go,
// Sunil, Pattipati & Balasingam 2025, its lower end.
var lfpCell = [][2]float64{{0, 2.0102}, {.0033, 2.4177}, {.0117, 2.7405}, {.0267, 2.9299}, {.0534, 3.0872}, {.0885, 3.1942}, {.2972, 3.2772}}

func cellV(soc float64) float64 {
	for i := 1; ; i++ {
		if a, b := lfpCell[i-1], lfpCell[i]; soc <= b[0] {
			return a[1] + (b[1]-a[1])*(soc-a[0])/(b[0]-a[0])
		}
	}
}

func socAt(v float64) float64 {
	for i := 1; ; i++ {
		if a, b := lfpCell[i-1], lfpCell[i]; v <= b[1] {
			return a[0] + (b[0]-a[0])*(v-a[1])/(b[1]-a[1])
		}
	}
}

// whBetween is ∫E dq of 16 cells of 100 Ah between two states of charge, Wh.
func whBetween(from, to float64) float64 {
	const n = 20000
	sum := 0.
	for i := range n {
		sum += cellV(from + (to-from)*(float64(i)+.5)/n)
	}
	return sum / n * (to - from) * 100 * 16
}

// lfpIdeal is the ideal bank with LFP cells, voltage-only, at 10 % charge, and
// 20 W of housekeeping.
const lfpIdeal = `{"bank":{"module":{"chemistry":"lfp","open_circuit_by_soc_v":null},"operation":"voltage_only","initial_soc_fraction":0.1},
  "controls":{"housekeeping_w":20,"visit_response_h":8784}}`

// An empty bank is drawn on after the cut-off, protects itself, and sleeps a day
// later (common practice): 40 W from 10 % to 3.1 V a cell and 30 s more, 20 W to
// 2.8 V a cell and 5 s more, then 24 h.
func TestSleep_Timeline(t *testing.T) {
	w := steady(0)
	y := run(t, w, dc(w, 20), ideal, lfpIdeal)
	cut := whBetween(socAt(3.1), .1)/40*3600 + 30
	under := cut + (whBetween(socAt(2.8), socAt(3.1))-40*30./3600)/20*3600 + 5
	require.Equal(t, 1, y.Figures.Sleeps)
	assert.InDelta(t, 8760*3600-cut, y.Figures.DowntimeH*3600, 2)
	assert.InDelta(t, 8760*3600-under-86400, y.Figures.DowntimeByCauseH["asleep"]*3600, 5)
	assert.InDelta(t, under+86400-cut, y.Figures.DowntimeByCauseH["empty"]*3600, 5)
	assert.Zero(t, y.Figures.Visits)
}

// A sleeping bank wakes by the sun only when a charger puts voltage on a dead
// bus and the BMS closes on it.
func TestSleep_Sun(t *testing.T) {
	w := year(3600, func(row int) float64 {
		if row > 24*10 && row%24 > 8 && row%24 < 16 {
			return 500
		}
		return 0
	}, always(25))
	for _, starts := range []bool{false, true} {
		for _, by := range []string{`["visit"]`, `["solar","visit"]`} {
			patch := fmt.Sprintf(`{"array":{"chargers":{"south":{"starts_without_bank":%t}}},"bank":{"woken_by":%s}}`, starts, by)
			y := run(t, w, dc(w, 20), ideal, lfpIdeal, patch)
			require.Equal(t, 1, y.Figures.Sleeps, patch)
			if starts && strings.Contains(by, "solar") {
				assert.Less(t, y.Figures.DowntimeH, 24*11., patch)
			} else {
				assert.Greater(t, y.Figures.DowntimeByCauseH["asleep"], 8760-24*6., patch)
				assert.InDelta(t, y.Books.CurtailedKWh, y.Figures.CurtailedByCause["asleep"], 1e-6, patch)
			}
		}
	}
}

// Somebody who comes wakes a sleeping bank only where `woken_by` holds visit: else it
// sleeps as if nobody came, the year through, and the chain of a visit is broken at the
// BMS. They may still start a generator that wakes it.
func TestSleep_Visit(t *testing.T) {
	w := steady(0)
	soon := `{"controls":{"visit_response_h":20}}`
	for _, who := range []string{`{}`, `{"controls":{"operator":{"on_site":"always"}}}`} {
		woken, left := run(t, w, dc(w, 20), ideal, lfpIdeal, soon, who), run(t, w, dc(w, 20), ideal, lfpIdeal, soon, who, `{"bank":{"woken_by":["solar"]}}`)
		assert.Greater(t, woken.Figures.Sleeps, 1, who)
		assert.Equal(t, 1, left.Figures.Sleeps, who)
		assert.Positive(t, left.Figures.Visits, who)
		alone := run(t, w, dc(w, 20), ideal, lfpIdeal)
		assert.InDelta(t, alone.Figures.DowntimeByCauseH["asleep"], left.Figures.DowntimeByCauseH["asleep"], 1e-6, who)
	}
	s := system(t, ideal, lfpIdeal, `{"bank":{"woken_by":["solar"]}}`)
	chains := s.WakeChains()
	assert.Equal(t, "the BMS closes on it", chains[len(chains)-1].Broken)

	set := `{"generators":{"main":{"key":"diesel_8kw","exercise":{"run_s":0},"stop_refused_s":0,"start_soc_fraction":0.001,"start_below":null,"start_signal":"by_hand","failed_start_fraction":0}},
	  "inverter":{"charger_starts_without_bank":true},"bank":{"woken_by":["generator"],"module":{"protection":{"asleep_after_h":1}}}}`
	y := run(t, w, dc(w, 20), ideal, lfpIdeal, soon, set)
	assert.Positive(t, y.Figures.Sleeps)
	assert.Less(t, y.Figures.DowntimeByCauseH["asleep"], 21.*float64(y.Figures.Sleeps))
	assert.Less(t, y.Figures.DowntimeH, 4000.)
}

// Without a solar charger the sun wakes no bank: the chain says that there is none.
func TestWakeChains_NoSolarCharger(t *testing.T) {
	s := system(t, ideal, lfpIdeal, `{"bank":{"woken_by":["solar"]},"array":{"planes":{"roof":{"charger":"pv"}},"chargers":null,"pv_inverters":{"pv":{"rated_w":3000}}}}`)
	sun := s.WakeChains()[0]
	assert.Equal(t, "solar", sun.By)
	assert.Equal(t, sim.WakeLink{Link: "a solar charger puts voltage on a dead bus", Why: "there is no solar charger, and PV inverters need the inverter's AC"}, sun.Links[0])
}

// A generator wakes a sleeping bank only through the whole chain: a start signal
// that the dead bus need not feed, a charger that puts voltage on it, a BMS that
// closes. The first broken link is named.
func TestSleep_GeneratorChain(t *testing.T) {
	w := steady(0)
	for _, c := range []struct {
		signal, fed string
		charger     bool
		by, broken  string
	}{
		{"own_controller", "own_battery", true, "generator", ""},
		{"by_hand", "own_battery", true, "generator", "something gives the start signal"},
		{"inverter", "bank", true, "generator", "the signal is fed while the DC bus is dead"},
		{"own_controller", "own_battery", false, "generator", "the AC charger puts voltage on a dead bus"},
		{"own_controller", "own_battery", true, "visit", "the BMS closes on it"},
	} {
		p := fmt.Sprintf(`{"generators":{"main":{"key":"diesel_8kw","exercise":{"run_s":0},"stop_refused_s":0,"start_soc_fraction":0.001,"start_below":null,"failed_start_fraction":0,
		   "start_signal":%q,"signal_fed_from":%q}},"inverter":{"charger_starts_without_bank":%t},"bank":{"woken_by":[%q],"estimate":{"kind":"exact"}}}`,
			c.signal, c.fed, c.charger, c.by)
		s := system(t, ideal, lfpIdeal, p, `{"bank":{"module":{"protection":{"asleep_after_h":1}}}}`)
		for _, chain := range s.WakeChains() {
			if chain.By == "generator" {
				assert.Equal(t, c.broken, chain.Broken)
			}
		}
		y := sim.Compile(&s.System, w, dc(w, 20)).Run(true)
		require.GreaterOrEqual(t, y.Figures.Sleeps, 1, p)
		if c.broken == "" {
			assert.Less(t, y.Figures.DowntimeByCauseH["asleep"], 8760*.9, p)
			assert.Greater(t, y.Figures.GeneratorStarts, 0, p)
		} else {
			assert.Greater(t, y.Figures.DowntimeByCauseH["asleep"], 8760-24*10., p)
		}
	}
}

// Somebody from elsewhere comes after 72 h, sooner when the site is seen from
// afar; an operator acts an hour after it goes dark, by day.
func TestVisits(t *testing.T) {
	w := steady(0)
	diesel := `{"generators":{"main":{"key":"diesel_8kw","exercise":{"run_s":0},"stop_refused_s":0,"start_signal":"by_hand","start_soc_fraction":0.01,"start_below":null,"stop_soc_fraction":0.9,
	   "failed_start_fraction":0,"max_run_h":24}},"bank":{"estimate":{"kind":"exact"}},"controls":{"visit_response_h":72}}`
	longest := map[string]float64{}
	for name, p := range map[string]string{
		"nobody": `{}`, "remote view": `{"controls":{"remote_view":true}}`, "operator": `{"controls":{"operator":{"on_site":"always"}}}`,
		"weekends": `{"controls":{"operator":{"on_site":"weekends"}}}`,
	} {
		y := run(t, w, ac(w, 300), ideal, lfpIdeal, diesel, p)
		require.Greater(t, y.Figures.Visits, 10, name)
		longest[name] = y.Figures.LongestOutageH
	}
	const start = 210. / 3600 // start delay and warm-up
	assert.InDelta(t, 72+start, longest["nobody"], .01)
	assert.InDelta(t, 24+start, longest["remote view"], .01)
	assert.LessOrEqual(t, longest["operator"], 9+1+start)
	assert.Greater(t, longest["operator"], 1.)
	assert.LessOrEqual(t, longest["weekends"], 72+start+.01)
	assert.Greater(t, longest["weekends"], 24.)
}

// Over-current latches after three trips in ten minutes, until a visit (common
// practice).
func TestLatch_OverCurrent(t *testing.T) {
	w := steady(0)
	y := run(t, w, forHours(1, 5300), ideal, `{"bank":{"module":{"discharge_a":100,"discharge_peaks_a_s":[[110,60]],"peak_rest_s":0,"capacity_ah":1000}}}`,
		`{"controls":{"visit_response_h":8784}}`)
	assert.Equal(t, 3, y.Figures.TripsByKind["discharge_over_current"])
	assert.Equal(t, 1, y.Figures.Latches)
	assert.Equal(t, y.Figures.DowntimeH, y.Figures.DowntimeByCauseH["over_current"])
}
