package sim_test

import (
	"math"
	"testing"

	"bankyear/sim"
)

// refColumn is a column of the hours and what the reference has for it.
type refColumn struct {
	name string
	of   func(h *refHour) float64
}

// Columns that are powers or amounts: their sums are compared, in proportion to
// what went through.
var refEnergies = []refColumn{
	{"solar_available_w", func(h *refHour) float64 { return h.available / 3600 }},
	{"solar_used_w", func(h *refHour) float64 { return h.used / 3600 }},
	{"curtailed_w", func(h *refHour) float64 { return h.curtailed / 3600 }},
	{"load_w", func(h *refHour) float64 { return h.load / 3600 }},
	{"served_w", func(h *refHour) float64 { return h.served / 3600 }},
	{"bank_w", func(h *refHour) float64 { return h.bank / 3600 }},
	{"bank_a", func(h *refHour) float64 { return h.bankA / 3600 }},
	{"generator_w", func(h *refHour) float64 { return h.gen / 3600 }},
	{"grid_w", func(h *refHour) float64 { return h.grid / 3600 }},
	{"fuel_l", func(h *refHour) float64 { return h.fuel }},
	{"inverter_loss_w", func(h *refHour) float64 { return h.invLoss / 3600 }},
	{"heater_w", func(h *refHour) float64 { return h.heater / 3600 }},
}

// compareHours compares the hour columns.
func compareHours(t *testing.T, r *reference, y *sim.Year, near within) {
	t.Helper()
	columns := map[string][]float32{}
	for i, c := range sim.NumberColumns() {
		columns[c.Name] = y.Hours.Values[i]
	}
	for _, c := range refEnergies {
		got, want, through, most := 0.0, 0.0, 0.0, 0.0
		for i := range r.hours {
			x := c.of(&r.hours[i])
			got += float64(columns[c.name][i])
			want += x
			through += math.Abs(x)
			most = max(most, math.Abs(x))
		}
		events := near.outageS / 3600 * float64(len(r.dark)) * most // each may be shifted
		if math.Abs(got-want) > near.energy*through+events+1e-3 {
			t.Errorf("%s: %s sums to %.4f, reference %.4f of %.4f", near.name, c.name, got, want, through)
		}
	}
	heat, sun := 0.0, 0.0 // of January, which has sun on the compared days only
	for i := range r.hours {
		heat, sun = heat+r.hours[i].heater/3.6e6, sun+r.hours[i].heaterSun/3.6e6
	}
	if got := y.Months()[0].Books.HeaterSolarKWh; math.Abs(got-sun) > near.energy*heat+1e-3 {
		t.Errorf("%s: the sun gave the heater %.4f kWh, reference %.4f", near.name, got, sun)
	}
	for _, c := range []struct {
		refColumn
		within float64
	}{
		{refColumn{"soc_fraction", func(h *refHour) float64 { return h.soc }}, near.soc},
		{refColumn{"reported_soc_fraction", func(h *refHour) float64 { return h.believed }}, near.believed},
		{refColumn{"bank_c", func(h *refHour) float64 { return h.cellC }}, near.cellC},
		{refColumn{"bank_v", func(h *refHour) float64 { return h.volts }}, near.volts},
	} {
		for i := range r.hours {
			if got, want := float64(columns[c.name][i]), c.of(&r.hours[i]); math.Abs(got-want) > c.within {
				t.Errorf("%s: %s of day %d hour %d is %.5f, reference %.5f", near.name, c.name, i/24, i%24, got, want)
				break
			}
		}
	}
	for _, cause := range sim.DowntimeCauses() {
		got, want, name := 0.0, 0.0, "downtime_"+cause.String()+"_fraction"
		for i := range r.hours {
			got += float64(columns[name][i]) * 3600
			want += r.hours[i].downBy[cause]
		}
		if math.Abs(got-want) > near.outageS*float64(2*len(r.dark)+1)+1e-3*want {
			t.Errorf("%s: dark by %s for %.0f s, reference %.0f s", near.name, cause, got, want)
		}
	}
}
