package advice

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// set is a voltage-only bank with settings: absorption, float, compensation.
func set16(absorbV, floatV, compensation float64) string {
	return fmt.Sprintf(`{"bank": {"operation": "voltage_only", "settings": {"absorb_v": %g, "float_v": %g, "restart_charge_v": 50, "tail_a": 20, "charge_a": 100, "compensation_v_per_c": %g}}}`, absorbV, floatV, compensation)
}

// Wrong settings that are met in the field (common practice, no source): −4
// mV/K a cell × 24 cells turn 57.6 V into about 60 V at 0 °C.
func TestFit_WrongSettings(t *testing.T) {
	runFitCases(t, between(-27.8, 37.2), []fitCase{
		{"off", []string{voltageOnly}, "temperature_compensation", Pass, nil, nil},
		// 57.6 + .096 · 25 = 60.0; + .096 · 52.8 = 62.67; − .096 · 12.2 = 56.43.
		{"left on", []string{set16(57.6, 54, -.096)}, "temperature_compensation", Fail, map[string]float64{"absorb_at_0_c_v": 60, "absorb_at_lowest_air_v": 62.6688, "absorb_at_highest_air_v": 56.4288, "trip_v": 57.92},
			[]string{"57.6 V + 0.096 × 25 = 60 V at 0 °C", "trips on winter mornings"}},
		// −3 and −5 mV/K a cell.
		{"−3 mV", []string{set16(57.6, 54, -.072)}, "temperature_compensation", Fail, map[string]float64{"absorb_at_0_c_v": 59.4}, nil},
		{"−5 mV", []string{set16(57.6, 54, -.12)}, "temperature_compensation", Fail, map[string]float64{"absorb_at_0_c_v": 60.6}, nil},
		{"left on, LFP absorption", []string{set16(56, 54, -.096)}, "temperature_compensation", Fail, map[string]float64{"absorb_at_0_c_v": 58.4}, nil},
		{"left on a little", []string{set16(55.2, 54, -.02)}, "temperature_compensation", Caution, map[string]float64{"absorb_at_0_c_v": 55.7}, []string{"Set it to 0."}},
		{"past the inverter", []string{set16(57.6, 54, -.125)}, "temperature_compensation", Fail, nil, []string{"above the inverter's highest 64 V"}},
		// 16 · 3.45 = 55.2, 16 · 3.55 = 56.8.
		{"right", []string{set16(56.8, 54, 0)}, "absorption_voltage", Pass, map[string]float64{"least_v": 55.2, "most_v": 56.8}, nil},
		{"right", []string{set16(55.2, 54, 0)}, "absorption_voltage", Pass, nil, nil},
		{"too high", []string{set16(57, 54, 0)}, "absorption_voltage", Caution, nil, []string{"above 55.2 V to 56.8 V"}},
		// At rest 53.6 V: 3.35 V a cell, .2972 + (3.35 − 3.2772)/.0739 · .6861 = .9731.
		{"too low", []string{set16(53.6, 53, 0)}, "absorption_voltage", Caution, nil, []string{"ends at 97.3 %"}},
		// 16 · 3.35 = 53.6, 16 · 3.40 = 54.4.
		{"right", []string{set16(56, 54.4, 0)}, "float_voltage", Pass, map[string]float64{"least_v": 53.6, "most_v": 54.4}, nil},
		{"no float", []string{set16(56, 55.9, 0)}, "float_voltage", Caution, nil, []string{"next to no float"}},
		{"none", []string{set16(56, 56, 0)}, "float_voltage", Caution, nil, []string{"56 V, which is absorption: no float"}},
		{"too low", []string{set16(56, 52.8, 0)}, "float_voltage", Caution, nil, []string{"down to 50.9 % charge"}},
		{"above absorption", []string{set16(56, 56.4, 0)}, "float_voltage", Fail, nil, []string{"never ends"}},
		// 400 Ah counted as 450: 1 − 400/450 = 11.1 %.
		{"another bank's capacity", []string{voltageOnly, `{"bank": {"estimate": {"assumed_capacity_ah": 450}}}`}, "counter_capacity", Caution, map[string]float64{"bank_ah": 400}, []string{"wrong by 11.1 %"}},
		// 16 · 3.1 = 49.6 V. Of the table (checked in sim/bank), 3.1 V: .0534 + .0128/.107 · .0351 = .0576;
		// 46 V, 2.875: .0117 + .1345/.1894 · .015 = .0224; 52 V, 3.25: .0885 + .0558/.083 · .2087 = .2288.
		{"right", []string{voltageOnly}, "low_cut_off", Pass, map[string]float64{"rule_v": 49.6, "left_at_rest_fraction": .0576}, nil},
		{"of 24 lead-acid cells", []string{voltageOnly, lowEnd(46, 45, 50)}, "low_cut_off", Caution, map[string]float64{"left_at_rest_fraction": .0224}, []string{"46 V, 2.88 V a cell, as for lead-acid", "44.8 V at which they open"}},
		{"too high", []string{lowEnd(52, 48, 53.5)}, "low_cut_off", Caution, map[string]float64{"left_at_rest_fraction": .2288}, []string{"After a link loss, the low cut-off is 52 V", "22.9 % at rest still in the bank"}},
		{"restart above float", []string{voltageOnly, `{"bank": {"settings": {"absorb_v": 56, "float_v": 54, "restart_charge_v": 54, "tail_a": 20, "charge_a": 100}}}`}, "float_voltage", Caution, nil, []string{"over and over"}},
	})
}

func lowEnd(cutV, fastV, returnV float64) string {
	return fmt.Sprintf(`{"controls": {"low_end": {"cut_off_v": %g, "fast_cut_off_v": %g, "return_v": %g}}}`, cutV, fastV, returnV)
}

// Each of these settings is set right alone, and is right then; the low cut-off is
// not what chargers hold after a loss, and is named beside that.
func TestWrong_CounterAndLowEnd(t *testing.T) {
	site := between(-27.8, 37.2)
	s := station(t, voltageOnly, lowEnd(46, 45, 50), `{"bank": {"estimate": {"assumed_capacity_ah": 450}}}`)
	wrong := Wrong(s, site)
	require.Len(t, wrong, 2)
	for i, check := range []string{"counter_capacity", "low_cut_off"} {
		assert.Equal(t, check, wrong[i].Check)
		left := Wrong(Righted(s, check), site)
		require.Len(t, left, 1, check)
		assert.NotEqual(t, check, left[0].Check)
	}
	held := Wrong(station(t, lowEnd(46, 45, 50), `{"bank": {"link": {"after_loss": "factory_lead_acid"}}}`), site)
	require.Len(t, held, 2)
	assert.Equal(t, leadAcidHeld, held[0].Check)
	assert.NotContains(t, held[0].Reason, "cut-off")
	assert.Equal(t, lowCutOff, held[1].Check)
}

const (
	nmc13 = `{"bank": {"module": {"key": "nmc_13s_100ah"}, "operation": "voltage_only"}}`
	// a chemistry of the caller's behind the BMS of the station's modules, which
	// counts full at 55.8 V and asks for 56
	ownTable = `{"bank": {"module": {"chemistry": "table", "open_circuit_by_soc_v": [[0, 3], [1, 3.5]]}, "operation": "voltage_only"}}`
)

func settings(absorbV, floatV, restartV, compensation float64) string {
	return fmt.Sprintf(`{"bank": {"settings": {"absorb_v": %g, "float_v": %g, "restart_charge_v": %g, "tail_a": 20, "charge_a": 100, "compensation_v_per_c": %g}}}`, absorbV, floatV, restartV, compensation)
}

// The same wrong settings of cells other than LFP: NMC between 4.05 and 4.15 V a
// cell of its 4.2 (common practice, no source), trip 55.25 − 13 · .03 = 54.86 V;
// a table of the caller's by what its BMS asks for.
func TestFit_WrongSettingsOfOtherCells(t *testing.T) {
	counter := func(v float64) string {
		return fmt.Sprintf(`{"bank": {"estimate": {"full_seen_at_v": %g}}}`, v)
	}
	cold := between(-27.8, 37.2)
	runFitCases(t, cold, []fitCase{
		{"NMC defaults", []string{nmc13}, "temperature_compensation", Pass, nil, []string{"as NMC wants them"}},
		{"NMC defaults", []string{nmc13}, "absorption_voltage", Pass, map[string]float64{"least_v": 52.65, "most_v": 53.95}, []string{"(13 × 4.05 V to 4.15 V)"}},
		{"NMC defaults", []string{nmc13}, "float_voltage", Pass, map[string]float64{"least_v": 50.7, "most_v": 52.65}, nil},
		{"NMC defaults", []string{nmc13}, "counter_full", Pass, nil, nil},
		// 54.4 + .06 · 25 = 55.9 V at 0 °C
		{"NMC left on", []string{nmc13, settings(54.4, 52, 51, -.06)}, "temperature_compensation", Fail, map[string]float64{"absorb_at_0_c_v": 55.9, "trip_v": 54.86}, []string{"trips on winter mornings"}},
		{"NMC too high", []string{nmc13, settings(54.4, 52, 51, -.06)}, "absorption_voltage", Caution, nil, []string{"above 52.65 V to 53.95 V"}},
		{"NMC at the trip", []string{nmc13, settings(54.86, 52, 51, 0)}, "absorption_voltage", Fail, nil, []string{"ends in a trip"}},
		// 3.9 V a cell: .535 + (3.9 − 3.7416)/.3007 · .285 = .6851
		{"NMC too low", []string{nmc13, settings(50.7, 50, 49, 0)}, "absorption_voltage", Caution, nil, []string{"ends at 68.5 %"}},
		{"NMC no float", []string{nmc13, settings(53.3, 53.3, 51, 0)}, "float_voltage", Caution, nil, []string{"no float"}},
		// 48.9/13 = 3.7615: .535 + .0199/.3007 · .285 = .5539
		{"NMC lead-acid values", []string{nmc13, counter(48.9)}, "counter_full", Fail, map[string]float64{"rest_soc_fraction": .5539}, []string{"any dawn"}},

		// .985 · 55.8 = 54.963; 80 % at rest: 16 · 3.4 = 54.4
		{"table", []string{ownTable, settings(56, 54.8, 53, 0)}, "absorption_voltage", Pass, map[string]float64{"least_v": 54.963, "most_v": 56}, nil},
		{"table", []string{ownTable, settings(56, 54.8, 53, 0)}, "float_voltage", Pass, map[string]float64{"least_v": 54.4, "most_v": 54.963}, nil},
		{"table", []string{ownTable, settings(56, 54.8, 53, 0)}, "counter_full", Pass, nil, nil},
		{"table too high", []string{ownTable, settings(56.8, 54.8, 53, 0)}, "absorption_voltage", Caution, nil, []string{"its BMS"}},
		{"table too low", []string{ownTable, settings(54, 53.5, 52, 0)}, "absorption_voltage", Caution, nil, []string{"ends at 75 %"}},
		{"table left on", []string{ownTable, settings(56, 54.8, 53, -.096)}, "temperature_compensation", Fail, nil, nil},
		{"table lead-acid values", []string{ownTable, settings(56, 54.8, 53, 0), counter(52.8)}, "counter_full", Fail, map[string]float64{"rest_soc_fraction": .6}, nil},
	})

	// each can be set right, which leaves nothing wrong
	for name, patches := range map[string][]string{
		"NMC": {nmc13, settings(54.4, 53.95, 51, -.06), counter(48.9)}, "table": {ownTable, settings(57, 56.5, 53, -.06), counter(52.8)},
	} {
		s := station(t, patches...)
		wrong := Wrong(s, cold)
		var checks []string
		for _, w := range wrong {
			checks = append(checks, w.Check)
			s = Righted(s, w.Check)
		}
		assert.Equal(t, []string{"temperature_compensation", "absorption_voltage", "float_voltage", "counter_full"}, checks, name)
		assert.Empty(t, Wrong(s, cold), name)
	}

	held := `{"bank": {"module": {"key": "nmc_13s_100ah"}, "link": {"after_loss": "factory_lead_acid"}}}`
	require.Len(t, Wrong(station(t, held), cold), 1)
	assert.Equal(t, leadAcidHeld, Wrong(station(t, held), cold)[0].Check)
}

// The classic false full: 52.8 V and 4 % of capacity, which LFP has at rest at
// 51 % (common practice, no source; published open-circuit table). Drift by
// equation, 280 Ah: .05 A are .429 % a day, .1 .857, .25 2.143, .5 4.286.
func TestFit_Counter(t *testing.T) {
	one280 := `{"bank": {"operation": "voltage_only", "modules": 1, "module": {"key": "lfp_16s_280ah"}}}`
	offset := func(a float64) string {
		return fmt.Sprintf(`{"bank": {"estimate": {"offset_a": %g}}}`, a)
	}
	runFitCases(t, between(-27.8, 37.2), []fitCase{
		{"defaults", []string{voltageOnly}, "counter_full", Pass, map[string]float64{"full_seen_at_v": 55.2, "full_seen_a": 24}, nil},
		{"lead-acid values", []string{voltageOnly, `{"bank": {"estimate": {"full_seen_at_v": 52.8, "full_seen_a": 16}}}`}, "counter_full", Fail, map[string]float64{"rest_soc_fraction": .5089}, []string{"52.8 V", "(4 % of capacity)", "50.9 %", "any dawn"}},
		{"above absorption", []string{voltageOnly, `{"bank": {"estimate": {"full_seen_at_v": 56.5}}}`}, "counter_full", Fail, nil, []string{"never re-sets"}},
		{"below the tail", []string{voltageOnly, `{"bank": {"estimate": {"full_seen_a": 10}}}`}, "counter_full", Caution, nil, []string{"tail of 20 A"}},
		{"held too long", []string{voltageOnly, `{"bank": {"estimate": {"full_seen_hold_s": 600}}}`}, "counter_full", Caution, nil, []string{"wants 10 min"}},
		{".05 A", []string{one280}, "counter_full", Pass, map[string]float64{"drift_per_day_fraction": .00429}, []string{"0.43 % of capacity a day"}},
		{".1 A", []string{one280, offset(.1)}, "counter_full", Pass, map[string]float64{"drift_per_day_fraction": .00857}, nil},
		{".25 A", []string{one280, offset(-.25)}, "counter_full", Pass, map[string]float64{"drift_per_day_fraction": .02143}, nil},
		{".5 A", []string{one280, offset(.5)}, "counter_full", Pass, map[string]float64{"drift_per_day_fraction": .04286}, nil},
		{"BMS", nil, "counter_full", Pass, map[string]float64{"full_seen_at_v": 55.8, "full_seen_a": 10}, nil},
		{"none", []string{voltageOnly, `{"bank": {"estimate": {"kind": "none"}}}`}, "counter_full", Caution, nil, []string{"No voltage sheds"}},
		{"exact", []string{`{"bank": {"estimate": {"kind": "exact"}}}`}, "counter_full", Pass, nil, nil},
		{"set for another bank", []string{voltageOnly, `{"bank": {"estimate": {"assumed_capacity_ah": 500}}}`}, "counter_capacity", Caution, map[string]float64{"assumed_capacity_ah": 500, "bank_ah": 400}, []string{"wrong by 20 %"}},
	})
}

// At rest 52 V are 23 % and 52.8 V 51 % (published open-circuit table); a quarter of
// 6 kW sags some tenths of a volt.
func TestFit_Shedding(t *testing.T) {
	sheds := func(below, back float64) string {
		return fmt.Sprintf(`{"bank": {"estimate": {"kind": "none"}}, "controls": {"shed_below_v": %g, "shed_below_hold_s": 300, "return_above_v": %g}}`, below, back)
	}
	runFitCases(t, between(-27.8, 37.2), []fitCase{
		{"right", []string{voltageOnly, sheds(52, 52.8)}, "shedding_voltage", Pass, map[string]float64{"shed_rest_soc_fraction": .2288, "return_rest_soc_fraction": .5089}, []string{"below 52 V for 5 min", "above 52.8 V"}},
		{"above the chargers", []string{voltageOnly, sheds(52, 56)}, "shedding_voltage", Fail, map[string]float64{"highest_charge_v": 56}, []string{"never comes back"}},
		{"below the cut-off", []string{voltageOnly, sheds(49.5, 52)}, "shedding_voltage", Caution, nil, []string{"All load stops before it (49.6 V for 30 s)"}},
		{"linked", []string{`{"controls": {"shed_below_v": 52, "return_above_v": 53}}`}, "shedding_voltage", Pass, nil, nil},
		{"lead-acid", []string{ventedBank, sheds(48, 50)}, "shedding_voltage", Pass, nil, nil},
	})
	for _, f := range Fit(station(t), between(0, 30)) {
		assert.NotEqual(t, "shedding_voltage", f.Check, "none is set")
	}
	for _, r := range SheetOf(station(t, voltageOnly, sheds(52, 52.8))).Rows {
		assert.NotEqual(t, "flexible load off at reported SoC", r.Setting, "nothing reports one")
	}
	assert.EqualValues(t, 52, findRow(t, SheetOf(station(t, voltageOnly, sheds(52, 52.8))).Rows, "load control", "flexible load off below").Value)
}

// Where the taper begins: at 55.2 V and 50 A a module, 45 mΩ at 60 % and 25 mΩ
// at 99 %; at 56.0 V and 40 A both at 99 % (computed from the published
// open-circuit table; resistance without its rise at the top).
func TestTaperBegins(t *testing.T) {
	for _, c := range []struct{ v, a, milliohm, want float64 }{{55.2, 50, 45, .60}, {55.2, 50, 25, .99}, {56, 40, 45, .99}, {56, 40, 25, .99}} {
		s := station(t, fmt.Sprintf(`{"bank": {"modules": 1, "cable_ohm": 0, "module": {"resistance_ohm": %g, "resistance_factor_by_soc": [[0, 1]]}}}`, c.milliohm/1000))
		assert.InDelta(t, c.want, newFit(s, Extremes{}).taperSoC(c.v, c.a), .006, "%g V %g A %g mΩ", c.v, c.a, c.milliohm)
	}
}

// 2 kW across four modules sags about 0.3 V, some 15 % of charge on the
// plateau; 20 W take the last 5 % of 20 kWh in about 50 h (common practice, no
// source, and roughly said).
func TestSagAndLastCharge(t *testing.T) {
	f := newFit(station(t), Extremes{})
	assert.InDelta(t, .15, f.loadedSoC(52.8, 2000)-restSoC(f.m, 52.8), .04)
	assert.InDelta(t, .3, f.ohm(25, .6)*2000/52.8, .03)
	assert.InDelta(t, 50, storedWh(f.m, 400, 0, .05)/20, 5)
	assert.InDelta(t, 45.2366, storedWh(f.m, 400, 0, .05)/20, 1e-3, "midpoint sum of 200,000 parts")
	assert.Zero(t, storedWh(f.m, 400, .3, .3))
}

func TestRestSoC(t *testing.T) {
	m := &station(t).Bank.Module
	for v, want := range map[float64]float64{51.2: .10, 52: .23, 52.8: .51} { // from the published open-circuit table
		assert.InDelta(t, want, restSoC(m, v), .005, "%g V", v)
	}
	assert.Zero(t, restSoC(m, 10))
	assert.EqualValues(t, 1, restSoC(m, 70))
}

// With hysteresis a voltage means more charge after discharge, and less after
// charge, than the table says: as much as half the width of 16 cells makes.
func TestRestWithHysteresis(t *testing.T) {
	const half = .02 * 16 / 2
	plain, f := newFit(station(t), Extremes{}), newFit(station(t, `{"bank": {"module": {"hysteresis": {"width_v": 0.02}}}}`), Extremes{})
	for _, v := range []float64{49.6, 51.2, 52, 52.8, 53.4} {
		assert.InDelta(t, restSoC(plain.m, v+half), restSoC(f.m, v), 1e-9, "%g V", v)
		assert.InDelta(t, restSoC(plain.m, v-half), chargedSoC(f.m, v), 1e-9, "%g V", v)
		assert.Equal(t, restSoC(plain.m, v), chargedSoC(plain.m, v))
	}
	assert.Greater(t, f.loadedSoC(52, 2000), plain.loadedSoC(52, 2000))
	assert.Less(t, f.taperSoC(54, 100), plain.taperSoC(54, 100))
	assert.InDelta(t, storedWh(plain.m, 400, .1, .3)-half*400*.2, storedWh(f.m, 400, .1, .3), 1e-6)
}
