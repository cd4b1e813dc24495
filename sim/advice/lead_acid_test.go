package advice

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

const (
	ventedBank  = `{"bank": {"module": {"key": "lead_acid_vented_24s_400ah"}, "modules": 2, "operation": "voltage_only"}}`
	sealedBank  = `{"bank": {"module": {"key": "lead_acid_sealed_24s_200ah"}, "modules": 4, "operation": "voltage_only"}}`
	ownSettings = `{"bank": {"settings": {"absorb_v": 57, "tail_a": 16, "float_v": 54, "restart_charge_v": 50.4, "charge_a": 60}}}`
)

// Common practice, no source: −3 to −5 mV/K a cell, 2.45 V a cell of 24 vented
// cells = 58.8 V, equalisation at 2.58 V = 61.92 V, + 25 K × 0.12 V/K at 0 °C =
// 64.92 V above an inverter's 64 V. Hydrogen by IEC 62485-2, from memory: 0.05 ×
// 24 × 20 mA/Ah × 800 Ah = 19.2 m³/h; sealed cells 0.05 × 24 × 8 × 800 = 7.68.
func TestFit_LeadAcid(t *testing.T) {
	runFitCases(t, between(0, 30), []fitCase{
		{"vented", []string{ventedBank}, "highest_set_point", Fail, map[string]float64{"set_point_v": 64.92}, []string{"64.92 V"}},
		{"sealed", []string{sealedBank}, "highest_set_point", Pass, map[string]float64{"set_point_v": 59.52}, nil},
		{"vented", []string{ventedBank}, "temperature_compensation", Pass, map[string]float64{"compensation_v_per_c": -.12}, []string{"−5 mV/K"}},
		{"off", []string{ventedBank, ownSettings}, "temperature_compensation", Caution, nil, []string{"sulphates"}},
		{"by air", []string{ventedBank, ownSettings, `{"bank": {"settings": {"compensation_v_per_c": -0.12, "compensation_senses": "air"}}}`}, "temperature_compensation", Caution, nil, []string{"sensor"}},
		{"low", []string{ventedBank, ownSettings}, "absorption_voltage", Caution, nil, []string{"sulphates"}},
		{"vented", []string{ventedBank}, "equalisation", Pass, map[string]float64{"equalise_v": 61.92, "equalise_every_d": 30}, nil},
		{"none", []string{ventedBank, ownSettings}, "equalisation", Caution, nil, nil},
		{"sealed", []string{sealedBank, ownSettings, `{"bank": {"settings": {"equalise_v": 61, "equalise_s": 7200, "equalise_every_d": 30}}}`}, "equalisation", Fail, nil, []string{"dry out"}},
		{"sealed", []string{sealedBank}, "equalisation", Pass, nil, nil},
		{"late start", []string{ventedBank}, "usable_depth", Caution, map[string]float64{"usable_depth_fraction": .5}, []string{"starts at 25 %"}},
		{"vented", []string{ventedBank}, "counter_full", Pass, map[string]float64{"full_seen_at_v": 56.4, "full_seen_a": 16}, []string{"under that current"}},
		{"sealed", []string{sealedBank}, "counter_full", Pass, map[string]float64{"full_seen_at_v": 55.2, "full_seen_a": 16}, nil},
		{"from the factory", []string{ventedBank, `{"bank": {"estimate": {"full_seen_at_v": 52.8, "full_seen_a": 32}}}`}, "counter_full", Fail, nil, []string{"52.8 V and 32 A (4 % of capacity)", "weak sun"}},
		{"below the tail", []string{ventedBank, `{"bank": {"estimate": {"full_seen_a": 8}}}`}, "counter_full", Caution, nil, []string{"tail of 16 A"}},
		{"vented", []string{ventedBank}, "hydrogen", Caution, map[string]float64{"fresh_air_m3_h": 19.2}, []string{"closed cupboard"}},
		{"sealed", []string{sealedBank, `{"bank": {"enclosure": {"kind": "outdoor"}}}`}, "hydrogen", Caution, map[string]float64{"fresh_air_m3_h": 7.68}, nil},
		// 2.12 V · 24 = 50.88 V, full; with half of what the wells hold, 435 Ah of the 400 that
		// are rated, 2.04 V · 24 = 48.96 V: 1 − .5 · 435.06/400 = .4562
		{"lfp ladder", []string{ventedBank}, "generator_voltage_ladder", Fail, nil, []string{"a full bank rests at 50.88 V", "whenever nothing charges"}},
		{"below full", []string{ventedBank, `{"generators": {"main": {"start_below": [{"v": 50.4, "hold_s": 900}]}}}`}, "generator_voltage_ladder", Caution, nil, nil},
		{"its own ladder", []string{ventedBank, `{"generators": {"main": {"start_below": [{"v": 48.96, "hold_s": 900}]}}, "controls": {"return_soc_fraction": 0.6}}`}, "generator_voltage_ladder", Pass, map[string]float64{"rung_1_rest_soc_fraction": .4562}, nil},
	})
	for _, patch := range []string{ventedBank, sealedBank} {
		findings := Fit(station(t, patch), burlington(t))
		for _, f := range findings {
			assert.NotContains(t, []string{"trip_window", "disconnect", "charged_too_cold", "link_loss", "data_linked_low_end", "cell_safety_certificate"}, f.Check, "belongs to a BMS")
			assert.NotContains(t, f.Reason, "asleep", f.Check)
		}
		for _, r := range SheetOf(station(t, patch)).Rows {
			assert.NotContains(t, r.IfWrong, "modules open", r.Setting)
			assert.NotContains(t, r.IfWrong, "trip", r.Setting)
		}
	}
}

// A gateway that reaches some chargers only, and a document that confirms the
// link: common practice, no source.
func TestFit_Link(t *testing.T) {
	runFitCases(t, between(0, 30), []fitCase{
		{"unconfirmed", nil, "link_spoken", Caution, nil, []string{"Ask both makers"}},
		{"confirmed", []string{`{"bank": {"link": {"confirmed_by": "list of 2025"}}}`}, "link_spoken", Pass, nil, []string{"list of 2025"}},
		{"deaf", []string{`{"array": {"chargers": {"south": {"hears_link": false}}}}`}, "link_reach", Caution, nil, []string{"does not reach solar charger south"}},
		{"deaf AC charger", []string{`{"inverter": {"charger_hears_link": false}}`}, "link_reach", Caution, nil, []string{"does not reach the AC charger"}},
	})
	for _, f := range Fit(station(t), between(0, 30)) {
		assert.NotEqual(t, "link_reach", f.Check, "all hear")
	}
}

// Modules in series, aged ones and another chemistry: common practice, no source.
func TestFit_MakeUp(t *testing.T) {
	runFitCases(t, between(0, 30), []fitCase{
		{"unstated", nil, "bank_make_up", Caution, nil, []string{"Not stated"}},
		{"alike", []string{`{"bank": {"make_up": {"modules_in_series": 1}}}`}, "bank_make_up", Pass, nil, nil},
		{"series", []string{`{"bank": {"make_up": {"modules_in_series": 2}}}`}, "bank_make_up", Fail, nil, []string{"2 in series"}},
		{"lead-acid blocks", []string{ventedBank, `{"bank": {"make_up": {"modules_in_series": 4}}}`}, "bank_make_up", Caution, nil, nil},
		{"aged", []string{`{"bank": {"make_up": {"older_modules": 2}}}`}, "bank_make_up", Caution, nil, []string{"2 of 4"}},
		{"mixed", []string{`{"bank": {"make_up": {"beside_chemistry": "lead_acid_vented"}}}`}, "bank_make_up", Fail, nil, []string{"LFP absorbs at 56 V", "vented lead-acid at 58.8 V", "candidate"}},
		{"same", []string{`{"bank": {"make_up": {"beside_chemistry": "lfp"}}}`}, "bank_make_up", Pass, nil, nil},
		{"left on", []string{voltageOnly, ownSettings, `{"bank": {"settings": {"equalise_v": 60, "equalise_s": 7200, "equalise_every_d": 30}}}`}, "equalisation", Fail, nil, []string{"trips"}},
	})
}
