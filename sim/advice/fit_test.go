package advice

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const voltageOnly = `{"bank": {"operation": "voltage_only"}}`

func find(t *testing.T, findings []Finding, check string) *Finding {
	t.Helper()
	for i := range findings {
		if findings[i].Check == check {
			return &findings[i]
		}
	}
	require.Failf(t, "no such finding", "%s", check)
	return nil
}

// fitCase is one finding and its numbers by hand.
type fitCase struct {
	name    string
	patches []string
	check   string
	verdict Verdict
	values  map[string]float64 // within 0.1 %, or 0.001 of a fraction
	says    []string
}

func runFitCases(t *testing.T, site Extremes, cases []fitCase) {
	for _, c := range cases {
		t.Run(c.check+"/"+c.name, func(t *testing.T) {
			f := find(t, Fit(station(t, c.patches...), site), c.check)
			assert.Equal(t, c.verdict, f.Verdict, f.Reason)
			got := map[string]float64{}
			for _, v := range f.Values {
				got[v.Name] = v.Value
			}
			for name, want := range c.values {
				if assert.Contains(t, got, name) {
					assert.InDelta(t, want, got[name], max(.001*max(want, -want), .0005), name)
				}
			}
			for _, s := range c.says {
				assert.Contains(t, f.Reason, s)
			}
		})
	}
}

func between(low, high float64) Extremes {
	return Extremes{LowestAirC: &low, HighestAirC: &high}
}

// The station's values are those of the catalogue: 16 cells, 100 Ah, 25 mΩ, trip
// at 58.4 V, spread .03 V, window 42 to 64 V (common practice, no source).
func TestFit_Voltages(t *testing.T) {
	runFitCases(t, between(-27.8, 37.2), []fitCase{
		// 58.4 − 16 · 0.03 = 57.92; with a spread of 0.10: 56.8.
		{"defaults", []string{voltageOnly}, "absorb_below_trip", Pass, map[string]float64{"absorb_v": 56, "trip_v": 57.92, "poor_trip_v": 56.8}, []string{"58.4 V − 16 × 0.03 V", "1.92 V below"}},
		{"the highest that is permitted", []string{voltageOnly, `{"bank": {"settings": {"absorb_v": 56.8, "float_v": 54, "restart_charge_v": 53, "tail_a": 20, "charge_a": 100}}}`}, "absorb_below_trip", Pass, nil, nil},
		{"above it", []string{voltageOnly, `{"bank": {"settings": {"absorb_v": 57.6, "float_v": 54, "restart_charge_v": 53, "tail_a": 20, "charge_a": 100}}}`}, "absorb_below_trip", Caution, nil, []string{"0.32 V below", "trips at 56.8 V"}},
		{"at the trip", []string{voltageOnly, `{"bank": {"settings": {"absorb_v": 57.92, "float_v": 54, "restart_charge_v": 53, "tail_a": 20, "charge_a": 100}}}`}, "absorb_below_trip", Fail, nil, []string{"every charge"}},
		{"a poor spread", []string{`{"bank": {"module": {"protection": {"cell_spread_v": 0.2}}}}`}, "asked_below_trip", Fail, map[string]float64{"trip_v": 55.2}, nil},
		{"24 V inverter", []string{`{"inverter": {"key": "inverter_3kw_24v"}}`}, "data_linked_charge_window", Fail, nil, []string{"outside the inverter's 21 V to 32 V"}},
		{"24 V inverter", []string{voltageOnly, `{"inverter": {"key": "inverter_3kw_24v"}}`}, "voltage_only_charge_window", Fail, nil, nil},
		{"24 V inverter", []string{voltageOnly, `{"inverter": {"key": "inverter_3kw_24v"}}`}, "voltage_only_low_end", Fail, nil, []string{"can never act"}},
		{"24 V inverter", []string{`{"inverter": {"key": "inverter_3kw_24v"}}`}, "trip_window", Caution, nil, nil},
		{"defaults", nil, "trip_window", Pass, nil, []string{"5.6 V below"}},
		// The order at the low end: 49.6, 46, then the modules at 44.8.
		{"defaults", []string{voltageOnly}, "voltage_only_low_end", Pass, nil, []string{"1.2 V lower"}},
		{"fast cut-off too low", []string{voltageOnly, `{"controls": {"low_end": {"fast_cut_off_v": 44}}}`}, "voltage_only_low_end", Caution, nil, nil},
		{"cut-off too low", []string{voltageOnly, `{"controls": {"low_end": {"cut_off_v": 44.5, "fast_cut_off_v": 43}}}`}, "voltage_only_low_end", Fail, nil, []string{"asleep"}},
		{"the inverter works on", nil, "data_linked_low_end", Caution, nil, []string{"works down to 42 V"}},
		{"the inverter stops first", []string{`{"inverter": {"min_v": 46}}`}, "data_linked_low_end", Pass, nil, nil},
	})
}

// Each charger's output: the least of rating, setting and planes. Bank limit
// n · 40 / 1.1; with four modules 145.45 A (common practice, no source).
func TestFit_ChargeCurrents(t *testing.T) {
	settings := `{"bank": {"operation": "voltage_only", "settings": {"absorb_v": 56, "float_v": 54, "restart_charge_v": 53, "tail_a": 20, "charge_a": 150}}}`
	runFitCases(t, between(-27.8, 37.2), []fitCase{
		// 120 + 100 = 220 A, worst module 220 · 1.1 / 4 = 60.5 A; 145.45 / 2 = 72.73 A each.
		{"sun and generator", []string{voltageOnly}, "charge_current", Caution, map[string]float64{"chargers_a": 220, "bank_limit_a": 145.4545, "worst_module_a": 60.5, "equal_setting_a": 72.7273}, []string{"set to 72.7 A"}},
		// No generator, no AC charger: 120 A, 25.45 to spare.
		{"sun alone", []string{voltageOnly, `{"generators": null}`}, "charge_current", Pass, map[string]float64{"chargers_a": 120}, []string{"25.5 A to spare"}},
		// Two modules take 72.73 A and 120 A of sun: 220 · 1.1 / 2 = 121 A in the worst, trip at 105.
		{"sun past two modules", []string{settings, `{"bank": {"modules": 2}}`}, "charge_current", Fail, map[string]float64{"bank_limit_a": 72.7273, "worst_module_a": 121}, []string{"The sun alone gives 120 A", "above the 105 A at which a module trips"}},
		// One module at its derived setting of 36.36 A: sun 36.36, AC 36.36; each 18.18 A.
		{"one module", []string{voltageOnly, `{"bank": {"modules": 1}}`}, "charge_current", Caution, map[string]float64{"chargers_a": 72.7273, "equal_setting_a": 18.1818}, nil},
		// A small array: 1 kW · .97 / 49.6 V = 19.556 A.
		{"planes", []string{settings, `{"array": {"planes": {"roof": {"rated_kw": 1}}}, "generators": null}`}, "charge_current", Pass, map[string]float64{"chargers_a": 19.5565}, []string{"its planes"}},
		{"after a loss", nil, "charge_current", Caution, nil, []string{"After a link loss"}},
		// Linked: 4 · 50 / 1.1 = 181.82 A.
		{"linked", nil, "data_linked_charge_current", Pass, map[string]float64{"chargers_a": 220, "ceiling_a": 181.8182}, []string{"holds the bank's current there"}},
		{"linked, the ceiling never acts", []string{`{"generators": null}`}, "data_linked_charge_current", Pass, map[string]float64{"chargers_a": 120}, []string{"never acts"}},
	})
}

func TestFit_EqualSetting(t *testing.T) {
	three := []source{{a: 10}, {a: 50}, {a: 60}}
	assert.InDelta(t, 45, equalSetting(three, 100), 1e-9, "10 + 45 + 45")
	assert.InDelta(t, 20./3, equalSetting(three, 20), 1e-9)
	assert.InDelta(t, 55, equalSetting(three, 115), 1e-9, "10 + 50 + 55")
	assert.Greater(t, equalSetting(three, 200), 60., "never reached")
}

// 6 kW with p0 .007, k1 .010, k2 .045 take 6372 W, 12 kW 13242 W (Schmidt &
// Sauer 1996, form from memory); at 20 % charge the published open-circuit
// table gives 16 · 3.23854 = 51.817 V; 4 modules: 25/4 + 2 = 8.25 mΩ, 2: 14.5
// mΩ, 1: 27 mΩ; at 0 °C the modules' part × 2.5. I from (E − R·I)·I = P.
func TestFit_DischargeCurrents(t *testing.T) {
	runFitCases(t, between(-27.8, 37.2), []fitCase{
		{"four modules", nil, "discharge_current", Pass, map[string]float64{"inverter_a": 6372 / 49.6, "bank_limit_a": 400 / 1.1}, []string{"6372 W"}},
		{"one module", []string{`{"bank": {"modules": 1}}`}, "discharge_current", Fail, map[string]float64{"bank_limit_a": 90.9091}, nil},
		{"four modules", nil, "surge", Pass, map[string]float64{"short_3_bank_a": 266.896}, []string{"12000 W for 5 s takes 266.9 A, which it bears without end"}},
		// Two: 181.8 A without end, then 200 A 60 s, 272.7 A 10 s, 400 A 3 s.
		{"two modules", []string{`{"bank": {"modules": 2}}`}, "surge", Caution, map[string]float64{"short_3_bank_a": 277.031},
			[]string{"9000 W for 1 min takes 199 A, which it bears for 1 min", "12000 W for 5 s takes 277 A, which the bank bears for 3 s only"}},
		{"no short rating", []string{`{"inverter": {"short_ratings_w_s": []}}`}, "surge", Pass, nil, nil},
		// Above E²/4R = 51.817² / 0.108 = 24.9 kW nothing is carried; 22 kW take 25.9.
		{"above every peak", []string{`{"bank": {"modules": 1}}`}, "surge", Caution, map[string]float64{"short_3_bank_a": 303.575}, []string{"bears for 1 s only"}},
		{"beyond any current", []string{`{"bank": {"modules": 1}, "inverter": {"short_ratings_w_s": [[22000, 5]]}}`}, "surge", Caution, nil, []string{"more than the bank can carry"}},
		// 12 kW at 0 °C: 46.83 V of four modules.
		{"four modules, linked", nil, "sag", Pass, map[string]float64{"lowest_v": 46.833}, nil},
		// 6 kW at 0 °C: 49.55 V, below 49.6 V for 30 s.
		{"four modules, by voltage", []string{voltageOnly}, "sag", Caution, map[string]float64{"case_3_bank_v": 48.26}, []string{"6000 W with cells of 0 °C the bank stands at 49.55 V"}},
		// Two, linked, 0 °C: 12 kW at 41.1 V; 9 kW at 44.55 V for 60 s opens modules at 44.8.
		{"two modules, linked", []string{`{"bank": {"modules": 2}}`}, "sag", Caution, nil, []string{"at 44.55 V, and the modules open after 5 s below 44.8 V", "at 41.11 V, and the inverter stops below 42 V"}},
		// One, by voltage, 25 °C: 6 kW at 48.25 V.
		{"one module, by voltage", []string{voltageOnly, `{"bank": {"modules": 1}}`}, "sag", Fail, nil, []string{"at 48.25 V", "12000 W with cells of 0 °C the bank collapses"}},
	})
	runFitCases(t, between(18, 30), []fitCase{
		// 18 °C: factor 1 + .7 · 7/15 = 1.32667; 6 kW leaves 50.4 V.
		{"warm, by voltage", []string{voltageOnly}, "sag", Pass, nil, []string{"10.3 mΩ at 18 °C"}},
	})
}

// The ceiling of one module at −27.8 °C, 20 A, is 20 · 4 / 1.1 = 72.7 A of the bank, and
// 3607 W at 49.6 V carry 3442 W: 3607 = P + 42 + .01 P + .045/6000 P². At 37.2 °C it
// is 100 A.
func TestFit_DischargeCeiling(t *testing.T) {
	const table = `{"bank": {"module": {"data_linked": {"discharge_a_by_c": [[-10, 20], [10, 100]]}}}}`
	const check = "discharge_ceiling"
	runFitCases(t, between(-27.8, 37.2), []fitCase{
		{"cold", []string{table}, check, Caution, map[string]float64{"inverter_a": 6372 / 49.6, "ceiling_a": 80 / 1.1, "cell_c": -27.8}, []string{"Beyond about 3442 W"}},
		{"low end", []string{`{"bank": {"module": {"data_linked": {"discharge_factor_by_soc": [[0, 0], [0.3, 1]]}}}}`}, check, Pass,
			map[string]float64{"ceiling_a": 400 / 1.1, "factor_at_stop_fraction": .2}, []string{"at the stop of 6 % to 20 %"}},
	})
	runFitCases(t, between(12, 37.2), []fitCase{{"warm", []string{table}, check, Pass, map[string]float64{"ceiling_a": 400 / 1.1}, nil}})
	for _, f := range Fit(station(t), Extremes{}) {
		assert.NotEqual(t, check, f.Check, "none is stated")
	}
}

func TestFit_Derating(t *testing.T) {
	high := `{"site": {"elevation_m": 2500}}`
	runFitCases(t, between(0, 45), []fitCase{
		// 2500 m: 1 − .01 · 10 = .9; 45 °C: inverter 1 − .01 · 5, charger 1 − .02 · 5 (common practice, no source).
		{"heat and thin air", []string{high}, "derating", Caution, map[string]float64{"inverter_w": 6000 * .9 * .95, "south_a": 120 * .9 * .9}, nil},
	})
	runFitCases(t, between(-27.8, 37.2), []fitCase{{"neither", nil, "derating", Pass, map[string]float64{"inverter_w": 6000, "south_a": 120}, nil}})
	runFitCases(t, Extremes{}, []fitCase{{"not known", nil, "derating", Caution, nil, []string{"not stated"}}})
}
