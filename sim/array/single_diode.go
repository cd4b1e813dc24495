package array

import (
	"fmt"

	"bankyear/sim/fault"
)

// SingleDiode is what the data sheet of a silicon module says at 1000 W/m² and
// 25 °C cell temperature. Only ratios count: any number of modules in series
// and parallel make a plane of its rated power.
type SingleDiode struct {
	ShortCircuitA          float64 `json:"short_circuit_a" exclusiveMinimum:"0" maximum:"100" doc:"Short-circuit current."`
	OpenCircuitV           float64 `json:"open_circuit_v" exclusiveMinimum:"0" maximum:"1000" doc:"Open-circuit voltage."`
	HighestPowerA          float64 `json:"highest_power_a" exclusiveMinimum:"0" maximum:"100" doc:"Current at highest power."`
	HighestPowerV          float64 `json:"highest_power_v" exclusiveMinimum:"0" maximum:"1000" doc:"Voltage at highest power."`
	ShortCircuitFractionPC float64 `json:"short_circuit_fraction_per_c" minimum:"-0.002" maximum:"0.003" doc:"Change of short-circuit current for each kelvin of cell temperature."`
	OpenCircuitFractionPC  float64 `json:"open_circuit_fraction_per_c" minimum:"-0.01" exclusiveMaximum:"0" doc:"Change of open-circuit voltage for each kelvin of cell temperature."`
}

// check wants points that a curve can pass through.
func (s *SingleDiode) check(c fault.Collector) {
	below := func(name string, value float64, other string, than float64) bool {
		if value > 0 && value < than {
			return true
		}
		c.At(name).Add(value, fmt.Sprintf("below %s, %g", other, than), fault.UnitOf(name), "is not below "+other)
		return false
	}
	amps := below("highest_power_a", s.HighestPowerA, "short_circuit_a", s.ShortCircuitA)
	volts := below("highest_power_v", s.HighestPowerV, "open_circuit_v", s.OpenCircuitV)
	if !amps || !volts {
		return
	}
	if _, ok := s.fit(); !ok {
		fill := s.HighestPowerA * s.HighestPowerV / (s.ShortCircuitA * s.OpenCircuitV)
		c.Addf(nil, "no single-diode curve with positive resistances has these points and temperature coefficients (fill factor %.3f)", fill)
	}
}
