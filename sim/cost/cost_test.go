package cost

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bankyear/sim"
	"bankyear/sim/array"
	"bankyear/sim/bank"
	"bankyear/sim/genset"
)

// Uniform-series present-worth factors as interest tables of engineering economy
// print them (for example Newnan, Eschenbach & Lavelle, Engineering Economic
// Analysis, appendix; from memory).
func TestAnnuity_Tables(t *testing.T) {
	for _, x := range []struct {
		rate float64
		n    int
		want float64
	}{{.08, 10, 6.7101}, {.10, 5, 3.7908}, {.05, 20, 12.4622}, {.06, 15, 9.7122}, {.12, 25, 7.8431}, {0, 20, 20}} {
		assert.InDelta(t, x.want, Annuity(x.rate, x.n), 5e-5, "%v", x)
	}
	assert.InDelta(t, .3769, Discount(.05, 20), 5e-5, "single-payment present-worth factor, the same tables")
}

// The factor is the sum that it stands for.
func TestAnnuity_IsTheSum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate, n := rapid.Float64Range(0, 1).Draw(t, "rate"), rapid.IntRange(1, 50).Draw(t, "n")
		sum := 0.
		for year := 1; year <= n; year++ {
			sum += math.Pow(1+rate, -float64(year))
		}
		assert.InEpsilon(t, sum, Annuity(rate, n), 1e-6)
	})
}

func TestReplaced(t *testing.T) {
	present, times := replaced(100, 10, 0, 20)
	assert.Equal(t, []float64{100, 1}, []float64{present, float64(times)}, "bought again at 10, not at the end")
	assert.Zero(t, residual(100, 10, 0, 20, times))
	present, times = replaced(100, 8, .05, 20)
	assert.Equal(t, 2, times)
	assert.InDelta(t, 100*(1/math.Pow(1.05, 8)+1/math.Pow(1.05, 16)), present, 1e-9)
	assert.InDelta(t, 50*Discount(.05, 20), residual(100, 8, .05, 20, times), 1e-9, "4 of 8 years are left")
	present, times = replaced(100, math.Inf(1), .05, 20)
	assert.Zero(t, present)
	assert.InDelta(t, 100*Discount(.05, 20), residual(100, math.Inf(1), .05, 20, times), 1e-9)
	present, times = replaced(100, 25, .05, 20)
	assert.Zero(t, present)
	assert.Zero(t, times)
}

// Without residual value (lives that end with the horizon) and at one price a
// kWh, the cost per kWh is what makes income and cost have the same present
// value: the identity that defines a levelised cost.
func TestOf_WorkedByHand(t *testing.T) {
	p := &Prices{Currency: "crowns", Module: 1000, ArrayPerKW: 500, Generator: 4000, FuelPerL: 2, Service: 100, Visit: 300, Delivery: 50,
		DiscountRate: .05, HorizonY: 20, ModuleLifeY: 10, ArrayLifeY: 20, ConverterLifeY: 20, GeneratorLifeH: 10000, GeneratorLifeY: 20}
	s := &sim.System{Bank: bank.Spec{Modules: 4}, Array: array.Spec{Planes: map[string]array.Plane{"a": {RatedKW: 3}, "b": {RatedKW: 1.5}}},
		Generators: map[string]genset.Spec{"main": {ServiceEveryH: 250}}, Controls: sim.Controls{Operator: sim.Operator{OnSite: "never"}}}
	y := &sim.Year{Figures: sim.Figures{FuelL: 100, GeneratorH: 500, Visits: 2, GridCost: 30, GridKWh: 100}, Generators: []sim.GeneratorYear{{Name: "main", Hours: 500, Deliveries: 1}}, Books: sim.Books{LoadKWh: 3000, UnservedKWh: 100}}
	b := Of(p, s, y)
	assert.InDelta(t, 4000+2250+4000, b.Capital, 1e-9)
	assert.InDelta(t, 200, b.FuelAYear, 1e-9)
	assert.InDelta(t, 200, b.ServiceAYear, 1e-9, "two services")
	assert.InDelta(t, 650, b.OtherAYear, 1e-9, "two visits and a delivery")
	assert.InDelta(t, 30, b.GridAYear, 1e-9)
	assert.InDelta(t, 4000*.6139, b.Replacement, .5, "the bank again after 10 years, (P/F, 5 %, 10) = 0.6139 of the tables")
	assert.InDelta(t, 0, b.Residual, 1e-9, "every life ends with the horizon")
	want := 10250 + 4000*Discount(.05, 10) + 12.46221*(200+200+650+30)
	assert.InDelta(t, want, b.PresentValue, .1)
	require.NotNil(t, b.CostPerKWh)
	income := 0.
	for year := 1; year <= 20; year++ {
		income += *b.CostPerKWh * 2900 * math.Pow(1.05, -float64(year))
	}
	assert.InEpsilon(t, b.PresentValue, income, 1e-9)
	assert.Equal(t, []string{"inverter-charger"}, b.NotPriced)
	assert.Equal(t, "crowns", b.Currency)

	s.Bank.Operation, s.Bank.Link.Gateway.DrawW = "data_linked", 5
	assert.Equal(t, []string{"inverter-charger", "data link", "gateway"}, Of(p, s, y).NotPriced)
	p.Gateway, p.DataLink = 200, 100
	assert.InDelta(t, 10250+300, Of(p, s, y).Capital, 1e-9)
	s.Bank.Link.Gateway.DrawW = 0
	assert.InDelta(t, 10250+100, Of(p, s, y).Capital, 1e-9, "no gateway")
	s.Bank.Operation = "voltage_only"

	y.Figures.GeneratorH = 1000
	b = Of(p, s, y)
	assert.Equal(t, "generator_life_h", b.Parts[2].LifeBy)
	assert.InDelta(t, 10, *b.Parts[2].LifeY, 1e-9)
	assert.Equal(t, 1, b.Parts[2].Replacements)
}

// The life of the modules: as stated, else by wear, else by what ends first of what is known
// of the chemistry.
func TestModuleLife(t *testing.T) {
	s := &sim.System{Bank: bank.Spec{Modules: 2, Module: bank.Module{WarrantyYears: 10, WarrantyMWh: 16}}}
	f := &sim.Figures{YearsTo80Pct: 14, WarrantyShare: .2}
	assert.Equal(t, life{7, "as stated"}, moduleLife(&Prices{ModuleLifeY: 7}, s, f))
	assert.Equal(t, life{14, "years_to_80_pct"}, moduleLife(&Prices{}, s, f))
	f.YearsTo80Pct = 0
	assert.Equal(t, life{5, "warranty in MWh"}, moduleLife(&Prices{}, s, f))
	f.YearsByCycles, f.YearsOnFloat = 8, 11
	assert.Equal(t, life{8, "years_by_cycles"}, moduleLife(&Prices{}, s, f), "lead-acid that is cycled")
	f.YearsByCycles = 30
	assert.Equal(t, life{11, "years_on_float"}, moduleLife(&Prices{}, s, f), "lead-acid that stands, beyond its warranty")
	f.YearsOnFloat = 0
	assert.Equal(t, life{10, "warranty in years"}, moduleLife(&Prices{}, s, f), "no law of calendar ageing")
	f.YearsByCycles = 6
	assert.Equal(t, life{6, "years_by_cycles"}, moduleLife(&Prices{}, s, f))
	f.YearsByCycles, f.WarrantyShare = 0, .01
	assert.Equal(t, life{10, "warranty in years"}, moduleLife(&Prices{}, s, f))
}
