package sim_test

import (
	"math"
	"slices"

	"bankyear/sim"
	"bankyear/weather"
)

// refCase is one system with the days that it is compared over: the first of
// the year, from a stated state of charge. After them there is neither sun nor
// load.
type refCase struct {
	name  string
	days  int
	patch string
	// sunWM2 is the plane's irradiance at noon, meanC and swingC the air, by
	// day; the last value holds for the rest.
	sunWM2, meanC, swingC []float64
	load                  func(day, hour int) refLoad
	starts                []sim.Start // on in the hours of startsOn
	startsOn              func(day, hour int) bool
	shifts                []sim.Shift // in the hours of shiftsOn
	shiftsOn              func(day, hour int) bool
	// outageS and soc widen the tolerances where times are ill-conditioned. The
	// reference notices up to half a second early or late; what half a second of charge
	// at 60 A holds, a discharge at 6 A takes five seconds for.
	outageS, soc float64
}

// refLoad is the load of one hour, W.
type refLoad struct{ ac, acFlexible, dc, dcFlexible float64 }

// refBase is what the cases patch: a small site on the equator, so that the sun
// is up from 6 to 18 all year.
const refBase = `{
	"site": {"latitude_deg": 0, "longitude_deg": 0, "elevation_m": 0, "utc_offset_h": 0},
	"array": {"planes": {"roof": {"rated_kw": 4, "tilt_deg": 0, "losses": null}}},
	"bank": {"modules": 2, "initial_soc_fraction": 0.5, "link_faults": {"mean_hours_between": 0},
		"enclosure": {"kind": "outdoor", "heater_w_per_module": 0}},
	"generators": {"main": null},
	"controls": {"settle_days": 0}
}`

// refDiesel gives a case the generator, whose starts never fail.
const refDiesel = `{"inverter": {"charger_a": 40}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null,
	"start_soc_fraction": 0.25, "stop_soc_fraction": 0.8}}}`

// inputs are the weather year and the load of the case.
func (c *refCase) inputs(s *sim.System) (*weather.Year, *sim.Load) {
	w := &weather.Year{Site: s.Site, CalendarYear: 2025, StepS: 3600}
	l := &sim.Load{}
	l.Starts = slices.Clone(c.starts)
	for k := range l.Starts {
		l.Starts[k].On = make([]bool, 8760)
		for i := range 24 * c.days {
			l.Starts[k].On[i] = c.startsOn(i/24, i%24)
		}
	}
	l.Shifts = slices.Clone(c.shifts)
	for k := range l.Shifts {
		l.Shifts[k].On = make([]float64, 8760)
		for i := range 24 * c.days {
			if c.shiftsOn(i/24, i%24) {
				l.Shifts[k].On[i] = 1
			}
		}
	}
	on := func(list []float64, day int) float64 {
		if len(list) == 0 {
			return 0
		}
		return list[min(day, len(list)-1)]
	}
	for i := range 8760 {
		day, hour := i/24, i%24
		plane, load := 0.0, refLoad{}
		if day < c.days {
			load = c.load(day, hour)
			if hour >= 6 && hour < 18 {
				plane = on(c.sunWM2, day) * math.Sin(math.Pi*(float64(hour)-5.5)/12)
			}
		}
		w.PlaneWM2 = append(w.PlaneWM2, plane)
		// Coldest at 5, warmest at 17.
		w.AmbientC = append(w.AmbientC, on(c.meanC, day)-on(c.swingC, day)*math.Cos(2*math.Pi*float64(hour-5)/24))
		w.WindMS = append(w.WindMS, 1)
		l.ACEssentialW = append(l.ACEssentialW, load.ac)
		l.ACFlexibleW = append(l.ACFlexibleW, load.acFlexible)
		l.DCEssentialW = append(l.DCEssentialW, load.dc)
		l.DCFlexibleW = append(l.DCFlexibleW, load.dcFlexible)
	}
	return w, l
}

// evening is one load from 17 to 22 and another at all other hours.
func evening(day, peak float64) func(int, int) refLoad {
	return func(_, hour int) refLoad {
		if hour >= 17 && hour < 22 {
			return refLoad{ac: peak}
		}
		return refLoad{ac: day}
	}
}

// refAcidBank is a case's lead-acid bank.
const refAcidBank = `{"bank": {"operation": "voltage_only", "modules": 1, "initial_soc_fraction": 0.7, "module": {"key": "lead_acid_vented_24s_400ah"}}}`

// refDeaf is two solar chargers of which the link reaches one.
const refDeaf = `{"bank": {"modules": 4}, "array": {
	"planes": {"roof": {"rated_kw": 4, "charger": "south"}, "wall": {"rated_kw": 5, "tilt_deg": 30, "azimuth_deg": 0, "charger": "wall"}},
	"chargers": {"wall": {"key": "solar_charger_60a", "hears_link": false}}}}`

// refDeafLost is that with a link whose loss stops those that hear it.
const refDeafLost = `{"bank": {"modules": 4, "on_link_loss": "charge_stops", "link_faults": {"listed": [{"start": "2025-01-02T09:10", "hours": 30}]}}, "array": {
	"planes": {"roof": {"rated_kw": 4, "charger": "south"}, "wall": {"rated_kw": 5, "tilt_deg": 30, "azimuth_deg": 0, "charger": "wall"}},
	"chargers": {"wall": {"key": "solar_charger_60a", "hears_link": false}}}}`
