package sim_test

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bankyear/sim"
)

// A stretch in which nothing happens has the same bits whether it is looked at
// for events or not.
func TestGlideSameBits(t *testing.T) {
	for name, patch := range map[string]string{
		"data-linked":          `{}`,
		"two modules":          `{"bank":{"modules":2}}`,
		"voltage-only":         `{"bank":{"operation":"voltage_only"}}`,
		"unheated, outdoor":    `{"bank":{"operation":"voltage_only","enclosure":{"kind":"outdoor","heater_w_per_module":0}}}`,
		"one switch":           `{"bank":{"module":{"key":"lfp_16s_100ah_one_switch"},"operation":"voltage_only","enclosure":{"kind":"outdoor","heater_w_per_module":0}}}`,
		"no generator":         `{"bank":{"modules":2},"generators":null}`,
		"exact":                `{"bank":{"estimate":{"kind":"exact"}}}`,
		"hysteresis":           `{"bank":{"operation":"voltage_only","module":{"hysteresis":{"width_v":0.02}}}}`,
		"no counter":           `{"bank":{"operation":"voltage_only","estimate":{"kind":"none"}}}`,
		"shed by voltage":      `{"bank":{"operation":"voltage_only","estimate":{"kind":"none"},"modules":2},"generators":null,"controls":{"shed_below_v":52,"return_above_v":53.5}}`,
		"link faults":          `{"bank":{"link_faults":{"mean_hours_between":200},"on_link_loss":"charge_stops"}}`,
		"waits for the sun":    `{"bank":{"link_faults":{"mean_hours_between":200},"on_link_return":"next_morning"}}`,
		"waits for a reset":    `{"bank":{"link_faults":{"mean_hours_between":2000},"on_link_return":"until_reset"},"controls":{"operator":{"on_site":"weekends"}}}`,
		"sheds by hand":        `{"bank":{"modules":2},"controls":{"operator":{"on_site":"always","does":["shed_by_hand"]}}}`,
		"sheds when dark":      `{"bank":{"modules":1,"operation":"voltage_only","estimate":{"kind":"none"}},"controls":{"operator":{"on_site":"weekends","does":["shed_by_hand"]}}}`,
		"bypass":               `{"bank":{"link_faults":{"mean_hours_between":500,"mean_repair_h":30},"on_link_loss":"all_stop"},"controls":{"operator":{"on_site":"always","does":["start_generator","bypass_inverter"]}}}`,
		"falls back":           `{"bank":{"link_faults":{"mean_hours_between":200}}}`,
		"ten-minute steps":     `{"controls":{"internal_step_s":600}}`,
		"overload":             `{"load":{"appliances":{"saw":{"w":6500,"hours":"10-12"}}}}`,
		"top-up":               `{"generators":{"main":{"before_no_start":{"at":"19:00","if_soc_below_fraction":0.5,"run_to_soc_fraction":0.8}}}}`,
		"two chargers":         `{"array":{"planes":{"east":{"rated_kw":3,"tilt_deg":60,"azimuth_deg":90,"charger":"second"}},"chargers":{"second":{"key":"solar_charger_60a"}}}}`,
		"bus too high":         `{"bank":{"operation":"voltage_only","enclosure":{"kind":"outdoor","heater_w_per_module":0},"settings":{"absorb_v":57.6,"float_v":54,"restart_charge_v":50.4,"tail_a":4,"absorb_max_s":7200,"charge_a":100,"compensation_v_per_c":-0.096}},"inverter":{"max_v":58.5}}`,
		"charger with sensor":  `{"array":{"chargers":{"south":{"temperature_sensor":true}}},"bank":{"operation":"voltage_only","enclosure":{"heater_w_per_module":0}}}`,
		"heater from the bank": `{"bank":{"enclosure":{"kind":"outdoor","heater_w_per_module":80,"heater_from":"sources_and_bank"}}}`,
		"modules one by one":   `{"bank":{"modules_act_together":false,"module":{"resistance_ohm":0.012}}}`,
		"modules out":          `{"bank":{"modules_out":{"modules":1,"start":"2025-03-01T05:00"}}}`,
		"charger not heard":    `{"array":{"chargers":{"south":{"hears_link":false}}}}`,
		"grid":                 `{"grid":{"limit_w":3000,"use":"self_use","outages":{"mean_hours_between":200,"mean_h":6}}}`,
		"grid kept as backup":  `{"grid":{"limit_w":5000},"bank":{"module":{"bms_draw_w":20}}}`,
		"exact, voltage-only":  `{"bank":{"estimate":{"kind":"exact"},"operation":"voltage_only"}}`,
		"compensated":          `{"bank":{"operation":"voltage_only","settings":{"absorb_v":56,"float_v":54,"restart_charge_v":52,"tail_a":4,"absorb_max_s":7200,"charge_a":100,"compensation_v_per_c":-0.03,"compensation_senses":"cells"}}}`,
		"aged":                 `{"bank":{"age_years":6}}`,
		"fan":                  `{"bank":{"enclosure":{"fan":{"w":10}}}}`,
		"may shift":            `{"load":{"appliances":{"borehole_pump":{"shifts":true,"hours":"08-17","duty_fraction":0.4}}}}`,
		"one slope of ceiling": `{"bank":{"modules":1,"module":{"data_linked":{"discharge_a_by_c":[[-30,1],[0,53]],"discharge_factor_by_soc":[[0,0],[0.4,1]]}}}}`,
		"discharge ceiling":    `{"bank":{"modules":2,"module":{"data_linked":{"discharge_a_by_c":[[-20,0],[5,8],[15,50],[40,50],[50,0]],"discharge_factor_by_soc":[[0.1,0.1],[0.4,0.5],[0.6,1]]}},"enclosure":{"heater_w_per_module":0}}}`,
	} {
		t.Run(name, func(t *testing.T) {
			p := plan(t, patch)
			whole := p.Located().Run(true)
			requireSame(t, whole, p.Run(true))
			whole.Hours, whole.Outages, whole.Incidents, whole.Decisions = nil, nil, nil, nil
			requireSame(t, whole, p.Run(false))
		})
	}
}

// Nor do the transitions of a lead-acid bank that are not looked at where nothing
// can change.
func TestCalmSameBits(t *testing.T) {
	for _, c := range keptBanks {
		for _, patch := range []string{`{}`, `{"bank":{"estimate":{"kind":"exact"}}}`, `{"bank":{"enclosure":{"kind":"outdoor","heater_w_per_module":0}}}`, `{"controls":{"internal_step_s":600}}`} {
			p := plan(t, append(c.patches, patch)...)
			requireSame(t, p.Located().Run(true), p.Run(true))
		}
	}
}

// The same of systems at random.
func TestGlideSameBits_AtRandom(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		p := plan(t, randomStation(r))
		if whole, glided := p.Located().Run(true), p.Run(true); !same(whole, glided) {
			r.Fatalf("downtime %g and %g h, resistive loss %g and %g kWh", whole.Figures.DowntimeH, glided.Figures.DowntimeH,
				whole.Books.BankResistiveKWh, glided.Books.BankResistiveKWh)
		}
	})
}

// same compares two years bit by bit: no value, NaN, is the same as none.
func same(a, b *sim.Year) bool {
	filled := func(y *sim.Year) sim.Year {
		out := *y
		if y.Hours != nil {
			h := *y.Hours
			h.Values = slices.Clone(h.Values)
			for k, column := range h.Values {
				if math.IsNaN(float64(column[0])) {
					h.Values[k] = slices.Clone(column)
					for i := range column {
						if math.IsNaN(float64(column[i])) {
							h.Values[k][i] = -1
						}
					}
				}
			}
			out.Hours = &h
		}
		return out
	}
	return reflect.DeepEqual(filled(a), filled(b))
}

// requireSame holds two answers against each other without telling all of a
// difference, which may be megabytes.
func requireSame(t *testing.T, want, got *sim.Year) {
	t.Helper()
	if same(want, got) {
		return
	}
	require.Equal(t, want.Figures, got.Figures)
	require.Equal(t, want.Books, got.Books)
	if want.Hours != nil && got.Hours != nil {
		for k, c := range sim.NumberColumns() {
			require.Equal(t, len(want.Hours.Values[k]), len(got.Hours.Values[k]))
			for i, x := range want.Hours.Values[k] {
				require.Equal(t, math.Float32bits(x), math.Float32bits(got.Hours.Values[k][i]), "%s of interval %d", c.Name, i)
			}
		}
	}
	t.Fatal("figures, books and columns are equal, something else is not")
}
