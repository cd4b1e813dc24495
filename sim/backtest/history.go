package backtest

import (
	"math"
	"slices"

	"bankyear/sim/bank"
)

// History is what the battery-management systems of a bank's modules logged.
// Rows rise in time within each module; a column is as long as Seconds, or nil
// where it was not logged, and NaN where a value is missing.
type History struct {
	Seconds            []float64
	Module             []string
	SoC, SoH           []float64 // 0 to 1
	CellMinV, CellMaxV []float64
	CellMinC, CellMaxC []float64
	Trips              []float64 // counter
	Status             []string
}

// Past is what a history says of a bank.
type Past struct {
	From    string       `json:"from" doc:"First row, on the log's own clock."`
	To      string       `json:"to" doc:"Last row."`
	Years   float64      `json:"span_y" doc:"From the first row to the last."`
	Modules []ModulePast `json:"modules" doc:"Each module, by name."`
	Between Between      `json:"between_modules" doc:"How the modules differ from each other."`
	Age     *Age         `json:"age,omitzero" required:"false" doc:"How old the cells are by the law of ageing; left out where no state of health, or neither temperature nor state of charge was logged."`
}

// ModulePast is the past of one module.
type ModulePast struct {
	Module       string             `json:"module" doc:"Its name in the log."`
	Rows         int                `json:"rows" doc:"Its rows."`
	CoveredH     float64            `json:"covered_h" doc:"Time that its rows stand for: each until the next, and at most three of the usual steps."`
	FirstSoH     *float64           `json:"first_soh_fraction,omitzero" required:"false" doc:"First state of health; left out where it was not logged."`
	LastSoH      *float64           `json:"last_soh_fraction,omitzero" required:"false" doc:"Last state of health."`
	Fade         *float64           `json:"fade_fraction_per_y,omitzero" required:"false" doc:"Loss of state of health a year: a straight line through it; left out where it does not change or spans less than 30 days."`
	FadeLow      float64            `json:"fade_low_fraction_per_y,omitzero" required:"false" doc:"Lower end of its 95 % interval."`
	FadeHigh     float64            `json:"fade_high_fraction_per_y,omitzero" required:"false" doc:"Upper end."`
	FullCycles   *float64           `json:"equivalent_full_cycles_per_y,omitzero" required:"false" doc:"Discharged charge over capacity, a year of covered time, by the reported state of charge."`
	Wear         *float64           `json:"cycle_wear_fraction_per_y,omitzero" required:"false" doc:"Part of the cycle life to 80 % used in such a year: Miner's rule on the rainflow table of the reported state of charge."`
	LowestSoC    *float64           `json:"lowest_soc_fraction,omitzero" required:"false" doc:"Lowest reported state of charge."`
	SpreadV      *float64           `json:"cell_spread_median_v,omitzero" required:"false" doc:"Highest cell over lowest, median."`
	SpreadTopV   *float64           `json:"cell_spread_at_top_v,omitzero" required:"false" doc:"The same while the reported state of charge is at least 0.95: what trips over-voltage."`
	SpreadWorstV *float64           `json:"cell_spread_worst_v,omitzero" required:"false" doc:"The largest of a hundred rows (99th percentile)."`
	LowestC      *float64           `json:"lowest_cell_c,omitzero" required:"false" doc:"Lowest cell temperature."`
	HighestC     *float64           `json:"highest_cell_c,omitzero" required:"false" doc:"Highest."`
	WindowH      map[string]float64 `json:"cell_h_by_window_per_y,omitzero" required:"false" doc:"Time a year in which the cells were where they may not be charged for cold, may with less current, with all of it, with less for heat, not for heat; by the module's linked ceilings; left out where it has none."`
	TooColdH     *float64           `json:"charged_too_cold_h_per_y,omitzero" required:"false" doc:"Time a year in which the reported state of charge rose while the coldest cell was where no charge is allowed: damage."`
	Trips        int                `json:"trips" doc:"Rises of the counter of trips, or, without one, changes of the status to tripped."`
	StatusH      map[string]float64 `json:"status_h,omitzero" required:"false" doc:"Covered time in each status."`
	square       float64            // ∫ calendar rate² dt a year, %²
	hasLaw       bool
}

// Between is how modules differ at the same time (within half a usual step).
type Between struct {
	Moments     int      `json:"moments" doc:"Times at which two modules or more have a row."`
	SoCMedian   *float64 `json:"soc_spread_median_fraction,omitzero" required:"false" doc:"Highest reported state of charge over the lowest, median: counters that drift apart, or a module that takes less."`
	SoCWorst    *float64 `json:"soc_spread_worst_fraction,omitzero" required:"false" doc:"The largest of a hundred moments (99th percentile)."`
	SoHSpread   *float64 `json:"soh_spread_fraction,omitzero" required:"false" doc:"Highest last state of health over the lowest."`
	Weakest     string   `json:"weakest,omitzero" required:"false" doc:"Module with the lowest last state of health."`
	CellSpreadV *float64 `json:"cell_spread_v,omitzero" required:"false" doc:"Highest cell of all modules over the lowest, median."`
}

const (
	yearS     = 365.25 * 86400
	topSoC    = 0.95
	fadeSpanS = 30 * 86400.
	tripped   = "tripped"
	warmSide  = 25. // °C: colder is the cold side of a window
)

// Windows of cell temperature by what the maker allows there, by the names that
// the simulated year has.
const (
	noChargeCold = "no_charge_cold"
	lessCold     = "less_charge_cold"
	fullCharge   = "full_charge"
	lessHot      = "less_charge_hot"
	noChargeHot  = "no_charge_hot"
)

// Look reads a history of modules of one kind.
func (h *History) Look(m *bank.Module) *Past {
	rows := map[string][]int{}
	var names []string
	for i, name := range h.Module {
		if rows[name] == nil {
			names = append(names, name)
		}
		rows[name] = append(rows[name], i)
	}
	slices.Sort(names)
	out := &Past{Modules: []ModulePast{}}
	first, last := math.Inf(1), math.Inf(-1)
	for _, name := range names {
		out.Modules = append(out.Modules, h.module(name, rows[name], m))
		first, last = math.Min(first, h.Seconds[rows[name][0]]), math.Max(last, h.Seconds[rows[name][len(rows[name])-1]])
	}
	out.From, out.To, out.Years = stamp(first), stamp(last), (last-first)/yearS
	out.Between = h.between(names, rows)
	for i := range out.Modules {
		x := &out.Modules[i]
		if b := &out.Between; x.LastSoH != nil && (b.Weakest == "" || *x.LastSoH < *out.module(b.Weakest).LastSoH) {
			b.Weakest = x.Module
		}
	}
	out.soh()
	return out
}

func (p *Past) module(name string) *ModulePast {
	i := slices.IndexFunc(p.Modules, func(m ModulePast) bool { return m.Module == name })
	return &p.Modules[i]
}

// soh is the spread of the last states of health.
func (p *Past) soh() {
	lowest, highest, n := math.Inf(1), math.Inf(-1), 0
	for i := range p.Modules {
		if x := p.Modules[i].LastSoH; x != nil {
			lowest, highest, n = math.Min(lowest, *x), math.Max(highest, *x), n+1
		}
	}
	if n > 1 {
		d := highest - lowest
		p.Between.SoHSpread = &d
	}
}

// between compares modules at the same moments.
func (h *History) between(names []string, rows map[string][]int) Between {
	var out Between
	if len(names) < 2 {
		return out
	}
	step := math.Inf(1)
	for _, name := range names {
		if s := h.stepOf(rows[name]); s > 0 {
			step = math.Min(step, s)
		}
	}
	type moment struct {
		loSoC, hiSoC, loV, hiV float64
		modules                int
	}
	moments := map[int64]*moment{}
	for _, name := range names {
		var before int64 = math.MinInt64
		for _, i := range rows[name] {
			key := int64(math.Round(h.Seconds[i] / step))
			if key == before {
				continue
			}
			before = key
			x := moments[key]
			if x == nil {
				x = &moment{loSoC: math.NaN(), hiSoC: math.NaN(), loV: math.NaN(), hiV: math.NaN()}
				moments[key] = x
			}
			x.modules++
			x.loSoC, x.hiSoC = least(x.loSoC, at(h.SoC, i)), most(x.hiSoC, at(h.SoC, i))
			x.loV, x.hiV = least(x.loV, at(h.CellMinV, i)), most(x.hiV, at(h.CellMaxV, i))
		}
	}
	var socs, volts []float64
	for _, x := range moments {
		if x.modules < 2 {
			continue
		}
		out.Moments++
		socs, volts = keep(socs, x.hiSoC-x.loSoC), keep(volts, x.hiV-x.loV)
	}
	out.SoCMedian, out.SoCWorst, out.CellSpreadV = quantile(socs, 0.5), quantile(socs, 0.99), quantile(volts, 0.5)
	return out
}

func (h *History) stepOf(rows []int) float64 {
	seconds := make([]float64, len(rows))
	for k, i := range rows {
		seconds[k] = h.Seconds[i]
	}
	return stepOf(seconds)
}

// least and most pass over NaN.
func least(a, b float64) float64 {
	if math.IsNaN(a) || b < a {
		return b
	}
	return a
}

func most(a, b float64) float64 {
	if math.IsNaN(a) || b > a {
		return b
	}
	return a
}

// keep appends what is a number.
func keep(list []float64, x float64) []float64 {
	if math.IsNaN(x) {
		return list
	}
	return append(list, x)
}

// quantile is the value below which a part of a list lies; nil of none.
func quantile(values []float64, p float64) *float64 {
	if len(values) == 0 {
		return nil
	}
	slices.Sort(values)
	x := values[min(len(values)-1, int(p*float64(len(values))))]
	return &x
}
