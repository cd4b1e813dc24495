package cost

import (
	"maps"
	"math"
	"slices"

	"bankyear/sim"
)

// Bill is what a system costs over the horizon. Amounts are in the currency of
// the prices.
type Bill struct {
	Currency     string   `json:"currency" doc:"What the amounts are in, as the prices say."`
	HorizonY     int      `json:"horizon_y" doc:"Years that are reckoned with."`
	DiscountRate float64  `json:"discount_rate_fraction" doc:"Discount rate, a year."`
	Annuity      float64  `json:"annuity_factor" doc:"Present value of 1 at the end of each year."`
	Capital      float64  `json:"capital" doc:"Paid at the start."`
	FuelAYear    float64  `json:"fuel_per_y" doc:"Fuel in each year."`
	ServiceAYear float64  `json:"service_per_y" doc:"Service of the generator in each year."`
	GridAYear    float64  `json:"grid_per_y" doc:"Energy of the grid in each year, by its tariff, which is in the same currency."`
	OtherAYear   float64  `json:"other_per_y" doc:"Deliveries of fuel, visits, remote view and somebody on site in each year."`
	Fuel         float64  `json:"fuel" doc:"Present value of the fuel."`
	Service      float64  `json:"service" doc:"Present value of the service."`
	Grid         float64  `json:"grid" doc:"Present value of the grid's energy."`
	Other        float64  `json:"other" doc:"Present value of the rest of what is paid each year."`
	Replacement  float64  `json:"replacement" doc:"Present value of what is bought again within the horizon."`
	Residual     float64  `json:"residual" doc:"Present value of what is left at the horizon: of each part, its price for the part of its life that is left."`
	PresentValue float64  `json:"present_value" doc:"capital + fuel + service + grid + other + replacement − residual."`
	ServedKWh    float64  `json:"served_kwh" doc:"Energy served in a year."`
	CostPerKWh   *float64 `json:"cost_per_kwh" doc:"present_value over annuity_factor times served_kwh; null when nothing is served."`
	Parts        []Part   `json:"parts" doc:"What is bought, and how long it lasts."`
	NotPriced    []string `json:"not_priced" doc:"What the system has or uses and the prices leave out: it counts as 0."`
	Formula      string   `json:"formula" doc:"How the present value is reckoned."`
}

// Part is what is bought of one kind.
type Part struct {
	Part         string   `json:"part" doc:"What it is."`
	Count        float64  `json:"count" doc:"How many, or how many kW."`
	Capital      float64  `json:"capital" doc:"What all of them cost."`
	LifeY        *float64 `json:"life_y" doc:"How long they last; null for ever."`
	LifeBy       string   `json:"life_by" doc:"What says so."`
	Replacements int      `json:"replacements" doc:"How often they are bought again within the horizon."`
	Replacement  float64  `json:"replacement" doc:"Present value of that."`
	Residual     float64  `json:"residual" doc:"Present value of what is left of them at the horizon."`
}

const formula = "present_value = capital + Σ replacement·(1 + r)^−t + a·(fuel + service + grid + other a year) − residual·(1 + r)^−N, a = (1 − (1 + r)^−N)/r; every year is like the simulated one, payments fall at its end; cost_per_kwh = present_value/(a·served_kwh)"

// Of is the bill of a system whose year was simulated. Prices are checked.
func Of(p *Prices, s *sim.System, y *sim.Year) *Bill {
	b := &Bill{Currency: p.Currency, HorizonY: p.HorizonY, DiscountRate: p.DiscountRate, Annuity: Annuity(p.DiscountRate, p.HorizonY), Formula: formula, Parts: []Part{}, NotPriced: []string{}}
	b.parts(p, s, y)
	b.running(p, s, y)
	b.Fuel, b.Service, b.Grid, b.Other = b.Annuity*b.FuelAYear, b.Annuity*b.ServiceAYear, b.Annuity*b.GridAYear, b.Annuity*b.OtherAYear
	b.PresentValue = b.Capital + b.Fuel + b.Service + b.Grid + b.Other + b.Replacement - b.Residual
	if b.ServedKWh = y.Books.LoadKWh - y.Books.UnservedKWh; b.ServedKWh > 0 {
		each := b.PresentValue / (b.Annuity * b.ServedKWh)
		b.CostPerKWh = &each
	}
	return b
}

// parts lists what is bought.
func (b *Bill) parts(p *Prices, s *sim.System, y *sim.Year) {
	f := &y.Figures
	years := func(x float64) life { return life{x, "as stated"} }
	electronic := years(p.ConverterLifeY)
	modules := float64(s.Bank.Modules)
	b.buy(p, "battery modules", modules, p.Module, moduleLife(p, s, f))
	kw, sensors := 0., 0.
	for _, name := range slices.Sorted(maps.Keys(s.Array.Planes)) { // a sum in one order
		kw += s.Array.Planes[name].RatedKW
	}
	for _, c := range s.Array.Chargers {
		if c.TemperatureSensor {
			sensors++
		}
	}
	b.buy(p, "array, kW", kw, p.ArrayPerKW, years(p.ArrayLifeY))
	b.buy(p, "solar chargers", float64(len(s.Array.Chargers)), p.SolarCharger, electronic)
	b.buy(p, "PV inverters", float64(len(s.Array.Inverters)), p.PVInverter, electronic)
	b.buy(p, "inverter-charger", float64(max(1, s.Inverter.Units)), p.Inverter, electronic)
	b.buy(p, "generators", float64(len(s.Generators)), p.Generator, generatorLife(p, f.GeneratorH/max(1, float64(len(s.Generators)))))
	linked := s.Bank.Operation == "data_linked"
	b.buy(p, "data link", count(linked), p.DataLink, electronic)
	b.buy(p, "gateway", count(linked && s.Bank.Link.Gateway.DrawW > 0), p.Gateway, electronic)
	b.buy(p, "module heaters", modules*count(s.Bank.Enclosure.HeaterW > 0), p.Heater, electronic)
	b.buy(p, "insulated cupboard", count(s.Bank.Enclosure.Kind == "insulated_cupboard"), p.Cupboard, life{math.Inf(1), "as the site"})
	b.buy(p, "temperature sensors", sensors, p.TemperatureSensor, electronic)
	b.buy(p, "works", count(p.Works > 0), p.Works, life{float64(p.HorizonY), "written off over the horizon"})
}

// running adds up what is paid each year.
func (b *Bill) running(p *Prices, s *sim.System, y *sim.Year) {
	f := &y.Figures
	b.FuelAYear = f.FuelL * p.FuelPerL
	b.GridAYear = f.GridCost
	b.ServiceAYear = Services(s, y) * p.Service
	deliveries := Deliveries(y)
	b.OtherAYear = deliveries * p.Delivery
	b.missing("deliveries of fuel", deliveries, p.Delivery)
	onSite, seen := s.Controls.Operator.OnSite != "never", s.Controls.RemoteView
	if !onSite { // with somebody on site they count as visits too
		b.OtherAYear += float64(f.Visits) * p.Visit
		b.missing("visits", float64(f.Visits), p.Visit)
	}
	b.OtherAYear += count(seen)*p.RemoteView + count(onSite)*p.Operator
	b.missing("fuel", f.FuelL, p.FuelPerL)
	b.missing("service of the generators", f.GeneratorH, p.Service)
	b.missing("energy of the grid", f.GridKWh, f.GridCost)
	b.missing("remote view", count(seen), p.RemoteView)
	b.missing("somebody on site", count(onSite), p.Operator)
}

// Services is how many services of generators a year like this one brings, as they
// add up over the years: parts of one too.
func Services(s *sim.System, y *sim.Year) (n float64) {
	for _, g := range y.Generators {
		n += g.Hours / s.Generators[g.Name].ServiceEveryH
	}
	return n
}

// Deliveries is how often fuel is brought.
func Deliveries(y *sim.Year) (n float64) {
	for _, g := range y.Generators {
		n += float64(g.Deliveries)
	}
	return n
}

// life is how long something lasts, years.
type life struct {
	years float64
	by    string
}

// buy adds a part.
func (b *Bill) buy(p *Prices, name string, n, price float64, l life) {
	b.missing(name, n, price)
	if n == 0 || price == 0 {
		return
	}
	part := Part{Part: name, Count: n, Capital: n * price, LifeBy: l.by}
	if !math.IsInf(l.years, 1) {
		part.LifeY = &l.years
	}
	part.Replacement, part.Replacements = replaced(part.Capital, l.years, p.DiscountRate, p.HorizonY)
	part.Residual = residual(part.Capital, l.years, p.DiscountRate, p.HorizonY, part.Replacements)
	b.Capital += part.Capital
	b.Replacement += part.Replacement
	b.Residual += part.Residual
	b.Parts = append(b.Parts, part)
}

func (b *Bill) missing(name string, n, price float64) {
	if n > 0 && price == 0 {
		b.NotPriced = append(b.NotPriced, name)
	}
}

// moduleLife is as stated, else by what is known of the chemistry.
func moduleLife(p *Prices, s *sim.System, f *sim.Figures) life {
	if p.ModuleLifeY > 0 {
		return life{p.ModuleLifeY, "as stated"}
	}
	l := s.Life(f)
	return life{l.Years, l.By}
}

// generatorLife is by the hours of the mean set or by years, whichever is over first.
func generatorLife(p *Prices, runH float64) life {
	if runH > 0 && p.GeneratorLifeH/runH < p.GeneratorLifeY {
		return life{p.GeneratorLifeH / runH, "generator_life_h"}
	}
	return life{p.GeneratorLifeY, "as stated"}
}

func count(is bool) float64 {
	if is {
		return 1
	}
	return 0
}
