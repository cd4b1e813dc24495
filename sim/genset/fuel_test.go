package genset

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// diesel holds typical values of an 8 kW diesel set (common practice, no
// source).
func diesel() *Spec {
	return &Spec{
		RatedKW: 8, NoLoadLPerKWh: .060, SlopeLPerKWh: .27, MinLoadFraction: .3,
		MinRunS: 3600, MaxRunH: 8,
		AltitudeFreeM: 150, AltitudeFractionPer100M: -.01, HeatFreeC: 25, HeatFractionPC: -.002,
		StartSoCFraction: .25, StopSoCFraction: .8,
	}
}

// Skarstein & Uhlen 1989, Wind Engineering 13(2), 72: f0 .08145, f1 .246
// (from memory); litres a kWh at 10, 25, 50, 75 and 100 % of the rating.
func TestFuelLPerH_Published(t *testing.T) {
	s := &Spec{RatedKW: 20, NoLoadLPerKWh: .08145, SlopeLPerKWh: .246}
	for _, row := range []struct{ x, want float64 }{
		{.10, 1.0605}, {.25, .5718}, {.50, .4089}, {.75, .3546}, {1, .3275},
	} {
		kw := row.x * s.RatedKW
		assert.InDelta(t, row.want, s.FuelLPerH(kw)/kw, 5.1e-5, "%g of the rating", row.x)
	}
}

// Trade tables for 8 to 20 kW diesel sets fit an intercept of .039 to .061 and
// a slope of .257 to .284: at half load .335 to .406 l/kWh, at full load .296
// to .345 (common practice, no source).
func TestFuelLPerH_TradeTables(t *testing.T) {
	s := diesel()
	half, full := s.FuelLPerH(4)/4, s.FuelLPerH(8)/8
	assert.True(t, .335 <= half && half <= .406, "half load %g l/kWh", half)
	assert.True(t, .296 <= full && full <= .345, "full load %g l/kWh", full)
}

func TestFuelLPerH_MinimumLoad(t *testing.T) {
	s := diesel()
	assert.InDelta(t, 2.4, s.MinLoadKW(), 1e-12)
	assert.InDelta(t, .48, s.NoLoadFuelLPerH(), 1e-12)
	// By hand: .060·8 + .27·2.4 = 1.128 l/h.
	for _, kw := range []float64{0, 1, 2.4} {
		assert.InDelta(t, 1.128, s.FuelLPerH(kw), 1e-12, "%g kW", kw)
	}
	assert.InDelta(t, 1.56, s.FuelLPerH(4), 1e-12)
}

func TestFuelLPerH_NeverFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := diesel()
		a, b := rapid.Float64Range(0, 8).Draw(t, "a"), rapid.Float64Range(0, 8).Draw(t, "b")
		if a <= b && s.FuelLPerH(a) > s.FuelLPerH(b) {
			t.Fatalf("%g kW burns more than %g kW", a, b)
		}
	})
}

// −1 % per 100 m above 150 m, −2 % per 10 K above 25 °C: common practice, no
// source.
func TestRatedAtKW(t *testing.T) {
	for _, row := range []struct {
		name       string
		elevationM float64
		ambientC   float64
		want       float64
	}{
		{"cold, low", 0, -30, 8},
		{"at both limits", 150, 25, 8},
		{"1,000 m above", 1150, 20, 7.2},
		{"10 K above", 100, 35, 7.84},
		{"both multiply", 1150, 35, 7.056},
	} {
		t.Run(row.name, func(t *testing.T) {
			assert.InDelta(t, row.want, diesel().RatedAtKW(row.elevationM, row.ambientC), 1e-9)
		})
	}
	steep := diesel()
	steep.AltitudeFractionPer100M = -.1
	assert.Zero(t, steep.RatedAtKW(3000, 20), "never below nothing")
}

// A map of points on the line f0, f1 is the line; between other points it is
// straight, and on beyond them.
func TestFuelPoints(t *testing.T) {
	line, points := diesel(), diesel()
	points.FuelPoints = [][2]float64{{0, .48}, {4, 1.56}, {8, 2.64}}
	for _, kw := range []float64{0, 1, 2.4, 4, 5, 8, 9} {
		assert.InDelta(t, line.FuelLPerH(kw), points.FuelLPerH(kw), 1e-12, "%g kW", kw)
	}
	assert.InDelta(t, line.NoLoadFuelLPerH(), points.NoLoadFuelLPerH(), 1e-12)
	bent := &Spec{RatedKW: 8, FuelPoints: [][2]float64{{2, 1}, {4, 1.8}, {8, 3.8}}}
	for _, row := range []struct{ kw, want float64 }{{0, .2}, {2, 1}, {3, 1.4}, {4, 1.8}, {6, 2.8}, {9, 4.3}} {
		assert.InDelta(t, row.want, bent.FuelLPerH(row.kw), 1e-12, "%g kW", row.kw)
	}
	assert.InDelta(t, .2, bent.NoLoadFuelLPerH(), 1e-12)
}

// Dates and intervals of deliveries, counted from the first of January.
func TestDeliveries_Days(t *testing.T) {
	d := Deliveries{On: []string{"01-01", "03-01"}, EveryDays: 100}
	assert.Equal(t, []float64{0, 59, 100, 200, 300}, d.Days(2025))
	assert.Equal(t, []float64{0, 60, 100, 200, 300}, d.Days(2024))
}
