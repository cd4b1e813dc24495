package fault

import "strings"

// units maps the suffix of a member's name to the unit it stands for; the
// longest suffix wins. A name that ends in _fraction is a pure number from 0 to 1.
var units = []struct{ suffix, unit string }{
	{"_per_kwh", "/kWh"}, {"_per_kw", "/kW"}, {"_per_l", "/l"}, {"_per_y", "/y"}, {"_l_per_kwh", "l/kWh"}, {"_c_per_w", "K/W"}, {"_w_m2", "W/m²"}, {"_m_s", "m/s"},
	{"_kj_per_c", "kJ/K"}, {"_fraction_per_c", "1/K"}, {"_mv_per_c", "mV/K"}, {"_v_per_c", "V/K"}, {"_w_per_c", "W/K"},
	{"_fraction_per_100_m", "1/100 m"}, {"_per_h", "1/h"}, {"_kw_l_per_h", "kW, l/h"},
	{"_kwh_m2_d", "kWh/(m² d)"}, {"_kwh_per_day", "kWh/d"}, {"_h_by_window", "h"}, {"_hours_between", "h"}, {"_c_per_kw_m2", "K/(kW/m²)"},
	{"_w_per_module", "W"}, {"_ka", "kA"}, {"_a_s", "A, s"}, {"_w_s", "W, s"},
	{"_mwh", "MWh"}, {"_kwh", "kWh"}, {"_wh", "Wh"}, {"_kw", "kW"}, {"_va", "VA"}, {"_w", "W"},
	{"_ah", "Ah"}, {"_ohm", "Ω"}, {"_a", "A"}, {"_v", "V"}, {"_c", "°C"},
	{"_min", "min"}, {"_h", "h"}, {"_s", "s"}, {"_d", "d"}, {"_y", "y"},
	{"_deg", "°"}, {"_m", "m"}, {"_kg", "kg"}, {"_l", "l"}, {"_hz", "Hz"},
}

// UnitOf is the unit that a member's name ends with or is ("v"), or "" when it
// names none.
func UnitOf(name string) string {
	_, unit := Measured(name)
	return unit
}

// Measured is a member's name without the ending that is its unit, "" when the name is
// nothing else, and the unit: hold_s is hold in s, v is V alone.
func Measured(name string) (what, unit string) {
	best := 0
	for _, u := range units {
		if len(u.suffix) > best && (name == u.suffix[1:] || strings.HasSuffix(name, u.suffix)) {
			best, unit = len(u.suffix), u.unit
		}
	}
	return name[:max(0, len(name)-best)], unit
}
