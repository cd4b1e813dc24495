package sim_test

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// grown multiplies everything of a station that is a power, a current or a
// charge by k, and everything that is a resistance by 1/k: the same site k
// times. It keeps the number of modules.
func grown(t *testing.T, k float64, s *scenario) *sim.System {
	raw, err := json.Marshal(s.System)
	require.NoError(t, err)
	var g sim.System // a deep copy
	require.NoError(t, json.Unmarshal(raw, &g))
	scale := func(values ...*float64) {
		for _, v := range values {
			*v *= k
		}
	}
	for name, p := range g.Array.Planes {
		scale(&p.RatedKW)
		g.Array.Planes[name] = p
	}
	for name, c := range g.Array.Chargers {
		scale(&c.RatedA, &c.RatedArrayKW, &c.NightDrawW)
		g.Array.Chargers[name] = c
	}
	m, b := &g.Bank.Module, &g.Bank
	scale(&m.CapacityAh, &m.BMSDrawW, &m.Linked.FullA, &m.VoltageOnlyA, &m.DischargeA, &m.Protection.ChargeSeenA, &m.Protection.ChargeOverA, &m.HeatKJPerC,
		&m.Protection.AsleepDrawW, &b.Settings.TailA, &b.Settings.ChargeA, &b.Enclosure.HeaterW)
	m.ResistanceOhm, b.CableOhm, b.Enclosure.SurfaceCPerW, b.Enclosure.InsulationCPerW = m.ResistanceOhm/k, b.CableOhm/k, b.Enclosure.SurfaceCPerW/k, b.Enclosure.InsulationCPerW/k
	for i := range m.Linked.CeilingByC {
		scale(&m.Linked.CeilingByC[i][1])
	}
	for i := range m.Linked.DischargeByC {
		scale(&m.Linked.DischargeByC[i][1])
	}
	for i := range m.PeakAS {
		scale(&m.PeakAS[i][0])
	}
	for _, v := range []*float64{b.Estimate.OffsetA, b.Estimate.DeadBandA, b.Estimate.FullA} {
		if v != nil {
			scale(v)
		}
	}
	scale(&b.Estimate.AssumedDrawA, &b.Estimate.AssumedAh)
	i := &g.Inverter
	scale(&i.RatedW, &i.SearchDrawW, &i.OffDrawW, &i.ChargerA, &i.ACInputW)
	for n := range i.Short {
		scale(&i.Short[n][0])
	}
	for name, set := range g.Generators {
		scale(&set.RatedKW, &set.FuelStoreL, &set.StopTailA)
		g.Generators[name] = set
	}
	scale(&g.Controls.HousekeepingW, &b.Link.Gateway.DrawW)
	return &g
}

// A site of k times the watts, ampere-hours and amperes and a k-th of the ohms
// has the same hours, and k times the litres and kilowatt-hours.
func TestScalesWithItsSize(t *testing.T) {
	w, err := burlington()
	require.NoError(t, err)
	for name, patches := range stations {
		s := system(t, patches...)
		l := load(t, &s.Load, w)
		one := sim.Compile(&s.System, w, l).Run(false)
		for _, k := range []float64{2, .25} { // powers of two scale without rounding
			grownLoad := &sim.Load{}
			for _, c := range []struct{ from, to *[]float64 }{
				{&l.ACEssentialW, &grownLoad.ACEssentialW}, {&l.ACFlexibleW, &grownLoad.ACFlexibleW}, {&l.DCEssentialW, &grownLoad.DCEssentialW}, {&l.DCFlexibleW, &grownLoad.DCFlexibleW},
			} {
				if *c.from != nil {
					*c.to = column(len(*c.from), func(row int) float64 { return k * (*c.from)[row] })
				}
			}
			many := sim.Compile(grown(t, k, s), w, grownLoad).Run(false)
			f, g := one.Figures, many.Figures
			for figure, pair := range map[string][2]float64{
				"downtime_h": {f.DowntimeH, g.DowntimeH}, "generator_h": {f.GeneratorH, g.GeneratorH}, "longest_outage_h": {f.LongestOutageH, g.LongestOutageH},
				"equivalent_full_cycles": {f.EquivalentCycles, g.EquivalentCycles}, "lowest_soc_fraction": {f.LowestSoC, g.LowestSoC},
				"charge_blocked_cold_h": {f.ChargeBlockedColdH, g.ChargeBlockedColdH}, "at_charge_ceiling_h": {f.AtCeilingH, g.AtCeilingH},
				"charged_too_cold_h": {f.ChargedTooColdH, g.ChargedTooColdH}, "lowest_cell_c": {f.LowestCellC, g.LowestCellC},
				"fuel_l": {k * f.FuelL, g.FuelL}, "unserved_kwh": {k * f.UnservedKWh, g.UnservedKWh}, "curtailed_kwh": {k * f.CurtailedKWh, g.CurtailedKWh},
				"bank_resistive_kwh": {k * one.Books.BankResistiveKWh, many.Books.BankResistiveKWh}, "heater_kwh": {k * one.Books.HeaterKWh, many.Books.HeaterKWh},
			} {
				assert.InDelta(t, pair[0], pair[1], 5e-5*math.Max(1, math.Abs(pair[0])), "%s, %s times %g", name, figure, k)
			}
			assert.Equal(t, f.Trips, g.Trips, name)
			assert.Equal(t, f.GeneratorStarts, g.GeneratorStarts, name)
			assert.Equal(t, f.Restarts, g.Restarts, name)
		}
	}
}

// One plane in two halves, each on a charger of half the ratings and half the
// draw at night, gives the same year.
func TestPlaneInTwoHalves(t *testing.T) {
	for name, patches := range stations {
		base := append([]string{`{"array":{"planes":{"roof":{"rated_kw":8}}}}`}, patches...)
		s := system(t, base...)
		plane, charger := s.Array.Planes["roof"], s.Array.Chargers["south"]
		plane.RatedKW /= 2
		charger.RatedA, charger.RatedArrayKW, charger.NightDrawW = charger.RatedA/2, charger.RatedArrayKW/2, charger.NightDrawW/2
		halves := system(t, base...)
		halves.Bank.Settings.ChargeA /= 2 // the setting is that of each charger
		halves.Array.Planes["roof"], halves.Array.Chargers["south"] = plane, charger
		other := plane
		other.Charger = "other"
		halves.Array.Planes["wall"], halves.Array.Chargers["other"] = other, charger
		halves.Inverter.ChargerA, s.Inverter.ChargerA = 1, 1 // the AC charger has one setting of its own
		w, err := burlington()
		require.NoError(t, err)
		whole := sim.Compile(&s.System, w, load(t, &s.Load, w)).Run(false)
		split := sim.Compile(&halves.System, w, load(t, &halves.Load, w)).Run(false)
		for figure, pair := range map[string][2]float64{
			"downtime_h": {whole.Figures.DowntimeH, split.Figures.DowntimeH}, "curtailed_kwh": {whole.Figures.CurtailedKWh, split.Figures.CurtailedKWh},
			"generator_h": {whole.Figures.GeneratorH, split.Figures.GeneratorH}, "solar_available_kwh": {whole.Books.SolarAvailableKWh, split.Books.SolarAvailableKWh},
			"own_draw_kwh": {whole.Books.OwnDrawKWh, split.Books.OwnDrawKWh}, "equivalent_full_cycles": {whole.Figures.EquivalentCycles, split.Figures.EquivalentCycles},
		} {
			assert.InDelta(t, pair[0], pair[1], 1e-6*math.Max(1, math.Abs(pair[0])), "%s: %s", name, figure)
		}
	}
}

// Longitude and UTC offset shifted together leave the sun where it is on the
// clock, but for the hour's worth of declination: 0.1 %.
func TestShiftedMeridian(t *testing.T) {
	w, err := burlington()
	require.NoError(t, err)
	for name, patches := range map[string][]string{
		"voltage-only": {voltageOnly, undecided}, "two modules": {undecided, `{"bank":{"modules":2}}`},
	} {
		year := func(longitude, offset float64) *sim.Year {
			moved := *w
			moved.Site.LongitudeDeg, moved.Site.UTCOffsetH = longitude, offset
			s := system(t, append(patches, patch(`{"site":{"longitude_deg":%g,"utc_offset_h":%g}}`, longitude, offset))...)
			return sim.Compile(&s.System, &moved, load(t, &s.Load, &moved)).Run(false)
		}
		here := year(-73.15, -5)
		for _, hours := range []float64{-3, 1, 6} {
			there := year(-73.15+15*hours, -5+hours)
			assert.InEpsilon(t, here.Books.SolarAvailableKWh, there.Books.SolarAvailableKWh, 1e-3, "%s, %g h east", name, hours)
			assert.InDelta(t, here.Figures.DowntimeH, there.Figures.DowntimeH, max(.1, .001*here.Figures.DowntimeH), "%s, %g h east", name, hours)
			assert.InEpsilon(t, here.Figures.EquivalentCycles, there.Figures.EquivalentCycles, 1e-3, "%s, %g h east", name, hours)
		}
	}
}
