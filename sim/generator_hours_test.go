package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// diesel is the catalogue's set (8 kW, .060 l/h for each kW rated + .27 l/kWh,
// minimum load 30 %, start delay 30 s, warm-up 3 min, cool-down 5 min) at an
// ideal bank, with starts that never fail and no longest run.
const diesel = `{"generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "min_run_s": 0, "max_run_h": 8784, "exercise": {"run_s": 0}, "stop_refused_s": 0}}}`

// A bank that takes no charge leaves the generator to carry the load for the
// rest of the year once it is asked for: hours and litres by hand.
func TestGeneratorCarriesEverything(t *testing.T) {
	w := steady(0)
	const delay, warm = 30 / 3600., 180 / 3600.
	for _, c := range []struct{ load, fuelKW, dumpedKW float64 }{{3000, 3, 0}, {2400, 2.4, 0}, {1000, 2.4, 1.4}} {
		y := run(t, w, ac(w, c.load), ideal, diesel,
			`{"bank":{"initial_soc_fraction":0.5,"module":{"data_linked":{"charge_a_by_c":[[25,0]]}}},"generators":{"main":{"start_soc_fraction":0.6}}}`)
		f, b := y.Figures, y.Books
		loaded := 8760 - delay - warm
		assert.InDelta(t, 8760-delay, f.GeneratorH, 1e-6, "%+v", c)
		assert.InDelta(t, .06*8*(8760-delay)+.27*c.fuelKW*loaded, f.FuelL, 1e-4, "%+v", c)
		assert.Equal(t, 1, f.GeneratorStarts)
		assert.InDelta(t, c.load/1000*loaded, b.LoadFromGeneratorKWh, 1e-6)
		assert.InDelta(t, c.load/1000*(delay+warm), b.LoadFromBankKWh, 1e-6)
		assert.InDelta(t, c.dumpedKW*loaded, b.GeneratorDumpedKWh, 1e-6)
		assert.InDelta(t, c.fuelKW*loaded, b.GeneratorKWh, 1e-6)
		assert.Zero(t, f.DowntimeH)
	}
	// while it does, the inverter has no idle loss: the charger's efficiency holds it
	y := run(t, w, ac(w, 3000), ideal, diesel, `{"bank":{"initial_soc_fraction":0.5,"module":{"data_linked":{"charge_a_by_c":[[25,0]]}}},
	  "generators":{"main":{"start_soc_fraction":0.6}},"inverter":{"idle_fraction":0.007}}`)
	assert.Zero(t, y.Books.GeneratorToLoadKWh)
	assert.InDelta(t, .042*(delay+warm), y.Books.InverterLossKWh, 1e-6)
}

// An ideal bank goes up and down between start and stop: 6.4 kW of AC input
// (80 % of the rating) less the load of 1 kW charge it, the load alone takes it
// down, also in the start delay, the warm-up and the cool-down.
func TestGeneratorCycles(t *testing.T) {
	w := steady(0)
	for _, c := range []struct{ coolS, eta float64 }{{300, 1}, {0, 1}, {300, .93}} {
		y := run(t, w, ac(w, 1000), ideal, diesel, `{"bank":{"initial_soc_fraction":0.25}}`,
			patch(`{"inverter":{"charger_efficiency_fraction":%g},"generators":{"main":{"cool_down_s":%g}}}`, c.eta, c.coolS))
		const e, r, delay, warm = 51.2, 1e-5, 30 / 3600., 180 / 3600.
		amperes := func(watts float64) float64 { return (-e + math.Sqrt(e*e+4*r*watts)) / (2 * r) }
		load := -amperes(-1000)
		low := 25 - load*(delay+warm) // Ah
		charge := (80 - low) / amperes(5400*c.eta)
		period := delay + warm + charge + (80-25)/load
		n := math.Floor(8760 / period)
		left := 8760 - n*period
		part := func(from, length float64) float64 { return n*length + min(max(0, left-from), length) }
		hours := part(delay, warm+charge+c.coolS/3600)
		assert.InDelta(t, hours, y.Figures.GeneratorH, 1e-3, "%+v", c)
		assert.InDelta(t, .06*8*hours+.27*6.4*part(delay+warm, charge), y.Figures.FuelL, 1e-2, "%+v", c)
		assert.InDelta(t, n, y.Figures.GeneratorStarts, 1, "%+v", c)
		assert.Zero(t, y.Figures.DowntimeH)
	}
}
