package sim_test

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
	"bankyear/sim/fault"
)

// reliefCases are a system for each relief in which its limit costs something, and the
// same system with the relief written out by hand. Where nothing says so, the year with
// it has less downtime.
var reliefCases = []struct {
	name, system, with string
	saves              func(*sim.Figures) float64 // what falls, for downtime nil
}{
	{name: "perfect_link", system: `{"bank":{"on_link_loss":"all_stop","link_faults":{"mean_hours_between":500},"link":{"gateway":{"faults":{"mean_hours_between":3000}}}}}`,
		with: `{"bank":{"link_faults":null,"link":{"gateway":{"faults":null}}}}`},
	{name: "no_temperature_window", system: outdoorsTwo,
		with: `{"bank":{"module":{"data_linked":{"charge_a_by_c":[[25,50]]},"protection":{"charge_cold_c":-60,"charge_cold_release_c":-59,"discharge_cold_c":-80,"discharge_cold_release_c":-79,
			"charge_hot_c":120,"charge_hot_release_c":119,"discharge_hot_c":120,"discharge_hot_release_c":119}}}}`},
	{name: "no_charge_ceiling", system: `{"bank":{"modules":2,"module":{"data_linked":{"charge_a_by_c":[[0,0],[0,10],[15,20],[45,20],[50,0]]}}}}`,
		with: `{"bank":{"module":{"voltage_only_charge_a":5000,"data_linked":{"charge_a_by_c":[[0,0],[0,5000],[15,5000],[45,5000],[50,0]],"charge_factor_by_soc":[[0,1]]},"protection":{"charge_over_a":5000}}}}`},
	{name: "no_discharge_ceiling", system: `{"bank":{"modules":2,"module":{"data_linked":{"discharge_a_by_c":[[-20,0],[5,8],[15,20]],"discharge_factor_by_soc":[[0.1,0.1],[0.4,0.5]]}}}}`,
		with: `{"bank":{"module":{"data_linked":{"discharge_a_by_c":null,"discharge_factor_by_soc":null}}}}`},
	{name: "exact_soc", system: `{"bank":{"modules":2,"estimate":{"offset_a":-0.3}}}`, with: `{"bank":{"estimate":{"kind":"exact","offset_a":null}}}`},
	{name: "one_more_module", system: `{"bank":{"modules":2}}`, with: `{"bank":{"modules":3}}`},
	{name: "generator_always_ready", system: `{"bank":{"modules":2},"generators":{"main":{"failed_start_fraction":0.3,"fuel_store_l":300,"daily_cap_h":2}}}`,
		with: `{"generators":{"main":{"failed_start_fraction":0,"no_start_hours":"","before_no_start":null,"fuel_store_l":0,"fuel_deliveries":null,"daily_cap_h":0}}}`},
	{name: "generator_wakes_bank", system: `{"bank":{"modules":1,"woken_by":["visit"],"module":{"protection":{"asleep_after_h":0.1}}},"generators":{"main":{"start_signal":"inverter"}}}`,
		with: `{"bank":{"woken_by":["visit","generator"]},"generators":{"main":{"start_signal":"own_controller","signal_fed_from":"own_battery"}},"inverter":{"charger_starts_without_bank":true}}`},
	{name: "remote_view", system: `{"bank":{"modules":1,"woken_by":["visit"],"module":{"protection":{"asleep_after_h":0.1}}},"generators":null}`, with: `{"controls":{"remote_view":true}}`},
	{name: "somebody_on_site", system: `{"bank":{"modules":2}}`, with: `{"controls":{"operator":{"on_site":"always"}}}`},
	{name: "one_more_kw_of_array", system: `{"bank":{"modules":2},"generators":null,"array":{"planes":{"wall":{"rated_kw":1,"tilt_deg":80,"azimuth_deg":120,"charger":"south"}}}}`, with: `{"array":{"planes":{"roof":{"rated_kw":8.2}}}}`},
	{name: "steeper_array", system: `{"bank":{"modules":2},"generators":null,"array":{"planes":{"roof":{"tilt_deg":10},"wall":{"rated_kw":1,"tilt_deg":80,"azimuth_deg":170,"charger":"south"}}}}`, with: `{"array":{"planes":{"roof":{"tilt_deg":25},"wall":{"tilt_deg":90}}}}`},
	{name: "load_down_10_pct", system: `{"bank":{"modules":2},"generators":null}`, with: `{"load":{"scale_to_kwh_per_day":8.1}}`},
	{name: "heater", system: outdoorsTwo, with: `{"bank":{"enclosure":{"heater_w_per_module":80}}}`},
	{name: "insulated_cupboard", system: outdoorsTwo, with: `{"bank":{"enclosure":{"kind":"insulated_cupboard"}}}`},
	{name: "charger_temperature_sensor", system: `{"bank":{"modules":2,"operation":"voltage_only","module":{"disconnect":"one_switch"},"enclosure":{"kind":"outdoor","heater_w_per_module":0}}}`,
		with: `{"array":{"chargers":{"south":{"temperature_sensor":true}}}}`},
	{name: "double_ac_charger", system: `{"bank":{"modules":4},"inverter":{"charger_a":20}}`, with: `{"inverter":{"charger_a":40}}`, saves: func(f *sim.Figures) float64 { return f.GeneratorH }},
}

const outdoorsTwo = `{"bank":{"modules":2,"enclosure":{"kind":"outdoor","heater_w_per_module":0}}}`

// Every relief, by its name, is the year of the system with it written out by hand, and
// saves something in one where its limit costs.
func TestReliefs_EachIsAPatch(t *testing.T) {
	w, err := burlington()
	require.NoError(t, err)
	all := map[string]bool{}
	for _, c := range reliefCases {
		base := given(t, c.system)
		for _, r := range sim.Reliefs(&base.System) {
			all[r.Name] = true
			if r.Name != c.name {
				continue
			}
			lifted := r.Lift(&base.System)
			lifted.Complete()
			f := fault.New()
			fault.CheckTags(f, lifted)
			lifted.Check(f)
			require.NoError(t, f.Err(), c.name)
			got := sim.Compile(lifted, w, load(t, &base.Load, w).Times(r.LoadFactor)).Run(true)
			want, without := plan(t, c.system, c.with).Run(true), plan(t, c.system).Run(false)
			if r.LoadFactor != 1 { // the same watts but for their last bits
				assert.InEpsilon(t, want.Books.LoadKWh, got.Books.LoadKWh, 1e-12)
				assert.InEpsilon(t, want.Figures.DowntimeH, got.Figures.DowntimeH, 1e-6)
				want = got
			}
			assert.True(t, reflect.DeepEqual(want, got), "%s: %.3f h by hand, %.3f h lifted", c.name, want.Figures.DowntimeH, got.Figures.DowntimeH)
			saves := func(f *sim.Figures) float64 { return f.DowntimeH }
			if c.saves != nil {
				saves = c.saves
			}
			t.Logf("%s: %.1f h of %.1f h", c.name, saves(&got.Figures), saves(&without.Figures))
			assert.Less(t, saves(&got.Figures), saves(&without.Figures)-.5, c.name)
		}
	}
	named := map[string]bool{}
	for _, c := range reliefCases {
		named[c.name] = true
	}
	assert.Equal(t, all, named, "each relief has its case")
}
