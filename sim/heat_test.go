package sim_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

// One module of 45 kJ/K behind 1 K/W: a time constant of 45,000 s.
const lump = `{"bank":{"module":{"heat_capacity_kj_per_c":45},"enclosure":{"kind":"outdoor","surface_c_per_w":1,"heater_w_per_module":0}}}`

const tau = 45000. // s

// step is air that changes once, from the year's first row to all others.
func step(first, then float64) func(int) float64 {
	return func(row int) float64 {
		if row == 0 {
			return first
		}
		return then
	}
}

// Cells that cool from 20 °C toward −10 °C pass 0 °C after τ·ln(30/10), and a
// data-linked bank takes no charge from then on.
func TestCellsCoolExponentially(t *testing.T) {
	for _, stepS := range []int{3600, 600} {
		for _, c := range []struct{ from, to float64 }{{20, -10}, {5, -30}, {1, -1}} {
			w := year(stepS, always(51), step(c.from, c.to))
			y := run(t, w, dc(w, 500), ideal, lump, // 10 W of surplus: 0.2 A, no heat to speak of
				`{"bank":{"initial_soc_fraction":0.2,"module":{"data_linked":{"charge_a_by_c":[[0,0],[0,10]]}}}}`)
			cold := float64(stepS) + tau*math.Log((c.from-c.to)/(0-c.to))
			assert.InDelta(t, 8760-cold/3600, y.Figures.ChargeBlockedColdH, 1e-4, "%+v", c)
			assert.InDelta(t, c.to, y.Figures.LowestCellC, 1e-6)
			assert.InDelta(t, c.from, y.Figures.HighestCellC, 1e-6)
		}
	}
}

// Resistive loss of a constant current: T = T_env + R_th·I²R·(1 − e^(−t/τ)).
func TestCellsWarmByLoss(t *testing.T) {
	w := steady(0)
	const e, r, p = 51.2, .1, 1000.
	i := (e - math.Sqrt(e*e-4*r*p)) / (2 * r)
	y := run(t, w, dc(w, p), ideal, lump, `{"bank":{"module":{"resistance_ohm":0.1}}}`)
	only, at := onlyDark(t, y)
	assert.InDelta(t, 100*3600/i, at, 1e-3)
	assert.InDelta(t, 25+i*i*r*(1-math.Exp(-at/tau)), only.CellC, 1e-6)
	assert.InDelta(t, only.CellC, y.Figures.HighestCellC, 1e-9)
}

// A heater of 80 W in air of −10 °C, toward 70 °C while it is on: on at 3 °C,
// off at 8 °C, energy by hand.
func TestHeaterCycles(t *testing.T) {
	w := year(3600, always(58), always(-10)) // 580 W: load and heater
	y := run(t, w, dc(w, 500), ideal, topped, lump, `{"bank":{"enclosure":{"heater_w_per_module":80,"heater_on_c":3,"heater_off_c":8}}}`)
	first := tau * math.Log((70+10.)/(70-8)) // from −10 °C
	cool, warm := tau*math.Log((8+10.)/(3+10)), tau*math.Log((70-3.)/(70-8))
	left := 8760*3600 - first
	n := math.Floor(left / (cool + warm))
	on := first + n*warm + max(0, left-n*(cool+warm)-cool)
	assert.InDelta(t, 80*on/3.6e6, y.Books.HeaterKWh, .02)
	assert.InDelta(t, 8, y.Figures.HighestCellC, 1e-6)
}

// From sources only, the heater takes what they can give up to its power: 50 W
// of sun here; from the bank too it has all of it (common practice).
func TestHeaterFromSources(t *testing.T) {
	w := year(3600, func(row int) float64 { return 5 * float64(row%24/12) }, always(-30))
	for from, kwh := range map[string]float64{"sources": .05 * 12 * 10, "sources_and_bank": .08 * 24 * 10} {
		y := run(t, w, dc(w, 0), ideal, lump, `{"bank":{"modules":4,"initial_soc_fraction":1,"module":{"data_linked":{"charge_a_by_c":[[0,0],[0,10]]}},
		  "enclosure":{"surface_c_per_w":0.3,"heater_w_per_module":20,"heater_from":"`+from+`"}}}`)
		sum := 0.
		for _, watts := range values(t, y, "heater_w")[:240] {
			sum += float64(watts) / 1000
		}
		assert.InDelta(t, kwh, sum, 1e-6, from)
	}
}

// A heater of 80 W that runs all year: beside 50 W of sun from 12 to 24 h the bank
// gives it 30 W then and 80 W at night, beside 150 W of load nothing else; the grid
// carries what the sun does not.
func TestHeaterBySource(t *testing.T) {
	w := year(3600, func(row int) float64 { return 5 * float64(row%24/12) }, always(-30))
	const on = `{"bank":{"modules":4,"module":{"capacity_ah":10000,"protection":{"charge_cold_c":-60,"charge_cold_release_c":-59,"discharge_cold_c":-80,"discharge_cold_release_c":-79}},
	  "enclosure":{"kind":"outdoor","surface_c_per_w":0.1,"heater_w_per_module":20,"heater_from":"sources_and_bank"}}}`
	b := run(t, w, dc(w, 150), ideal, on).Books
	assert.InDelta(t, .05*12*365, b.HeaterSolarKWh, 1e-6)
	assert.InDelta(t, (.03+.08)*12*365, b.HeaterBankKWh, 1e-6)
	assert.Zero(t, b.HeaterGeneratorKWh+b.HeaterGridKWh)
	b = run(t, w, dc(w, 150), ideal, on, `{"bank":{"enclosure":{"heater_from":"sources"}}}`).Books
	assert.InDelta(t, .05*12*365, b.HeaterSolarKWh, 1e-6)
	assert.InDelta(t, 0, b.HeaterBankKWh, 1e-9)
	b = run(t, w, dc(w, 150), ideal, topped, on, `{"grid":{"limit_w":3000}}`).Books
	assert.InDelta(t, .05*12*365, b.HeaterSolarKWh, 1e-3, "a second passes until the grid is on load")
	assert.InDelta(t, (.03+.08)*12*365, b.HeaterGridKWh, 1e-3)
	closeBooks(t, &b)
}

// Full cells refuse: 10 W of surplus, which no table of theirs tells of, is curtailed but
// for the hundredth of the capacity at most that lifts their voltage to what the BMS asks
// for, and warms nothing.
func TestFullCellsRefuse(t *testing.T) {
	w := steady(51)
	y := run(t, w, dc(w, 500), ideal, lump, `{"bank":{"module":{"open_circuit_by_soc_v":[[0,3.2],[1,3.2]]}}}`)
	assert.InDelta(t, 25, y.Figures.HighestCellC, 1e-3)
	assert.InDelta(t, .01*8760, y.Figures.CurtailedKWh, .06)
	assert.Zero(t, y.Books.BankCoulombicKWh)
	assert.LessOrEqual(t, slices.Max(values(t, y, "soc_fraction")), float32(1))
}

// Held at a voltage V above the end of its table, a full bank's open-circuit voltage rises
// to V by e^(−λt), λ = g/R, with g of 1 V a cell over a hundredth of the capacity: what
// goes in then is (V − E)·C/100 over the cells, whatever R is.
func TestFullCellsTakeWhatLiftsTheirVoltage(t *testing.T) {
	w := steady(1000)
	for _, ohm := range []float64{.01, .05} {
		y := run(t, w, dc(w, 500), ideal, `{"bank":{"operation":"voltage_only","initial_soc_fraction":1,"module":{"open_circuit_by_soc_v":[[0,3.2],[1,3.4]]},
			"settings":{"absorb_v":56,"float_v":56,"restart_charge_v":50,"tail_a":0,"absorb_max_s":86400,"charge_a":1000}},"controls":{"settle_days":0}}`,
			patch(`{"bank":{"module":{"resistance_ohm":%g}}}`, ohm))
		const ah = (56 - 3.4*16) / 16 / 100 * 100
		flat := y.Books
		// stored at the mean of 54.4 and 56 V, and as much again lost in the resistance as a
		// capacitor's charge loses there: ½·(56 − 54.4)·Ah
		assert.InDelta(t, ah*(56+54.4)/2/1000, flat.BankStoredKWh, 1e-6)
		assert.InDelta(t, ah*(56-54.4)/2/1000, flat.BankResistiveKWh, 2e-5)
	}
}

// The hours give the mean of a row: T∞ + (T − T∞)(1 − e^(−t/τ))/(t/τ).
func TestMeanCellTemperatureOfTheHour(t *testing.T) {
	w := year(3600, always(0), step(20, -10))
	y := run(t, w, dc(w, 0), ideal, lump)
	mean, a := values(t, y, "bank_c"), 3600/tau
	for row := 1; row < 48; row++ {
		before := -10 + 30*math.Exp(-float64(row-1)*a)
		assert.InDelta(t, -10+(before+10)*(1-math.Exp(-a))/a, mean[row], 1e-4, "row %d", row)
	}
}
