package main

import (
	"fmt"

	"bankyear/api"
	"bankyear/sim/cost"
)

// detailsOf reads --detail. Days and hours are not printed: a file takes them.
func detailsOf(list, out string) ([]api.Detail, error) {
	details, bad := api.DetailsOf(list)
	if bad != "" {
		return nil, errUsage{fmt.Sprintf("--detail %q is none of %s", bad, api.DetailNames())}
	}
	for _, d := range details {
		if out == "" && (d == api.Days || d == api.Hours) {
			return nil, errUsage{fmt.Sprintf("--detail %s is not printed: --out writes it", d)}
		}
	}
	return details, nil
}

// further prints what an answer tells in its details beside the months.
func (p *printer) further(a *api.Answer, heading string) {
	p.events(a, heading)
	if x := a.People; x != nil && x.Differs {
		p.list(heading+"Somebody there, and nobody", []string{x.Words})
	}
	if x := a.Endurance; x != nil {
		p.list(heading+"The bank alone", x.Words)
	}
	if x := a.Headroom; x != nil {
		p.list(heading+"Room for more load", []string{x.Words})
	}
	if x := a.Reliefs; x != nil {
		p.reliefs(x, heading)
	}
	if x := a.Money; x != nil {
		p.money(x, heading)
	}
}

func (p *printer) reliefs(r *api.Reliefs, heading string) {
	p.section(heading + "What each limit costs")
	rows := [][]string{{"relief", "saves dark h", "generator h", "fuel l", "", ""}}
	for _, x := range r.ByHours {
		money := ""
		if x.Money != nil {
			money = "costs " + whole(x.Money.PresentValue)
		}
		rows = append(rows, []string{x.Relief, saved(x.SavesH), saved(x.SavesGeneratorH), saved(x.SavesFuelL), money, x.What})
	}
	p.table(rows)
}

// saved leaves out what is less than a thousandth.
func saved(x float64) string {
	if x < 5e-4 && x > -5e-4 {
		return "0"
	}
	return rounded(x)
}

func (p *printer) money(b *cost.Bill, heading string) {
	p.section(fmt.Sprintf("%sMoney, %s, over %d years at %s a year", heading, b.Currency, b.HorizonY, share(b.DiscountRate, 1)))
	rows := [][]string{{"capital", whole(b.Capital)}, {"fuel", whole(b.Fuel)}, {"service", whole(b.Service)}, {"grid", whole(b.Grid)}, {"other", whole(b.Other)},
		{"replacement", whole(b.Replacement)}, {"residual", whole(-b.Residual)}, {"present value", whole(b.PresentValue)}}
	if b.CostPerKWh != nil {
		rows = append(rows, []string{"per kWh served", fmt.Sprintf("%.3f", *b.CostPerKWh)})
	}
	p.table(rows)
}
