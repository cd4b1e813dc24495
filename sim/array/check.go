package array

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"bankyear/sim/fault"
)

// Check records what is wrong with the meaning of the values: every plane is
// wired to a charger that exists, every charger has a plane, and monthly
// losses are one value or twelve. Ranges of single values are not its
// business.
func (s *Spec) Check(c fault.Collector) {
	chargers := slices.Sorted(maps.Keys(s.Chargers))
	names := append(slices.Clone(chargers), slices.Sorted(maps.Keys(s.Inverters))...)
	used := map[string]bool{}
	for _, name := range slices.Sorted(maps.Keys(s.Planes)) {
		p, at := s.Planes[name], c.At("planes", name)
		_, dc := s.Chargers[p.Charger]
		_, ac := s.Inverters[p.Charger]
		if used[p.Charger] = dc || ac; !dc && !ac {
			at.At("charger").Add(p.Charger, allowed(names), "", "is not the name of a charger or PV inverter of this array")
		}
		p.check(at)
	}
	for _, name := range slices.Sorted(maps.Keys(s.Inverters)) {
		if _, twice := s.Chargers[name]; twice {
			c.At("pv_inverters", name).Addf(nil, "has the name of a solar charger")
		}
		if !used[name] {
			c.At("pv_inverters", name).Addf(nil, "has no plane: no plane names it as its charger")
		}
	}
	for _, name := range chargers {
		if !used[name] {
			c.At("chargers", name).Addf(nil, "has no plane: no plane names it as its charger")
		}
	}
}

func (p *Plane) check(c fault.Collector) {
	p.Losses.check(c.At("losses"))
	if p.Tracker != nil {
		if p.TiltDeg <= 0 {
			c.At("tilt_deg").Add(p.TiltDeg, "above 0 to 90", "°", "lets the tracker not turn at all")
		}
		if p.Losses.SnowAt60DegFraction != nil {
			c.At("losses", "snow_at_60_deg_fraction").Addf(nil, "has no meaning for a tracker, whose tilt in snow is not known: state snow_fraction")
		}
	}
	if p.SingleDiode != nil {
		p.SingleDiode.check(c.At("single_diode"))
	}
	if p.Strings != nil {
		p.Strings.check(c.At("strings"), p.SingleDiode)
	}
}

// check wants the voltages of a module, its own or those of the data sheet.
func (s *Strings) check(c fault.Collector, sheet *SingleDiode) {
	if sheet != nil {
		return
	}
	if s.OpenCircuitV == 0 {
		c.At("open_circuit_v").Addf(nil, "is needed where the plane has no single_diode")
	}
	if s.HighestPowerV == 0 {
		c.At("highest_power_v").Addf(nil, "is needed where the plane has no single_diode")
	}
	if s.OpenCircuitV > 0 && s.HighestPowerV >= s.OpenCircuitV {
		c.At("highest_power_v").Add(s.HighestPowerV, fmt.Sprintf("below open_circuit_v, %g", s.OpenCircuitV), "V", "is not below open_circuit_v")
	}
}

func (l *Losses) check(c fault.Collector) {
	if l.SnowFraction != nil && l.SnowAt60DegFraction != nil {
		c.At("snow_at_60_deg_fraction").Addf(nil, "stands beside snow_fraction: give one or the other")
	}
	for _, list := range []struct {
		name   string
		values []float64
	}{{"soiling_fraction", l.SoilingFraction}, {"snow_fraction", l.SnowFraction}, {"snow_at_60_deg_fraction", l.SnowAt60DegFraction}} {
		if n := len(list.values); n > 1 && n < 12 {
			c.At(list.name).Add(n, "1 or 12", "items", "has neither one value nor one for each month")
		}
	}
}

func allowed(names []string) string {
	if len(names) == 0 {
		return "none: the array has no chargers"
	}
	return "one of " + strings.Join(names, ", ")
}
