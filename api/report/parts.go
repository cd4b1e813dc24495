package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"bankyear/sim"
	"bankyear/sim/cost"
)

// years draws how dark other years are.
func (p *paper) years() {
	if len(p.Years) != len(p.Banks) {
		return
	}
	const row, left = 7., 9.
	p.heading(words.yearsTitle, float64(len(p.Banks))*row+20)
	for i, sorted := range p.Years {
		p.paragraph(yearsSay(i, len(p.Banks), sorted, p.Banks[i].Year.Figures.DowntimeH))
	}
	most := 1.
	for i, sorted := range p.Years {
		most = max(most, slices.Max(sorted), p.Banks[i].Year.Figures.DowntimeH)
	}
	step := niceStep(most / 5)
	full := math.Ceil(most/step) * step
	at := func(h float64) float64 { return side + left + (p.inner-left-4)*h/full }
	p.room(float64(len(p.Banks))*row + 8)
	base := p.y + float64(len(p.Banks))*row + 2
	for v := 0.; v <= full+1e-9; v += step {
		p.line(at(v), p.y, at(v), base, rule, hairline)
		p.font(sans, "", 6.5, soft)
		p.putMiddle(at(v), base+3, round(v)+" h")
	}
	for i, sorted := range p.Years {
		y := p.y + 2 + float64(i)*row
		if len(p.Banks) > 1 {
			p.font(serif, "B", 10, ofBank[i])
			p.put(side, y+4, letters[i])
		}
		for k, h := range sorted {
			p.fill(at(h)-0.45, y+float64(k%5)*1.1, 0.9, 0.9, ofBank[i])
		}
		p.pdf.SetDrawColor(ofBank[i][0], ofBank[i][1], ofBank[i][2])
		p.pdf.SetLineWidth(0.4)
		p.pdf.Rect(at(p.Banks[i].Year.Figures.DowntimeH)-1.1, y+1.5, 2.2, 2.2, "D")
	}
	p.y = base + 4
	p.note(words.yearsNote)
}

// attended tells the dark time with somebody on site and with nobody.
func (p *paper) attended() {
	if !slices.ContainsFunc(p.Banks, func(b Bank) bool { return b.People[0].H > 0 || b.People[1].H > 0 }) {
		return
	}
	p.heading(words.aloneTitle, 20)
	var rows [][]string
	for i := range p.Banks {
		with, without := p.Banks[i].People[0], p.Banks[i].People[1]
		rows = append(rows, []string{capital(NameOf(i, len(p.Banks))), p.Units.quantity(with.H, "h"), p.Units.quantity(without.H, "h"), count(with.Visits, "time") + " / " + count(without.Visits, "time")})
	}
	p.table([]column{{head: "", part: 2, ink: ink}, {head: "Dark, attended", part: 1.2, right: true, ink: ink}, {head: "Dark, nobody there", part: 1.4, right: true, ink: ink}, {head: "Somebody acted", part: 1.8, right: true, ink: ink}}, rows, 9)
}

// reserve tells how long each bank lasts and what breaks first.
func (p *paper) reserve() {
	p.heading(words.reserveTitle, 20)
	for i := range p.Banks {
		if len(p.Banks) > 1 {
			p.bankName(i)
		}
		p.bullets(p.Banks[i].Reserve)
	}
}

// money is what each system costs.
func (p *paper) money() {
	if slices.ContainsFunc(p.Banks, func(b Bank) bool { return b.Money == nil }) {
		return
	}
	first := p.Banks[0].Money
	p.heading(words.moneyTitle, 40)
	p.note(fmt.Sprintf("In %s over %s, later payments discounted by %s a year; every year like this one.", first.Currency, count(first.HorizonY, "year"), percent(first.DiscountRate)))
	columns := []column{{head: first.Currency, part: 3, ink: ink}}
	for i := range p.Banks {
		columns = append(columns, column{head: letters[i], part: 1.2, right: true, ink: ofBank[i]})
	}
	var rows [][]string
	for _, line := range []struct {
		name string
		of   func(*cost.Bill) float64
	}{
		{"Paid at the start", func(b *cost.Bill) float64 { return b.Capital }}, {"Fuel", func(b *cost.Bill) float64 { return b.Fuel }}, {"Service of the generator", func(b *cost.Bill) float64 { return b.Service }},
		{"Visits and people", func(b *cost.Bill) float64 { return b.Other }}, {"Bought again", func(b *cost.Bill) float64 { return b.Replacement }}, {"Left at the end", func(b *cost.Bill) float64 { return -b.Residual }},
		{"Present value", func(b *cost.Bill) float64 { return b.PresentValue }},
	} {
		row := []string{line.name}
		for i := range p.Banks {
			row = append(row, round(line.of(p.Banks[i].Money)))
		}
		rows = append(rows, row)
	}
	row := []string{"Cost of a kWh served"}
	missing := map[string]bool{}
	for i := range p.Banks {
		b := p.Banks[i].Money
		if b.CostPerKWh == nil {
			row = append(row, "–")
		} else {
			row = append(row, number(*b.CostPerKWh))
		}
		for _, name := range b.NotPriced {
			missing[name] = true
		}
	}
	p.table(columns, append(rows, row), 9)
	if len(missing) > 0 {
		p.note("Not priced, and counted as 0: " + strings.Join(sortedKeys(missing), ", ") + ".")
	}
}

// limits draws what each limit costs.
func (p *paper) limits() {
	type row struct {
		doc    string
		values []float64
	}
	var rows []row
	for i := range p.Banks {
		for _, r := range p.Banks[i].Reliefs {
			k := slices.IndexFunc(rows, func(x row) bool { return x.doc == r.Doc })
			if k < 0 {
				rows = append(rows, row{r.Doc, make([]float64, len(p.Banks))})
				k = len(rows) - 1
			}
			rows[k].values[i] = r.SavesH
		}
	}
	rows = slices.DeleteFunc(rows, func(r row) bool {
		return !slices.ContainsFunc(r.values, func(x float64) bool { return math.Abs(x) >= 0.05 })
	})
	if len(rows) == 0 {
		return
	}
	slices.SortStableFunc(rows, func(a, b row) int { return cmp.Compare(slices.Max(b.values), slices.Max(a.values)) })
	p.heading(words.reliefsTitle, 30)
	p.note(words.reliefsNote)
	p.y += 1
	var names []string
	var values [][]float64
	for _, r := range rows {
		names, values = append(names, r.doc), append(values, r.values)
	}
	p.bars(names, values, "h")
}

// pictures are the charts of the year.
func (p *paper) pictures() {
	p.causes(words.causesTitle, "h", func(b *Bank) map[string]float64 { return b.Year.Figures.DowntimeByCauseH })
	if slices.ContainsFunc(p.Banks, func(b Bank) bool { return b.Year.Figures.DowntimeH > 0 }) {
		p.grid()
	}
	p.charge()
	p.cells()
	p.stack(words.servedTitle, words.monthsNote, []layer{
		{"sun, at that moment", sun, func(m *sim.Month) float64 { return m.Books.LoadFromSolarKWh }},
		{"bank", fromBank, func(m *sim.Month) float64 { return m.Books.LoadFromBankKWh }},
		{"generator", generator, func(m *sim.Month) float64 { return m.Books.LoadFromGeneratorKWh }},
		{"grid", grid, func(m *sim.Month) float64 { return m.Books.LoadFromGridKWh }},
		{"not served", dark, func(m *sim.Month) float64 { return m.Books.UnservedKWh }},
	})
	full := func(m *sim.Month) float64 { return m.CurtailedByCause["bank_full"] }
	p.stack(words.solarTitle, words.monthsNote, []layer{
		{"to consumers", sun, func(m *sim.Month) float64 { return m.Books.SolarToLoadKWh }},
		{"into the bank", fromBank, func(m *sim.Month) float64 { return m.Books.SolarToBankKWh }},
		{"lost in chargers", loss, func(m *sim.Month) float64 { return m.Books.SolarLossKWh }},
		{"not needed: the bank was full", spare, full},
		{"refused by a limit", limited, func(m *sim.Month) float64 { return m.Books.CurtailedKWh - full(m) }},
	})
	p.causes(words.refusedTitle, "kWh", func(b *Bank) map[string]float64 { return b.Year.Figures.CurtailedByCause })
}

// causes draws a figure by cause, the largest first.
func (p *paper) causes(title, unit string, of func(*Bank) map[string]float64) {
	var names []string
	sum := map[string]float64{}
	for i := range p.Banks {
		for cause, x := range of(&p.Banks[i]) {
			sum[cause] += x
		}
	}
	for _, cause := range sortedKeys(sum) {
		if sum[cause] >= 0.01 {
			names = append(names, cause)
		}
	}
	if len(names) == 0 {
		return
	}
	slices.SortStableFunc(names, func(a, b string) int { return cmp.Compare(sum[b], sum[a]) })
	p.heading(title, 16)
	p.y += 2
	values := make([][]float64, len(names))
	for k, cause := range names {
		for i := range p.Banks {
			values[k] = append(values[k], of(&p.Banks[i])[cause])
		}
		names[k] = word(cause)
	}
	p.bars(names, values, unit)
}

// week draws the worst seven days.
func (p *paper) week() {
	first := worstWeek(p.Banks)
	date := time.Date(p.Banks[0].CalendarYear, 1, 1+first, 0, 0, 0, 0, time.UTC)
	const high, left = 30., 11.
	p.heading(words.weekTitle, high+20)
	p.note(fmt.Sprintf("The seven days from %s.", date.Format("Monday, 2 January")))
	for _, chart := range []struct {
		title, column, ceiling string
		factor                 float64
	}{{words.soc, "soc_fraction", "", 100}, {words.voltage, "bank_v", "", 1}, {words.current, "bank_a", "charge_ceiling_a", 1}} {
		lines := make([][]float64, len(p.Banks))
		f := frame{x: side + left, w: p.inner - left, h: high, low: math.Inf(1), high: math.Inf(-1)}
		for i := range p.Banks {
			lines[i] = p.Banks[i].cut(chart.column, first, chart.factor)
			f.low, f.high, f.n = min(f.low, slices.Min(lines[i])), max(f.high, slices.Max(lines[i])), len(lines[i])
		}
		step := niceStep((f.high - f.low + 1e-9) / 4)
		f.low, f.high = math.Floor(f.low/step)*step, math.Ceil(f.high/step)*step
		if chart.column == "soc_fraction" {
			f.low, f.high, step = 0, 100, 25
		}
		p.room(high + 11)
		p.font(sans, "", 8.5, ink)
		p.y += 5
		p.put(side, p.y, chart.title)
		f.y = p.y + 2
		p.axis(&f, step)
		p.font(sans, "", 6.5, soft)
		for d := range 7 {
			x := f.x + f.w*float64(d)/7
			p.line(x, f.y, x, f.y+f.h, rule, hairline)
			p.put(x+0.8, f.y+f.h+3, date.AddDate(0, 0, d).Format("Mon 2 Jan"))
		}
		for i := range p.Banks {
			p.curve(&f, lines[i], ofBank[i], 0.4, dashOf(i))
			if chart.ceiling == "" {
				continue
			}
			ceiling := p.Banks[i].cut(chart.ceiling, first, 1)
			for k, v := range ceiling {
				if v > f.high {
					ceiling[k] = math.NaN() // one that never acts here would squeeze the current
				}
			}
			p.curve(&f, ceiling, ofBank[i], 0.25, []float64{0.3, 0.7})
		}
		p.y = f.y + high + 4
	}
	p.key()
}

// cut is seven days of a column.
func (b *Bank) cut(name string, firstDay int, factor float64) []float64 {
	n := b.perDay()
	var out []float64
	for _, v := range b.column(name)[firstDay*n : (firstDay+7)*n] {
		out = append(out, factor*float64(v))
	}
	return out
}
