package inverter

import "slices"

// Together is the one inverter that the units in parallel make: they share the
// load evenly, so that ratings, draws and losses are those of one times their
// number at the same part of the rating.
func (s *Spec) Together() Spec {
	all, n := *s, float64(max(1, s.Units))
	if n == 1 {
		return all
	}
	all.Units = 1
	for _, x := range []*float64{&all.RatedW, &all.SearchDrawW, &all.SearchBelowW, &all.OffDrawW, &all.ChargerA, &all.ACInputW} {
		*x *= n
	}
	all.Short = slices.Clone(s.Short)
	for i := range all.Short {
		all.Short[i][0] *= n
	}
	return all
}
