package advice

import (
	"strconv"
	"testing"
)

// What is stated of strings, chargers, fuses, isolation and documents. The coldest air
// is −27.8 °C, the hottest 37.2 °C, so that cells come to 77.2 °C; a short draws 8.96 kA,
// 11.2 kA from warm cells; the bank is charged to 58.4 V at most and asked for 56 V.
func TestFit_Stated(t *testing.T) {
	wired := func(strings string, input int) []string {
		return []string{`{"array": {"planes": {"roof": {"strings": ` + strings + `}}, "chargers": {"south": {"max_input_v": ` + strconv.Itoa(input) + `}}}}`}
	}
	const sheet = `{"array":{"planes":{"roof":{"single_diode":{"short_circuit_a":9.43,"open_circuit_v":38.3,"highest_power_a":8.71,"highest_power_v":31.0,
	  "short_circuit_fraction_per_c":0.0006,"open_circuit_fraction_per_c":-0.0036}}}}}`
	three := `{"modules_in_series": 3, "open_circuit_v": 45, "highest_power_v": 37}`
	fuses := func(stated string) []string { return []string{`{"bank": {"fuses": ` + stated + `}}`} }
	isolation := func(stated string) []string { return []string{`{"bank": {"isolation": ` + stated + `}}`} }
	runFitCases(t, between(-27.8, 37.2), []fitCase{
		// 3 · 45 · (1 + .003 · 52.8) = 156.38 V; 3 · (37 − .003 · 45 · 52.2) = 89.86 V.
		{"three in series", wired(three, 160), "string_voltage", Pass, map[string]float64{"open_circuit_cold_v": 156.384, "highest_power_hot_v": 89.859}, nil},
		{"too many", wired(three, 150), "string_voltage", Fail, nil, []string{"take fewer in series"}},
		// 2 · 38.3 · (1 + .0036 · 52.8) = 91.16 V; 2 · (31 − .0036 · 38.3 · 52.2) = 47.61 V, below 61 V.
		{"two by the data sheet", append(wired(`{"modules_in_series": 2}`, 150), sheet), "string_voltage", Caution, map[string]float64{"open_circuit_cold_v": 91.160, "highest_power_hot_v": 47.605}, []string{"before the bank is full"}},
		{"no highest input", []string{`{"array": {"planes": {"roof": {"strings": ` + three + `}}}}`}, "string_voltage", Caution, nil, []string{"max_input_v is not stated"}},
		{"not stated", nil, "charger_voltage", Caution, nil, []string{"must reach 56 V"}},
		{"enough", []string{`{"array": {"chargers": {"south": {"max_output_v": 60}}}}`}, "charger_voltage", Pass, nil, nil},
		{"for another bus", []string{`{"array": {"chargers": {"south": {"max_output_v": 30}}}}`}, "charger_voltage", Fail, nil, []string{"never full"}},
		{"strong", fuses(`{"breaking_capacity_ka": 25, "rated_v": 80, "module_rated_a": 125}`), "short_circuit", Pass, nil, []string{"at least 2 times"}},
		{"not twice", fuses(`{"breaking_capacity_ka": 20, "rated_v": 80}`), "short_circuit", Caution, nil, nil},
		{"too weak", fuses(`{"breaking_capacity_ka": 10, "rated_v": 80}`), "short_circuit", Fail, nil, []string{"may burst"}},
		{"for 32 V", fuses(`{"breaking_capacity_ka": 25, "rated_v": 32}`), "short_circuit", Fail, nil, []string{"32 V at DC are below the bank's highest 58.4 V"}},
		{"blows in work", fuses(`{"breaking_capacity_ka": 25, "rated_v": 80, "module_rated_a": 30}`), "short_circuit", Caution, nil, []string{"may carry for long"}},
		{"not stated", nil, "isolation", Caution, nil, nil},
		{"both", isolation(`{"bank": true, "each_module": true}`), "isolation", Pass, nil, []string{"live also when it is off"}},
		{"the bank's", isolation(`{"bank": true, "terminals_live_when_off": false}`), "isolation", Caution, nil, []string{"stays live from the others"}},
		{"the modules'", isolation(`{"each_module": true}`), "isolation", Caution, nil, []string{"one by one"}},
		{"none", isolation(`{}`), "isolation", Fail, nil, nil},
		{"stated", []string{`{"bank": {"module": {"certificates": {"transport_un_38_3": "summary 12/2025", "safety_iec_62619": "certificate 4711"}}}}`}, "transport_certificate", Pass, nil, []string{"summary 12/2025"}},
		{"stated", []string{`{"bank": {"module": {"certificates": {"safety_iec_62619": "certificate 4711"}}}}`}, "cell_safety_certificate", Pass, nil, []string{"certificate 4711"}},
	})
}
