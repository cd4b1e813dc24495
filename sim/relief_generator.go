package sim

import "bankyear/sim/genset"

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
	g.FailedStartFraction, g.NoStartHours, g.TopUp, g.FuelStoreL = 0, "", nil, 0
}
