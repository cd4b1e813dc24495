package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// acCoupled puts the base scenario's plane on a PV inverter.
const acCoupled = `{"array":{"planes":{"roof":{"charger":"pv"}},"chargers":null,"pv_inverters":{"pv":{"rated_w":7000}}}}`

// A constant sun on an ideal AC-coupled system, by hand: 1000 W of array at 96 %
// give 960 W AC; 400 W go to the load past the battery, 560 W through the AC
// charger into the bank.
func TestACCoupled_ByHand(t *testing.T) {
	w := steady(100) // 10 kW of array: 1000 W
	y := run(t, w, ac(w, 400), ideal, acCoupled, `{"bank":{"module":{"capacity_ah":10000},"modules":16,"initial_soc_fraction":0.1}}`)
	b := y.Books
	const hours = 8760.
	assert.InDelta(t, 1000*hours/1000, b.SolarAvailableKWh, 1e-6)
	assert.InDelta(t, 400*hours/1000, b.LoadFromSolarKWh, 1e-6)
	assert.InDelta(t, 560*hours/1000, b.SolarToBankKWh, 1e-6)
	assert.InDelta(t, 40*hours/1000, b.SolarLossKWh, 1e-6)
	assert.InDelta(t, 0, b.CurtailedKWh, 1e-6)
	assert.Zero(t, y.Figures.DowntimeH)
	assert.Zero(t, b.GeneratorKWh)
}

// At night the inverter carries the load from the bank; once the bank is run
// down and the inverter is off, a PV inverter has no bus to feed, and the site
// stays dark in the sun (common practice).
func TestACCoupled_NoBusToFeed(t *testing.T) {
	w := year(3600, func(row int) float64 {
		if row >= 24*5 && row%24 >= 8 && row%24 < 16 {
			return 300
		}
		return 0
	}, always(25))
	y := run(t, w, ac(w, 100), ideal, acCoupled, `{"controls":{"visit_response_h":8784,"low_end":{"stop_soc_fraction":0.25,"resume_soc_fraction":0.3}}}`)
	assert.InDelta(t, 8760-.75*51.2, y.Figures.DowntimeH, 1e-3)
	assert.InDelta(t, y.Books.SolarAvailableKWh, y.Books.CurtailedKWh, 1e-6)
}

// Books of the field station with half its array on the AC bus close, and serve
// about what the DC-coupled station serves.
func TestACCoupled_Year(t *testing.T) {
	whole := plan(t, `{"generators":null}`).Run(false)
	y := plan(t, `{"generators":null,"array":{"planes":{"roof":{"rated_kw":3.6},"shed":{"rated_kw":3.6,"tilt_deg":60,"azimuth_deg":180,"charger":"pv",
	  "losses":{"snow_fraction":[0.1,0.1,0.04,0,0,0,0,0,0,0,0.04,0.1]}}},"pv_inverters":{"pv":{"rated_w":3600}}}}`).Run(false)
	b := y.Books
	require.InDelta(t, whole.Books.SolarAvailableKWh, b.SolarAvailableKWh, 1e-6)
	assert.InDelta(t, b.SolarAvailableKWh, b.SolarToLoadKWh+b.SolarToBankKWh+b.SolarLossKWh+b.CurtailedKWh, 1e-9*b.SolarAvailableKWh)
	assert.InDelta(t, b.LoadKWh, b.LoadFromSolarKWh+b.LoadFromBankKWh+b.LoadFromGeneratorKWh+b.UnservedKWh, 1e-9*b.LoadKWh)
	sum := 0.
	for _, kwh := range y.Figures.CurtailedByCause {
		sum += kwh
	}
	assert.InDelta(t, b.CurtailedKWh, sum, 1e-9*b.CurtailedKWh)
	assert.InDelta(t, whole.Books.UnservedKWh, b.UnservedKWh, 0.02*b.LoadKWh)
	assert.Less(t, b.InverterOutKWh, whole.Books.InverterOutKWh, "load by day does not pass the inverter")
}
