package sim

import (
	"slices"

	"bankyear/sim/genset"
)

// eachGenerator changes every generator.
func eachGenerator(change func(*genset.Spec)) func(*System) {
	return func(s *System) {
		for _, name := range sortedKeys(s.Generators) {
			g := s.Generators[name]
			change(&g)
			s.Generators[name] = g
		}
	}
}

// readyGenerator lifts what may keep a set from starting.
func readyGenerator(g *genset.Spec) {
	g.FailedStartFraction, g.NoStartHours, g.TopUp, g.FuelStoreL, g.Deliveries, g.DailyCapH = 0, "", nil, 0, nil, 0
}

// generatorWakes makes every link hold by which a generator wakes a bank.
func generatorWakes(s *System) {
	eachGenerator(func(g *genset.Spec) { g.StartSignal, g.SignalFedFrom = "own_controller", "own_battery" })(s)
	s.Inverter.ChargerStartsWithoutBank = true
	if !slices.Contains(s.Bank.WokenBy, "generator") {
		s.Bank.WokenBy = append(slices.Clone(s.Bank.WokenBy), "generator")
	}
}
