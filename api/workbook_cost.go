package api

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"bankyear/api/document"
	"bankyear/api/workbook"
	"bankyear/sim"
	"bankyear/sim/cost"
	"bankyear/sim/fault"
)

// partPrices says which price is that of a part of a bill.
var partPrices = map[string]string{
	"battery modules": "module_each", "array, kW": "array_per_kw", "solar chargers": "solar_charger_each", "PV inverters": "pv_inverter_each",
	"inverter-charger": "inverter_each", "generators": "generator_each", "data link": "data_link", "module heaters": "heater_each",
	"insulated cupboard": "insulated_cupboard", "temperature sensors": "temperature_sensor_each", "works": "works",
}

// costParts are the parts that a candidate may have, in the order of a bill.
var costParts = []string{"battery modules", "array, kW", "solar chargers", "PV inverters", "inverter-charger", "generators", "data link", "module heaters", "insulated cupboard", "temperature sensors", "works"}

// costRow is a row of the sheet of costs that the summary repeats.
type costRow struct {
	name, unit string
	row        int
	values     []any
}

// costBook is the sheet of costs while it is written: the law of package cost as
// formulas, candidate by candidate.
type costBook struct {
	*comparisonBook
	s     *workbook.Sheet
	money string
	price map[string]int // row of each price
	bills []*cost.Bill   // with the prices that are entered
	units []*cost.Bill   // with every price 1: how many there are of each part
	given []*cost.Prices
}

func (b *comparisonBook) writeCost(s *workbook.Sheet) {
	prices := make([]*cost.Prices, len(b.names))
	x := &costBook{comparisonBook: b, s: s, money: "currency", price: map[string]int{}, given: prices}
	for i, c := range b.cases {
		if prices[i] = c.Prices; prices[i] == nil {
			prices[i] = noPrices()
		}
		if prices[i].Currency != "" {
			x.money = prices[i].Currency
		}
		a := b.c.Candidates[i].Answer
		year := &sim.Year{Figures: a.Figures, Books: a.Books, Generators: a.Sets}
		x.bills = append(x.bills, cost.Of(prices[i], &c.System, year))
		x.units = append(x.units, cost.Of(unitPrices(*prices[i]), &c.System, year))
	}
	s.Row(workbook.Title("Cost"))
	b.heads(s, "Prices: enter them in the coloured cells", "unit")
	x.writePrices(prices)
	parts := x.writeParts()
	x.writeSums(parts, x.writeYears())
}

// noPrices are those that nobody has stated: 0, with the defaults of lives, rate
// and horizon.
func noPrices() *cost.Prices {
	var p cost.Prices
	none, _ := document.Parse([]byte(`{"currency":""}`))
	if _, faults := document.Decode(none, &p); len(faults) > 0 {
		panic("api: prices: " + faults.Error())
	}
	return &p
}

// unitPrices are the same with a price of 1 for every part.
func unitPrices(p cost.Prices) *cost.Prices {
	v := reflect.ValueOf(&p).Elem()
	for _, f := range reflect.VisibleFields(v.Type()) {
		for _, name := range partPrices {
			if memberName(f) == name {
				v.FieldByIndex(f.Index).SetFloat(1)
			}
		}
	}
	return &p
}

// writePrices writes what somebody may enter. Candidates with the same price take
// it from the first.
func (x *costBook) writePrices(prices []*cost.Prices) {
	for _, f := range reflect.VisibleFields(reflect.TypeFor[cost.Prices]()) {
		name := memberName(f)
		value := func(i int) any {
			v := reflect.ValueOf(prices[i]).Elem().FieldByIndex(f.Index)
			if name == "module_life_y" && v.Float() == 0 {
				return nil // left out: as the year says
			}
			return v.Interface()
		}
		if name == "currency" {
			continue
		}
		row := x.s.Next()
		x.price[name] = row
		line := []any{name, x.unitOf(name)}
		for i := range x.names {
			cell := any(workbook.Entered{Value: value(i)})
			if i > 0 && value(i) == value(0) {
				cell = workbook.Formula{Rounded: true, Text: workbook.Cell(columnOf(0), row), Value: value(0)}
				if value(0) == nil {
					cell = workbook.Formula{Rounded: true, Text: fmt.Sprintf("IF(%[1]s=\"\",\"\",%[1]s)", workbook.Cell(columnOf(0), row)), Value: ""}
				}
			}
			line = append(line, cell)
		}
		x.s.Row(append(line, f.Tag.Get("doc"))...)
	}
}

func (x *costBook) unitOf(name string) string {
	if unit := fault.UnitOf(name); strings.HasSuffix(name, "_y") && !strings.Contains(name, "_per_") || strings.HasSuffix(name, "_h") || strings.HasSuffix(name, "_fraction") {
		return unit
	}
	return x.money
}

// inColumn is the cell of a candidate in a row.
func inColumn(row, i int) string { return workbook.Cell(columnOf(i), row) }

// p is the cell of a price.
func (x *costBook) p(name string, i int) string { return inColumn(x.price[name], i) }

// part finds a part in a bill.
func part(b *cost.Bill, name string) cost.Part {
	for _, p := range b.Parts {
		if p.Part == name {
			return p
		}
	}
	return cost.Part{}
}

// block writes a row for each part, and gives the first one's number.
func (x *costBook) block(head, unit string, cell func(name string, k, i int) any) int {
	x.s.Row()
	x.heads(x.s, head, "unit")
	first := x.s.Next()
	for k, name := range costParts {
		x.line(x.s, name, unit, func(i int) any { return cell(name, k, i) })
	}
	return first
}

// partBlocks are the first rows of the blocks of parts.
type partBlocks struct{ count, life, capital, times, again, left int }

func (x *costBook) writeParts() (b partBlocks) {
	price := func(name string, i int) float64 {
		return part(x.bills[i], name).Capital / max(part(x.units[i], name).Capital, 1e-300)
	}
	b.count = x.block("How many", "", func(name string, _, i int) any { return part(x.units[i], name).Count })
	b.life = x.block("How long they last; nothing is for ever", "y", func(name string, _, i int) any { return x.life(name, i) })
	b.capital = x.block("Paid at the start", x.money, func(name string, k, i int) any {
		return workbook.Formula{Rounded: true, Text: inColumn(b.count+k, i) + "*" + x.p(partPrices[name], i), Value: part(x.bills[i], name).Capital}
	})
	b.times = x.block("How often they are bought again", "", func(name string, k, i int) any {
		return workbook.Formula{Rounded: true, Text: fmt.Sprintf(`IF(%[1]s="",0,MAX(0,ROUNDUP((%[2]s-0.000000001)/%[1]s,0)-1))`, inColumn(b.life+k, i), x.p("horizon_y", i)), Value: x.times(name, i)}
	})
	b.again = x.block("That, present value", x.money, func(name string, k, i int) any {
		// The sum of (1 + r)^−kL over k = 1 … n, as a geometric series.
		return workbook.Formula{Rounded: true, Text: fmt.Sprintf(`%[1]s*IF(%[2]s=0,0,IF(%[3]s=0,%[2]s,(1+%[3]s)^(-%[4]s)*(1-(1+%[3]s)^(-%[4]s*%[2]s))/(1-(1+%[3]s)^(-%[4]s))))`,
			inColumn(b.capital+k, i), inColumn(b.times+k, i), x.p("discount_rate_fraction", i), inColumn(b.life+k, i)), Value: part(x.units[i], name).Replacement * price(name, i)}
	})
	b.left = x.block("What is left of them at the end, present value", x.money, func(name string, k, i int) any {
		return workbook.Formula{Rounded: true, Text: fmt.Sprintf(`%[1]s*IF(%[2]s="",1,MAX(0,1-(%[3]s-%[4]s*%[2]s)/%[2]s))*(1+%[5]s)^(-%[3]s)`,
			inColumn(b.capital+k, i), inColumn(b.life+k, i), x.p("horizon_y", i), inColumn(b.times+k, i), x.p("discount_rate_fraction", i)), Value: part(x.units[i], name).Residual * price(name, i)}
	})
	return b
}

// life is how long a part lasts; empty for ever.
func (x *costBook) life(name string, i int) any {
	is := any("")
	if years := x.years(name, i); years > 0 {
		is = years
	}
	switch name {
	case "battery modules":
		otherwise := `""`
		if years := x.moduleYears(i); years > 0 {
			otherwise = number(years)
		}
		return workbook.Formula{Rounded: true, Text: fmt.Sprintf(`IF(%[1]s="",%[2]s,%[1]s)`, x.p("module_life_y", i), otherwise), Value: is}
	case "array, kW":
		return workbook.Formula{Rounded: true, Text: x.p("array_life_y", i), Value: is}
	case "generators":
		generatorH := workbook.On(figuresSheet, inColumn(x.figureRow["generator_h"], i)) + "/" + number(max(1, float64(len(x.cases[i].System.Generators))))
		return workbook.Formula{Rounded: true, Text: fmt.Sprintf("IF(%[1]s>0,MIN(%[2]s/(%[1]s),%[3]s),%[3]s)", generatorH, x.p("generator_life_h", i), x.p("generator_life_y", i)), Value: is}
	case "insulated cupboard":
		return nil
	case "works":
		return workbook.Formula{Rounded: true, Text: x.p("horizon_y", i), Value: is}
	}
	return workbook.Formula{Rounded: true, Text: x.p("converter_life_y", i), Value: is}
}

// moduleYears is how long the modules last when nobody states it, 0 for ever.
func (x *costBook) moduleYears(i int) float64 {
	p := *x.given[i]
	p.ModuleLifeY = 0
	a := x.c.Candidates[i].Answer
	if life := part(cost.Of(unitPrices(p), &x.cases[i].System, &sim.Year{Figures: a.Figures, Books: a.Books}), "battery modules").LifeY; life != nil {
		return *life
	}
	return 0
}

// years is how long a part lasts with the prices that are entered, 0 for ever.
func (x *costBook) years(name string, i int) float64 {
	p := x.given[i]
	switch name {
	case "battery modules":
		if p.ModuleLifeY > 0 {
			return p.ModuleLifeY
		}
		return x.moduleYears(i)
	case "array, kW":
		return p.ArrayLifeY
	case "generators":
		if h := x.c.Candidates[i].Answer.Figures.GeneratorH / max(1, float64(len(x.cases[i].System.Generators))); h > 0 {
			return min(p.GeneratorLifeH/h, p.GeneratorLifeY)
		}
		return p.GeneratorLifeY
	case "insulated cupboard":
		return 0
	case "works":
		return float64(p.HorizonY)
	}
	return p.ConverterLifeY
}

// times is how often a part is bought again.
func (x *costBook) times(name string, i int) float64 {
	years := x.years(name, i)
	if years == 0 {
		return 0
	}
	return max(0, math.Ceil((float64(x.given[i].HorizonY)-1e-9)/years)-1)
}

// yearRows are the rows of what is paid each year.
type yearRows struct{ fuel, service, grid, other, served int }

func (x *costBook) writeYears() (r yearRows) {
	x.s.Row()
	x.heads(x.s, "A year", "unit")
	figure := func(name string) int {
		return x.line(x.s, name, fault.UnitOf(name), func(i int) any {
			return workbook.Formula{Rounded: true, Text: workbook.On(figuresSheet, inColumn(x.figureRow[name], i)), Value: x.row(name).Values[x.names[i]]}
		})
	}
	fuelL := figure("fuel_l")
	year := func(i int) *sim.Year { return &sim.Year{Generators: x.c.Candidates[i].Answer.Sets} }
	services := x.line(x.s, "services of the generators, by running hours", "", func(i int) any { return cost.Services(&x.cases[i].System, year(i)) })
	deliveries := x.line(x.s, "deliveries of fuel", "", func(i int) any { return cost.Deliveries(year(i)) })
	operator := func(i int) *sim.System { return &x.cases[i].System }
	visits := x.line(x.s, "visits that are paid", "", func(i int) any {
		if operator(i).Controls.Operator.OnSite != "never" {
			return 0
		}
		return x.c.Candidates[i].Answer.Figures.Visits
	})
	seen := x.line(x.s, "remote view", "", func(i int) any { return oneIf(operator(i).Controls.RemoteView) })
	onSite := x.line(x.s, "somebody on site", "", func(i int) any { return oneIf(operator(i).Controls.Operator.OnSite != "never") })
	r.served = x.line(x.s, "energy served", "kWh", func(i int) any { return x.bills[i].ServedKWh })
	r.fuel = x.line(x.s, "fuel", x.money, func(i int) any {
		return workbook.Formula{Rounded: true, Text: inColumn(fuelL, i) + "*" + x.p("fuel_per_l", i), Value: x.bills[i].FuelAYear}
	})
	r.service = x.line(x.s, "service of the generator", x.money, func(i int) any {
		return workbook.Formula{Rounded: true, Text: inColumn(services, i) + "*" + x.p("generator_service_each", i), Value: x.bills[i].ServiceAYear}
	})
	r.grid = x.line(x.s, "energy of the grid, by its tariff", x.money, func(i int) any { return x.bills[i].GridAYear })
	r.other = x.line(x.s, "deliveries, visits, remote view, somebody on site", x.money, func(i int) any {
		return workbook.Formula{Rounded: true, Text: fmt.Sprintf("%s*%s+%s*%s+%s*%s+%s*%s", inColumn(deliveries, i), x.p("fuel_delivery_each", i), inColumn(visits, i), x.p("visit_each", i), inColumn(seen, i), x.p("remote_view_per_y", i), inColumn(onSite, i), x.p("operator_per_y", i)), Value: x.bills[i].OtherAYear}
	})
	return r
}

func oneIf(is bool) int {
	if is {
		return 1
	}
	return 0
}

// row finds a figure of the comparison.
func (b *comparisonBook) row(name string) *FigureRow {
	return &b.c.Figures[slices.IndexFunc(b.c.Figures, func(f FigureRow) bool { return f.Figure == name })]
}

// writeSums writes the present value, and remembers the rows for the summary.
func (x *costBook) writeSums(parts partBlocks, years yearRows) {
	x.s.Row()
	x.heads(x.s, "Over the horizon", "unit")
	add := func(name, unit string, cell func(i int) workbook.Formula) int {
		row := costRow{name: name, unit: unit, row: x.s.Next()}
		line := []any{name, unit}
		for i := range x.names {
			f := cell(i)
			row.values, line = append(row.values, f.Value), append(line, f)
		}
		x.s.Row(line...)
		x.cost = append(x.cost, row)
		return row.row
	}
	of := func(block int, total func(*cost.Bill) float64) func(i int) workbook.Formula {
		return func(i int) workbook.Formula {
			return workbook.Formula{Rounded: true, Text: "SUM(" + inColumn(block, i) + ":" + inColumn(block+len(costParts)-1, i) + ")", Value: total(x.bills[i])}
		}
	}
	annuity := x.line(x.s, "annuity factor", "", func(i int) any {
		return workbook.Formula{Rounded: true, Text: fmt.Sprintf("IF(%[1]s=0,%[2]s,(1-(1+%[1]s)^(-%[2]s))/%[1]s)", x.p("discount_rate_fraction", i), x.p("horizon_y", i)), Value: x.bills[i].Annuity}
	})
	each := func(row int, total func(*cost.Bill) float64) func(i int) workbook.Formula {
		return func(i int) workbook.Formula {
			return workbook.Formula{Rounded: true, Text: inColumn(annuity, i) + "*" + inColumn(row, i), Value: total(x.bills[i])}
		}
	}
	capital := add("capital", x.money, of(parts.capital, func(b *cost.Bill) float64 { return b.Capital }))
	fuel := add("fuel, present value", x.money, each(years.fuel, func(b *cost.Bill) float64 { return b.Fuel }))
	service := add("service, present value", x.money, each(years.service, func(b *cost.Bill) float64 { return b.Service }))
	net := add("energy of the grid, present value", x.money, each(years.grid, func(b *cost.Bill) float64 { return b.Grid }))
	other := add("visits and the like, present value", x.money, each(years.other, func(b *cost.Bill) float64 { return b.Other }))
	again := add("bought again, present value", x.money, of(parts.again, func(b *cost.Bill) float64 { return b.Replacement }))
	left := add("left at the end, present value", x.money, of(parts.left, func(b *cost.Bill) float64 { return b.Residual }))
	present := add("present value", x.money, func(i int) workbook.Formula {
		return workbook.Formula{Rounded: true, Text: fmt.Sprintf("%s+%s+%s+%s+%s+%s-%s", inColumn(capital, i), inColumn(fuel, i), inColumn(service, i), inColumn(net, i), inColumn(other, i), inColumn(again, i), inColumn(left, i)), Value: x.bills[i].PresentValue}
	})
	add("cost of a kWh served", x.money+"/kWh", func(i int) workbook.Formula {
		value := any("")
		if x.bills[i].CostPerKWh != nil {
			value = *x.bills[i].CostPerKWh
		}
		return workbook.Formula{Rounded: true, Text: fmt.Sprintf(`IF(%[1]s>0,%[2]s/(%[3]s*%[1]s),"")`, inColumn(years.served, i), inColumn(present, i), inColumn(annuity, i)), Value: value}
	})
	add("present value, against "+x.c.Reference, x.money, func(i int) workbook.Formula {
		return workbook.Formula{Rounded: true, Text: inColumn(present, i) + "-" + inColumn(present, 0), Value: x.bills[i].PresentValue - x.bills[0].PresentValue}
	})
}
