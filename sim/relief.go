package sim

import (
	"maps"
	"math"
	"slices"

	"bankyear/sim/bank"
)

// Relief is one limit lifted, or one thing bought, to see what it costs or
// saves: the year is run again with it.
type Relief struct {
	// Name is the relief's name in every answer, and Doc says what is changed.
	Name, Doc string
	// LoadFactor multiplies every load; 1 for none.
	LoadFactor float64
	change     func(*System)
	applies    func(*System) bool
	sold       bool
}

// Sold tells whether the relief is something that can be bought, and not only a
// limit lifted in thought.
func (r *Relief) Sold() bool { return r.sold }

// Reliefs lists every relief that would change the system, in a fixed order: the
// limits first, then what is sold.
func Reliefs(s *System) []Relief {
	var out []Relief
	for _, r := range reliefs {
		if r.applies(s) {
			if r.LoadFactor == 0 {
				r.LoadFactor = 1
			}
			out = append(out, r)
		}
	}
	return out
}

// Lift is a copy of the system with the relief. The system is as it was before
// Complete: what follows from other members follows them again.
func (r *Relief) Lift(s *System) *System {
	c := s.copied()
	if r.change != nil {
		r.change(c)
	}
	return c
}

// Attended is the system, which is as it was before Complete, completed with
// another operator.on_site.
func (s *System) Attended(onSite string) *System {
	c := s.copied()
	c.Controls.Operator.OnSite = onSite
	c.Complete()
	return c
}

// copied is a copy whose members may be changed.
func (s *System) copied() *System {
	c := *s
	c.Array.Planes, c.Array.Chargers = maps.Clone(s.Array.Planes), maps.Clone(s.Array.Chargers)
	c.Generators = maps.Clone(s.Generators)
	if s.Bank.Settings != nil {
		set := *s.Bank.Settings
		c.Bank.Settings = &set
	}
	return &c
}

func always(*System) bool         { return true }
func isLinked(s *System) bool     { return s.Bank.Operation == "data_linked" }
func hasGenerator(s *System) bool { return len(s.Generators) > 0 }

var reliefs = []Relief{
	{Name: "perfect_link", Doc: "The data link and its gateway never fail.", change: perfectLink, applies: linkFails},
	{Name: "no_temperature_window", Doc: "The cells charge and discharge alike at every temperature.", change: openWindow, applies: always},
	{Name: "no_charge_ceiling", Doc: "No limit of charge current but the chargers' own rating.", change: noCeiling, applies: always},
	{Name: "no_discharge_ceiling", Doc: "No limit of discharge current but the modules' protection.", change: func(s *System) { s.Bank.Module.Linked.DischargeByC, s.Bank.Module.Linked.DischargeBySoC = nil, nil },
		applies: func(s *System) bool { return isLinked(s) && s.Bank.Module.Linked.LimitsDischarge() }},
	{Name: "exact_soc", Doc: "The reported state of charge is the true one.", change: func(s *System) { s.Bank.Estimate = bank.Estimate{Kind: "exact"} },
		applies: func(s *System) bool { return s.Bank.Estimate.Kind != "exact" }},
	{Name: "one_more_module", sold: true, Doc: "One more module.", change: func(s *System) { s.Bank.Modules++ },
		applies: func(s *System) bool { return s.Bank.Modules < s.Bank.Module.ParallelLimit }},
	{Name: "generator_always_ready", Doc: "The generator starts at every hour, at the first try, and has fuel.", change: eachGenerator(readyGenerator), applies: hasGenerator},
	{Name: "generator_wakes_bank", Doc: "The generator starts by a controller and a battery of its own, its charger puts voltage on a dead bus, and the BMS closes on it.", change: generatorWakes, applies: hasGenerator},
	{Name: "remote_view", sold: true, Doc: "Somebody sees the site from afar and comes sooner.", change: func(s *System) { s.Controls.RemoteView = true },
		applies: func(s *System) bool { return !s.Controls.RemoteView }},
	{Name: "somebody_on_site", sold: true, Doc: "Somebody is always on site.", change: func(s *System) { s.Controls.Operator.OnSite = "always" },
		applies: func(s *System) bool { return s.Controls.Operator.OnSite != "always" }},
	{Name: "one_more_kw_of_array", sold: true, Doc: "1 kW more on the first plane.", change: firstPlane(1, 0),
		applies: func(s *System) bool { return len(s.Array.Planes) > 0 }},
	{Name: "steeper_array", Doc: "Every plane 15° steeper.", change: firstPlane(0, 15),
		applies: func(s *System) bool { return len(s.Array.Planes) > 0 }},
	{Name: "load_down_10_pct", Doc: "Every load 10 % less.", LoadFactor: 0.9, applies: always},
	{Name: "heater", sold: true, Doc: "A heater of 80 W a module, from sun and generator.", change: func(s *System) { s.Bank.Enclosure.HeaterW = 80 },
		applies: func(s *System) bool { return s.Bank.Enclosure.HeaterW == 0 }},
	{Name: "insulated_cupboard", sold: true, Doc: "The bank in an insulated cupboard.", change: func(s *System) { s.Bank.Enclosure.Kind = "insulated_cupboard" },
		applies: func(s *System) bool { return s.Bank.Enclosure.Kind == "outdoor" }},
	{Name: "charger_temperature_sensor", sold: true, Doc: "Every solar charger measures the bank's temperature and stops at the charge window.", change: sensors,
		applies: func(s *System) bool { return !isLinked(s) }},
	{Name: "double_ac_charger", Doc: "An AC charger of twice the current.", change: func(s *System) { s.Inverter.ChargerA *= 2 }, applies: hasGenerator},
}

func perfectLink(s *System) {
	for _, f := range s.linkFaults() {
		*f = bank.LinkFaults{}
	}
}

func linkFails(s *System) bool {
	for _, f := range s.linkFaults() {
		if f.MeanHoursBetween > 0 || len(f.Listed) > 0 {
			return true
		}
	}
	return false
}

// openWindow makes the limits of the middle hold at every temperature.
func openWindow(s *System) {
	m := &s.Bank.Module
	for _, table := range []*[][2]float64{&m.Linked.CeilingByC, &m.Linked.DischargeByC} {
		top := 0.
		for _, row := range *table {
			top = math.Max(top, row[1])
		}
		if len(*table) > 0 {
			*table = [][2]float64{{25, top}}
		}
	}
	p := &m.Protection
	p.ChargeColdC, p.ChargeColdReleaseC, p.DischargeColdC, p.DischargeColdReleaseC = -60, -59, -80, -79
	p.ChargeHotC, p.ChargeHotReleaseC, p.DischargeHotC, p.DischargeHotReleaseC = 120, 119, 120, 119
}

// noCeiling leaves only the chargers' ratings.
func noCeiling(s *System) {
	const free = 5000
	m := &s.Bank.Module
	m.Linked.CeilingByC = slices.Clone(m.Linked.CeilingByC)
	for i, row := range m.Linked.CeilingByC {
		if row[1] > 0 {
			m.Linked.CeilingByC[i][1] = free
		}
	}
	m.Linked.CeilingBySoC = [][2]float64{{0, 1}}
	m.VoltageOnlyA, m.Protection.ChargeOverA = free, free
	if s.Bank.Settings != nil {
		s.Bank.Settings.ChargeA = free
	}
}

func sensors(s *System) {
	for _, name := range sortedKeys(s.Array.Chargers) {
		c := s.Array.Chargers[name]
		c.TemperatureSensor = true
		s.Array.Chargers[name] = c
	}
}

// firstPlane adds power to the first plane and tilt to all.
func firstPlane(kw, deg float64) func(*System) {
	return func(s *System) {
		for i, name := range sortedKeys(s.Array.Planes) {
			p := s.Array.Planes[name]
			if i == 0 {
				p.RatedKW += kw
			}
			p.TiltDeg = math.Min(90, p.TiltDeg+deg)
			s.Array.Planes[name] = p
		}
	}
}
