package sim_test

import (
	"fmt"
	"testing"

	"bankyear/sim"
	"bankyear/weather"
)

// ideal makes of the base scenario a bank of 100 Ah at 51.2 V flat, with next
// to no resistance, chargers and an inverter without loss or draw, cells at
// 25 °C, a counter without error, no generator, no link fault, and no ceiling
// that matters. It is empty at SoC 0.
const ideal = `{
  "load": null,
  "array": {
    "planes": {"roof": {"rated_kw": 10, "power_fraction_per_c": 0, "incidence_modifier": "none",
      "losses": {"soiling_fraction": [0], "snow_fraction": [0], "mismatch_fraction": 0, "wiring_fraction": 0}}},
    "chargers": {"south": {"rated_a": 2000, "rated_array_kw": 1000, "efficiency_fraction": 1, "night_draw_w": 0}}
  },
  "bank": {
    "module": {
      "chemistry": "table", "open_circuit_by_soc_v": [[0, 3.2], [1, 3.2]],
      "resistance_ohm": 0.00001, "resistance_factor_by_c": [[25, 1]], "resistance_factor_by_soc": [[0.5, 1]],
      "capacity_factor_by_c": [[25, 1]], "coulombic_efficiency_fraction": 1, "self_discharge_per_month_fraction": 0, "bms_draw_w": 0,
      "worst_share": 1, "discharge_a": 5000,
      "data_linked": {"charge_a_by_c": [[25, 5000]], "charge_factor_by_soc": [[0.5, 1]]},
      "protection": {"charge_over_a": 5000}
    },
    "modules": 1, "operation": "data_linked", "cable_ohm": 0, "link_faults": null, "link": {"gateway": {"draw_w": 0}}, "estimate": {"kind": "exact"},
    "enclosure": {"kind": "fixed", "fixed_c": 25, "heater_w_per_module": 0}, "initial_soc_fraction": 1
  },
  "inverter": {"idle_fraction": 0, "linear_loss_fraction": 0, "quadratic_loss_fraction": 0, "off_draw_w": 0,
    "charger_efficiency_fraction": 1, "charger_a": 5000},
  "generators": null,
  "controls": {"housekeeping_w": 0, "settle_days": 0, "low_end": {"stop_soc_fraction": 0, "resume_soc_fraction": 0.001}}
}`

// topped lets the ideal bank's voltage rise to 56 V over its last .1 %, so that
// chargers know when it is full.
const topped = `{"bank":{"initial_soc_fraction":0.999,"module":{"open_circuit_by_soc_v":[[0,3.2],[0.999,3.2],[1,3.5]]}}}`

// year is a weather year of our own at the base scenario's site: irradiance in
// the plane and air temperature by row.
func year(stepS int, planeWM2, airC func(row int) float64) *weather.Year {
	w := &weather.Year{CalendarYear: 2025, StepS: stepS,
		Site: weather.Site{LatitudeDeg: 44.467, LongitudeDeg: -73.15, ElevationM: 101, UTCOffsetH: -5}}
	w.PlaneWM2, w.AmbientC, w.WindMS = column(w.Len(), planeWM2), column(w.Len(), airC), make([]float64, w.Len())
	return w
}

// always is a row's value that does not change.
func always(x float64) func(int) float64 { return func(int) float64 { return x } }

func column(n int, value func(row int) float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = value(i)
	}
	return out
}

// steady is an hourly year of one irradiance and 25 °C.
func steady(planeWM2 float64) *weather.Year { return year(3600, always(planeWM2), always(25)) }

// dc and ac are constant essential loads on the grid of a year.
func dc(w *weather.Year, watts float64) *sim.Load {
	return &sim.Load{DCEssentialW: column(w.Len(), always(watts))}
}

func ac(w *weather.Year, watts float64) *sim.Load {
	return &sim.Load{ACEssentialW: column(w.Len(), always(watts))}
}

// run simulates the base scenario with patches on a weather year and a load of
// our own, hours and outages recorded.
func run(t testing.TB, w *weather.Year, l *sim.Load, patches ...string) *sim.Year {
	t.Helper()
	return compile(t, w, l, patches...).Run(true)
}

// compile makes the plan of that.
func compile(t testing.TB, w *weather.Year, l *sim.Load, patches ...string) *sim.Plan {
	t.Helper()
	return sim.Compile(&system(t, patches...).System, w, l)
}

// patch writes numbers into a merge patch.
func patch(format string, numbers ...any) string { return fmt.Sprintf(format, numbers...) }

// values is one number column of the hours.
func values(t testing.TB, y *sim.Year, name string) []float32 {
	t.Helper()
	for i, c := range sim.NumberColumns() {
		if c.Name == name {
			return y.Hours.Values[i]
		}
	}
	t.Fatalf("no column %s", name)
	return nil
}
