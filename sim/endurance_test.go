package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
	"bankyear/weather"
)

// endure is the endurance of the base scenario with patches on a weather year and
// a load of our own.
func endure(t *testing.T, w *weather.Year, l *sim.Load, patches ...string) sim.Endurance {
	t.Helper()
	s := system(t, patches...)
	given := s.System
	given.Bank.Settings = nil // as before Complete
	p := sim.Compile(&s.System, w, l)
	return p.Endure(&given, w, p.Run(false))
}

// handSized is one module of 208.3 Ah and almost constant voltage behind an
// inverter of 90 %, that stops at 20 %.
const handSized = `{
  "array": {"planes": {"roof": {"rated_kw": 0}}, "chargers": {"south": {"night_draw_w": 0}}}, "generators": null,
  "bank": {"operation": "data_linked", "modules": 1, "link_faults": null, "estimate": {"kind": "exact"}, "cable_ohm": 0,
    "enclosure": {"kind": "fixed", "fixed_c": 25, "heater_w_per_module": 0},
    "module": {"chemistry": "table", "open_circuit_by_soc_v": [[0, 2.5], [0.05, 2.99], [1, 3.01]], "capacity_ah": 208.333, "resistance_ohm": 0.00001,
      "bms_draw_w": 0, "self_discharge_per_month_fraction": 0, "protection": {"asleep_draw_w": 0.1}}},
  "inverter": {"idle_fraction": 0, "linear_loss_fraction": 0.1111111, "quadratic_loss_fraction": 0, "off_draw_w": 0, "min_v": 41},
  "controls": {"settle_days": 0, "housekeeping_w": 0, "low_end": {"stop_soc_fraction": 0.2, "resume_soc_fraction": 0.3, "cut_off_v": 46, "fast_cut_off_v": 42, "return_v": 47.9}}
}`

// Sizing by hand (AS/NZS 4509.2 style, from memory): 2.4 kWh a day, inverter 90 %,
// 48 V, 80 % usable: 208.3 Ah last three days without sun.
func TestAutonomy_ByHand(t *testing.T) {
	w := steady(0)
	e := endure(t, w, ac(w, 100), handSized)
	require.NotNil(t, e.AutonomyH)
	assert.InEpsilon(t, 72, *e.AutonomyH, 1e-3)
	assert.InDelta(t, 100, e.WinterLoadW, 1e-9)
	assert.InDelta(t, 25, e.WinterCellC, .1)
}

// What 20 W do to a bank whose load has stopped: the charge between 20 % and the
// under-voltage trip, at its mean voltage; a day later the modules sleep; then
// 0.1 W empties them.
func TestDamage_ByHand(t *testing.T) {
	w := steady(0)
	e := endure(t, w, ac(w, 100), handSized, `{"controls":{"housekeeping_w":20}}`)
	const ah, trip = 208.333, .05 * (44.8 - 40) / 7.84
	at := func(soc float64) float64 { return 16 * (2.99 + .02*(soc-.05)/.95) }
	wh := ah * ((.2-.05)*(at(.2)+at(.05))/2 + (.05-trip)*(at(.05)+44.8)/2)
	require.NotNil(t, e.ModulesOpenH)
	assert.InDelta(t, wh/20, *e.ModulesOpenH, .2, "read at steps of 10 min")
	require.NotNil(t, e.AsleepH)
	assert.InDelta(t, *e.ModulesOpenH+24, *e.AsleepH, .2)
	rest := ah * trip * (44.8 + 40) / 2 / .1
	require.NotNil(t, e.DaysToDamage)
	assert.InDelta(t, (*e.AsleepH+rest)/24, *e.DaysToDamage, .3, "read at steps of 6 h")

	never := endure(t, w, ac(w, 100), handSized, `{"bank":{"module":{"protection":{"asleep_draw_w":0}}}}`)
	assert.NotNil(t, never.AutonomyH)
	assert.Nil(t, never.ModulesOpenH, "nothing draws")
	assert.Nil(t, never.DaysToDamage)
	assert.Nil(t, endure(t, w, ac(w, .1), handSized).AutonomyH, "more than 60 days")
}

// Where the ceiling alone holds charging back, 20 to 95 % takes 75 Ah of a module
// of 100 over the efficiency and the worst one's share of the ceiling, in each
// operation; and a module of the catalogue takes as long as in a year that starts
// at 20 %.
func TestRecharge_ByHand(t *testing.T) {
	w := steady(0)
	const free = `{"generators":{"main":{"rated_kw":60}},"bank":{"module":{"resistance_ohm":0.0001,"data_linked":{"charge_a_by_c":[[25,30]],"charge_factor_by_soc":[[0,1]],"voltage_v":57.5},"voltage_only_charge_a":24}}}`
	hours := map[string]float64{}
	for _, r := range endure(t, w, &sim.Load{}, generic, free).Recharge {
		assert.Equal(t, "generator", map[bool]string{true: r.By, false: "generator"}[r.Hours != nil], "there is no sun")
		if r.Hours != nil {
			hours[r.Operation+" "+r.When] = *r.Hours
			assert.InDelta(t, 60000, r.SourceW, 1)
		}
	}
	require.Len(t, hours, 4)
	for _, when := range []string{"25_c", "winter"} {
		assert.InEpsilon(t, 75/.998*1.1/30, hours["data_linked "+when], 1e-3)
		assert.InEpsilon(t, 75/.998*1.1/24, hours["voltage_only "+when], 1e-3)
	}

	for _, r := range endure(t, w, &sim.Load{}, generic, quickSet).Recharge {
		if r.By != "generator" {
			continue
		}
		require.NotNil(t, r.Hours)
		var patches []string
		if r.Operation == "voltage_only" {
			patches = append(patches, voltageOnly)
		}
		assert.InDelta(t, recharge(t, .95, patches...), *r.Hours, .02, "%s, the year's way", r.Operation)
	}
}

// The sun that charges is that of the sunlit row that a tenth of them exceed: of a
// constant sun, the constant.
func TestRecharge_BySun(t *testing.T) {
	w := year(3600, func(row int) float64 {
		if h := row % 24; h >= 8 && h < 16 {
			return 800
		}
		return 0
	}, always(25))
	e := endure(t, w, dc(w, 200))
	n := 0
	for _, r := range e.Recharge {
		if r.By == "sun" {
			n++
			require.NotNil(t, r.Hours, r.Operation)
			assert.InDelta(t, 200, r.LoadW, 1e-6)
			// 75 % of four modules of about 5.3 kWh, from what the load leaves
			assert.InEpsilon(t, .75*4*5.3/(r.SourceW-260)*1000, *r.Hours, .2)
		}
	}
	assert.Equal(t, 4, n)
}

// The same of lead-acid: the load of 100 W stops at the cut-off, and 20 W take
// what is left. At a steady current the bound well leads the available one by
// I/(k·c(1−c)·Q), and the terminals have E(h1) − R·I; the charge that is left is
// drawn at the voltage that h1 has on the way, in a straight line, and the last of
// the bound well only as fast as it runs over, e^(−kc·t), within an hour here.
func TestDamage_LeadAcidByHand(t *testing.T) {
	const c, k, ah, cut, ohm = .4, 5., 400., 48.0, .01
	const noBMS = `{"bank":{"module":null,"settings":null,"operation":"voltage_only","estimate":{"kind":"none"}}}`
	const acid = `{"bank":{"module":{"key":"lead_acid_vented_24s_400ah","self_discharge_per_month_fraction":0,"resistance_ohm":0.01,
	  "wells":{"available_fraction":0.4,"rate_per_h":5,"capacity_ah":400},"capacities_by_h_ah":null,"resistance_factor_by_c":[[25,1]],"capacity_factor_by_c":[[25,1]]},"modules":1},
	  "controls":{"housekeeping_w":20,"low_end":{"cut_off_v":48,"fast_cut_off_v":42,"return_v":52}}}`
	w := steady(0)
	e := endure(t, w, ac(w, 100), handSized, noBMS, acid)
	rest := func(h float64) float64 { return 24 * (1.96 + .16*h) }
	// at the stop: P = V·I with V = 46, E(h1) = V + R·I
	current := (100/.9 + 20) / cut
	level := (cut + ohm*current - 24*1.96) / (24 * .16)
	require.True(t, 0 < level && level < 1)
	left := ah * (level + (1-c)*current/(k*c*(1-c)*ah))
	require.NotNil(t, e.DaysToDamage)
	wh := left * (rest(0) + rest(left/ah)) / 2
	assert.InDelta(t, wh/20/24, *e.DaysToDamage, .3, "read at steps of 10 min and 6 h")
	assert.Nil(t, e.AsleepH, "no BMS sleeps")
}
