package sim_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
	"bankyear/weather"
)

// beamOnly is a year of 800 W/m² of beam and no other light while the sun is
// up, at a latitude on the meridian of its clock.
func beamOnly(latitudeDeg float64) (*weather.Year, *weather.Sun) {
	w := &weather.Year{CalendarYear: 2025, StepS: 3600, Site: weather.Site{LatitudeDeg: latitudeDeg}}
	sun, n := w.Sun(), w.Len()
	w.GHI, w.DNI, w.DHI = make([]float64, n), make([]float64, n), make([]float64, n)
	w.AmbientC, w.WindMS = column(n, always(25)), make([]float64, n)
	for i := range n {
		if sun.CosZenith[i] > 0 {
			w.DNI[i], w.GHI[i] = 800, 800*sun.CosZenith[i]
		}
	}
	return w, sun
}

// turning makes the ideal plane a lone tracker.
func turning(axisDeg float64) string {
	return patch(`{"site":{"latitude_deg":0,"longitude_deg":0,"utc_offset_h":0},
	  "sky":{"albedo_fraction":0},"array":{"planes":{"roof":{"tilt_deg":90,"azimuth_deg":%g,"tracker":{"ground_cover_fraction":0}}}}}`, axisDeg)
}

// On the day of the equinox (20 March 2025) the sun of the equator goes up in
// the east, through the zenith and down in the west: a plane that turns about a
// north-south axis faces it all day, one about an east-west axis lies flat
// (geometry). The declination is under .2° that day.
func TestTracker_Equinox(t *testing.T) {
	w, sun := beamOnly(0)
	northSouth := run(t, w, dc(w, 1), ideal, turning(0))
	other := run(t, w, dc(w, 1), ideal, turning(180))
	eastWest := run(t, w, dc(w, 1), ideal, turning(90))
	for i := 78 * 24; i < 79*24; i++ {
		want := 0.
		if sun.CosZenith[i] > 0 {
			want = 800
		}
		assert.InDelta(t, want, values(t, northSouth, "plane_w_m2")[i], .02, "north-south, hour %d", i%24)
		assert.InDelta(t, want*10, values(t, northSouth, "solar_available_w")[i], .2, "10 kW without loss, hour %d", i%24)
		assert.InDelta(t, want, values(t, other, "plane_w_m2")[i], .02, "the other end of the axis, hour %d", i%24)
		assert.InDelta(t, want*math.Max(0, sun.CosZenith[i]), values(t, eastWest, "plane_w_m2")[i], .3, "east-west, hour %d", i%24)
	}
	total := func(y *sim.Year) float64 { return y.Books.SolarAvailableKWh }
	assert.Greater(t, total(northSouth), total(eastWest))
}

// All year and in real weather the plane receives what the weather package puts
// on such a tracker, rows that shade each other turned back.
func TestTracker_RealWeather(t *testing.T) {
	w, err := burlington()
	require.NoError(t, err)
	y := run(t, w, ac(w, 100), `{"array":{"planes":{"roof":{"tilt_deg":55,"azimuth_deg":170,"tracker":{"ground_cover_fraction":0.4}}}}}`)
	on := w.OnPlane(w.Sun(), weather.Plane{Tracker: &weather.Tracker{AxisAzimuthDeg: 170, MaxTiltDeg: 55, GroundCoverFraction: .4}},
		weather.Sky{Model: weather.Perez1990, Split: weather.Erbs1982, AlbedoFraction: .2})
	got := values(t, y, "plane_w_m2")
	for i, want := range on.Total() {
		require.InDelta(t, want, got[i], 1e-3, "row %d", i)
	}
	fixed := run(t, w, ac(w, 100))
	lone := run(t, w, ac(w, 100), `{"array":{"planes":{"roof":{"tilt_deg":60,"tracker":{"ground_cover_fraction":0}}}}}`)
	assert.Greater(t, lone.Books.SolarAvailableKWh, y.Books.SolarAvailableKWh, "a lone row sees more than one among rows")
	assert.Greater(t, lone.Books.SolarAvailableKWh, 1.05*fixed.Books.SolarAvailableKWh, "and more than a fixed plane (common practice, no source)")
}

// A loss by snow that is stated for 60° goes with the tilt, and the answer says
// what it came to.
func TestSnow_ByTilt(t *testing.T) {
	const stated = `{"array":{"planes":{"roof":{"tilt_deg":30,"losses":{"snow_fraction":[0.25,0.25,0.1,0,0,0,0,0,0,0,0.1,0.25]}}}}}`
	const scaled = `{"array":{"planes":{"roof":{"tilt_deg":30,"losses":{"snow_fraction":null,"snow_at_60_deg_fraction":[0.1,0.1,0.04,0,0,0,0,0,0,0,0.04,0.1]}}}}}`
	assert.InDelta(t, plan(t, stated).Run(false).Books.SolarAvailableKWh, plan(t, scaled).Run(false).Books.SolarAvailableKWh, 1e-6)

	find := func(s *scenario) (out []sim.Filled) {
		for _, f := range s.Complete() {
			if f.Pointer == "/array/planes/roof/losses/snow_fraction" {
				out = append(out, f)
			}
		}
		return out
	}
	list := find(system(t, scaled))
	require.Len(t, list, 1, "Complete again lists it again: it follows from the tilt")
	assert.InDeltaSlice(t, []float64{.25, .25, .1, 0, 0, 0, 0, 0, 0, 0, .1, .25}, list[0].Value, 1e-12)
	assert.Contains(t, list[0].Basis, "snow_at_60_deg_fraction")
	assert.Empty(t, find(system(t, stated)))
	none := system(t, `{"array":{"planes":{"roof":{"losses":{"snow_fraction":null}}}}}`)
	assert.Equal(t, []float64{0}, none.Array.Planes["roof"].Losses.SnowFraction)
}

// A steeper plane holds less snow, so that the relief is worth more where snow
// is left to the tilt.
func TestSnow_SteeperRelief(t *testing.T) {
	steeper := func(patches ...string) float64 {
		s := system(t, patches...)
		for _, r := range sim.Reliefs(&s.System) {
			if r.Name == "steeper_array" {
				p := r.Lift(&s.System).Array.Planes["roof"]
				return p.SnowFraction()[0]
			}
		}
		t.Fatal("no such relief")
		return 0
	}
	assert.InDelta(t, .1, steeper(), 1e-12, "stated: as it is")
	assert.InDelta(t, .025, steeper(`{"array":{"planes":{"roof":{"losses":{"snow_fraction":null,"snow_at_60_deg_fraction":[0.1]}}}}}`), 1e-12, "75°: a quarter")
}

// The single-diode model of a module whose power falls by .42 %/K gives, over
// a cold year, what the temperature coefficient gives within 3 %.
func TestSingleDiode_Year(t *testing.T) {
	const sheet = `{"array":{"planes":{"roof":{"single_diode":{"short_circuit_a":9.43,"open_circuit_v":38.3,"highest_power_a":8.71,"highest_power_v":31.0,
	  "short_circuit_fraction_per_c":0.0006,"open_circuit_fraction_per_c":-0.0036}}}}}`
	want := plan(t, `{"array":{"planes":{"roof":{"power_fraction_per_c":-0.0042}}}}`).Run(false).Books.SolarAvailableKWh
	got := plan(t, sheet).Run(false).Books.SolarAvailableKWh
	assert.InEpsilon(t, want, got, .03)
	assert.NotEqual(t, want, got)
	t.Logf("%.0f kWh by the diode, %.0f kWh by the coefficient", got, want)
}

// A plane of less than a microwatt gives nothing: its watts have not the digits that a
// charge needs, and a heater and an empty bank beside it would come to no number.
func TestArrayOfNothing(t *testing.T) {
	site := `{"array":{"planes":{"roof":{"rated_kw":%s}}},"generators":null,"load":{"scale_to_kwh_per_day":1},
	  "bank":{"modules":1,"enclosure":{"kind":"outdoor","heater_w_per_module":1},"module":{"capacity_ah":50,"hysteresis":{"turn_fraction":0.25,"width_v":0.03125}}}}`
	none := plan(t, fmt.Sprintf(site, "0")).Run(true)
	for _, kw := range []string{"1.9e-308", "1e-300", "1e-10"} {
		requireSame(t, none, plan(t, fmt.Sprintf(site, kw)).Run(true))
	}
}

// Nor does an AC charger of no current that has digits.
func TestChargerOfNothing(t *testing.T) {
	y := plan(t, `{"array":{"chargers":{"south":{"rated_a":20,"temperature_sensor":false}},"planes":{"roof":{"rated_kw":1}}},
	  "bank":{"enclosure":{"fixed_c":1,"heater_from":"sources","heater_w_per_module":1,"kind":"outdoor"},"estimate":{"kind":"bms"},"link":{"after_loss":"pushed_kept","gateway":{"faults":{"mean_hours_between":1000}}},"link_faults":{"mean_hours_between":200,"mean_repair_h":1,"seed":0},"module":{"bms_draw_w":1,"capacity_ah":50,"coulombic_efficiency_fraction":1,"disconnect":"directional","resistance_ohm":0.1,"worst_share":1},"modules":1,"on_link_loss":"bank_opens","on_link_return":"follow","operation":"data_linked"},
	  "controls":{"chargers_hold_bus":false,"housekeeping_w":0.5660400390625,"low_end":{"lock_out_count":5,"return_needs_charge":false},"operator":{"does":["reset","wake_bank","start_generator","bypass_inverter"],"on_site":"never","response_h":2.8689294582945877},"remote_view":false,"settle_days":5},
	  "generators":{"main":{"before_no_start":null,"cool_down_s":1,"failed_start_fraction":0.3,"max_run_h":1,"min_run_s":6.705522537231445e-06,"no_start_hours":null,"override_when_dark":false,"start_delay_s":1,"start_soc_fraction":0.4,"stop_soc_fraction":1,"stop_tail_a":0.5}},
	  "grid":null,
	  "inverter":{"charger_a":8.544283616667653e-306,"idle_fraction":0.02,"max_v":59,"passes_through_without_bank":false},
	  "load":{"scale_to_kwh_per_day":1}}`).Run(true)
	assert.False(t, math.IsNaN(y.Figures.LowestCellC))
	assert.Greater(t, y.Figures.DowntimeH, 100.)
}
