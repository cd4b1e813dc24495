package fault_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/fault"
)

// Symbols of the International System of Units (SI brochure, 9th edition), and
// the units that the SI accepts beside its own.
func TestUnitOf(t *testing.T) {
	for name, unit := range map[string]string{
		"rated_w": "W", "rated_kw": "kW", "load_kwh": "kWh", "throughput_mwh": "MWh", "charger_a": "A", "v": "V", "w": "W", "min_v": "V",
		"capacity_ah": "Ah", "fixed_c": "°C", "start_delay_s": "s", "downtime_h": "h", "tilt_deg": "°", "elevation_m": "m", "fuel_l": "l",
		"cable_ohm": "Ω", "mass_kg": "kg", "surface_c_per_w": "K/W", "heat_capacity_kj_per_c": "kJ/K", "no_load_l_per_kwh": "l/kWh",
		"power_fraction_per_c": "1/K", "compensation_v_per_c": "V/K", "heat_w_per_c": "W/K", "altitude_fraction_per_100_m": "1/100 m",
		"starts_per_h": "1/h", "plane_w_m2": "W/m²", "wind_m_s": "m/s", "downtime_by_cause_h": "h", "open_circuit_by_soc_v": "V",
		"ghi_kwh_m2_d": "kWh/(m² d)", "scale_to_kwh_per_day": "kWh/d", "cell_h_by_window": "h", "mean_hours_between": "h", "breaking_capacity_ka": "kA",
		"solar_gain_c_per_kw_m2": "K/(kW/m²)", "heater_w_per_module": "W", "fuel_points_kw_l_per_h": "kW, l/h",
		"discharge_peaks_a_s": "A, s", "short_ratings_w_s": "W, s",
		"stop_soc_fraction": "", "modules": "", "months": "", "key": "", "": "",
	} {
		assert.Equal(t, unit, fault.UnitOf(name), name)
	}
}

func TestMeasured(t *testing.T) {
	for name, want := range map[string][2]string{"hold_s": {"hold", "s"}, "v": {"", "V"}, "price_per_kwh": {"price", "/kWh"}, "hours": {"hours", ""}, "": {"", ""}} {
		what, unit := fault.Measured(name)
		assert.Equal(t, want, [2]string{what, unit}, name)
	}
}
