package api

import (
	"cmp"
	"slices"

	"bankyear/sim"
	"bankyear/sim/cost"
	"bankyear/sim/fault"
)

// Reliefs is what each limit costs: the year again with one limit lifted or one
// thing bought.
type Reliefs struct {
	ByHours []Relief `json:"by_hours" doc:"Each relief, the one that saves most hours of downtime first; what saves as much, by hours of the generator."`
	ByMoney []string `json:"by_money,omitzero" required:"false" doc:"With prices: names of the reliefs that can be bought, the one that costs least for each hour of downtime that it saves first, those that save none left out."`
	Left    []string `json:"left_out" doc:"Reliefs that would make a system that cannot work, by name."`
}

// Relief is the year with one relief.
type Relief struct {
	Relief          string  `json:"relief" doc:"Name of the relief."`
	What            string  `json:"what" doc:"What is changed."`
	SavesH          float64 `json:"saves_downtime_h" doc:"Downtime less than without; negative when it is more."`
	SavesGeneratorH float64 `json:"saves_generator_h" doc:"Likewise, time that the generator runs."`
	SavesFuelL      float64 `json:"saves_fuel_l" doc:"Likewise, fuel."`
	Glance          Glance  `json:"figures" doc:"The year with it."`
	// Money is nil without prices.
	Money *ReliefMoney `json:"money,omitzero" required:"false" doc:"With prices: what it costs."`
}

// ReliefMoney is what a relief costs over the horizon.
type ReliefMoney struct {
	PresentValue float64  `json:"present_value" doc:"Present value of the system with it less that without; negative when it pays for itself."`
	PerHour      *float64 `json:"per_downtime_h,omitzero" required:"false" doc:"The same for each hour of downtime saved a year; left out when it saves none."`
}

func (x *subject) reliefsTask(by *crew) task {
	all := sim.Reliefs(&x.c.Given)
	systems, years := make([]*sim.System, len(all)), make([]*sim.Year, len(all))
	var t task
	for i := range all {
		t.runs = append(t.runs, func() {
			s := all[i].Lift(&x.c.Given)
			s.Complete()
			c := fault.New()
			fault.CheckTags(c, s)
			if s.Check(c); len(c.Faults()) > 0 {
				return
			}
			systems[i], years[i] = s, x.again(by, s, all[i].LoadFactor)
		})
	}
	t.end = func() {
		out := &Reliefs{ByHours: []Relief{}, Left: []string{}}
		for i := range all {
			if years[i] == nil {
				out.Left = append(out.Left, all[i].Name)
				continue
			}
			out.ByHours = append(out.ByHours, x.relief(&all[i], systems[i], years[i]))
		}
		out.rank()
		x.more.set(func() { x.more.reliefs = out })
	}
	return t
}

func (x *subject) relief(r *sim.Relief, s *sim.System, y *sim.Year) Relief {
	f, was := &y.Figures, &x.year.Figures
	out := Relief{Relief: r.Name, What: r.Doc, Glance: glance(f),
		SavesH: was.DowntimeH - f.DowntimeH, SavesGeneratorH: was.GeneratorH - f.GeneratorH, SavesFuelL: was.FuelL - f.FuelL}
	if p := x.c.Prices; p != nil && r.Sold() {
		with, without := cost.Of(p, s, y), cost.Of(p, &x.c.System, x.year)
		out.Money = &ReliefMoney{PresentValue: with.PresentValue - without.PresentValue}
		if out.SavesH > 0 {
			each := out.Money.PresentValue / out.SavesH
			out.Money.PerHour = &each
		}
	}
	return out
}

// rank orders by hours, and lists by money what can be bought and helps.
func (r *Reliefs) rank() {
	slices.SortStableFunc(r.ByHours, func(a, b Relief) int {
		return cmp.Or(cmp.Compare(b.SavesH, a.SavesH), cmp.Compare(b.SavesGeneratorH, a.SavesGeneratorH))
	})
	var sold []Relief
	for _, x := range r.ByHours {
		if x.Money != nil && x.Money.PerHour != nil {
			sold = append(sold, x)
		}
	}
	slices.SortStableFunc(sold, func(a, b Relief) int { return cmp.Compare(*a.Money.PerHour, *b.Money.PerHour) })
	for _, x := range sold {
		r.ByMoney = append(r.ByMoney, x.Relief)
	}
}
