package backtest

import (
	"math"

	"bankyear/sim/bank"
)

// module reads the rows of one module.
func (h *History) module(name string, rows []int, m *bank.Module) ModulePast {
	out := ModulePast{Module: name, Rows: len(rows)}
	x := moduleReader{h: h, m: m, out: &out, windows: map[string]float64{}, status: map[string]float64{}, before: math.NaN(), trips: math.NaN()}
	x.highestA = math.Inf(-1)
	for _, p := range m.Linked.CeilingByC {
		x.highestA = math.Max(x.highestA, p[1])
	}
	x.rainflow = bank.NewRainflow(64, func(depth, _, cycles float64) {
		if depth > 0 {
			x.wear += cycles / bank.CyclesAt(m.CyclesByDepth, depth)
		}
	})
	longest := 3 * h.stepOf(rows)
	for k, i := range rows {
		dt := 0.
		if k+1 < len(rows) {
			dt = math.Min(longest, h.Seconds[rows[k+1]]-h.Seconds[i])
		}
		x.row(i, dt)
	}
	x.end()
	return out
}

type moduleReader struct {
	h               *History
	m               *bank.Module
	out             *ModulePast
	highestA        float64
	windows, status map[string]float64
	rainflow        *bank.Rainflow
	wear            float64
	down            float64 // fall of the state of charge, added up
	socS, cellS     float64 // time with a state of charge, with a temperature
	lawS, square    float64 // time with both, ∫ rate² dt
	coldS           float64
	before          float64 // state of charge of the row before
	beforeStatus    string
	trips           float64 // counter of the row before
	tops, spreads   []float64
	sohAt, soh      []float64
}

func (x *moduleReader) row(i int, dt float64) {
	h := x.h
	soc, coldest, hottest := at(h.SoC, i), at(h.CellMinC, i), at(h.CellMaxC, i)
	if math.IsNaN(coldest) {
		coldest = hottest
	}
	if math.IsNaN(hottest) {
		hottest = coldest
	}
	x.out.CoveredH += dt / hourS
	rises := soc > x.before
	if !math.IsNaN(soc) {
		x.socS += dt
		x.rainflow.Add(soc)
		if soc < x.before {
			x.down += x.before - soc
		}
		x.before = soc
		x.out.LowestSoC = lower(x.out.LowestSoC, soc)
	}
	if !math.IsNaN(coldest) {
		x.cellS += dt
		if len(x.m.Linked.CeilingByC) > 0 {
			x.windows[x.window(coldest, hottest)] += dt / hourS
			if rises && coldest < warmSide && bank.At(x.m.Linked.CeilingByC, coldest) <= 0 {
				x.coldS += dt
			}
		}
		x.out.LowestC = lower(x.out.LowestC, coldest)
		x.out.HighestC = higher(x.out.HighestC, hottest)
		if !math.IsNaN(soc) {
			rate := bank.CalendarRate((coldest+hottest)/2, soc)
			x.square += rate * rate * dt
			x.lawS += dt
		}
	}
	if spread := at(h.CellMaxV, i) - at(h.CellMinV, i); !math.IsNaN(spread) {
		x.spreads = append(x.spreads, spread)
		if soc >= topSoC {
			x.tops = append(x.tops, spread)
		}
	}
	if soh := at(h.SoH, i); !math.IsNaN(soh) {
		x.sohAt, x.soh = append(x.sohAt, h.Seconds[i]), append(x.soh, soh)
	}
	x.events(i, dt)
}

// events counts trips and time by status.
func (x *moduleReader) events(i int, dt float64) {
	if n := at(x.h.Trips, i); !math.IsNaN(n) {
		if n > x.trips {
			x.out.Trips += int(n - x.trips)
		}
		x.trips = n
	}
	if x.h.Status == nil || x.h.Status[i] == "" {
		return
	}
	status := x.h.Status[i]
	x.status[status] += dt / hourS
	if x.h.Trips == nil && status == tripped && x.beforeStatus != tripped && x.beforeStatus != "" {
		x.out.Trips++
	}
	x.beforeStatus = status
}

// window is what the maker allows at a row's temperatures: the coldest cell
// counts on the cold side, the hottest on the hot side.
func (x *moduleReader) window(coldest, hottest float64) string {
	if coldest < warmSide {
		switch a := bank.At(x.m.Linked.CeilingByC, coldest); {
		case a <= 0:
			return noChargeCold
		case a < x.highestA*(1-1e-9):
			return lessCold
		}
	}
	if hottest >= warmSide {
		switch a := bank.At(x.m.Linked.CeilingByC, hottest); {
		case a <= 0:
			return noChargeHot
		case a < x.highestA*(1-1e-9):
			return lessHot
		}
	}
	return fullCharge
}

func (x *moduleReader) end() {
	out := x.out
	x.rainflow.Finish()
	if years := x.socS / yearS; years > 0 {
		cycles, wear := x.down/years, x.wear/years
		out.FullCycles, out.Wear = &cycles, &wear
	}
	if years := x.cellS / yearS; years > 0 && len(x.m.Linked.CeilingByC) > 0 {
		out.WindowH = map[string]float64{}
		for _, name := range []string{noChargeCold, lessCold, fullCharge, lessHot, noChargeHot} {
			out.WindowH[name] = x.windows[name] / years
		}
		if x.socS > 0 {
			cold := x.coldS / hourS / years
			out.TooColdH = &cold
		}
	}
	if len(x.status) > 0 {
		out.StatusH = x.status
	}
	out.SpreadTopV, out.SpreadWorstV, out.SpreadV = quantile(x.tops, 0.5), quantile(x.spreads, 0.99), quantile(x.spreads, 0.5)
	x.fade()
	if x.lawS > 0 && x.m.Chemistry == "lfp" {
		out.square, out.hasLaw = x.square/x.lawS*yearS, true
	}
}

// fade is a straight line through the state of health.
func (x *moduleReader) fade() {
	n := len(x.soh)
	if n == 0 {
		return
	}
	x.out.FirstSoH, x.out.LastSoH = &x.soh[0], &x.soh[n-1]
	if x.sohAt[n-1]-x.sohAt[0] < fadeSpanS {
		return
	}
	years := make([]float64, n)
	for i := range years {
		years[i] = (x.sohAt[i] - x.sohAt[0]) / yearS
	}
	if l, ok := fitLine(years, x.soh); ok {
		fade := -l.slope
		x.out.Fade, x.out.FadeLow, x.out.FadeHigh = &fade, fade-l.slopeHalf, fade+l.slopeHalf
	}
}

func lower(a *float64, b float64) *float64 {
	if a == nil || b < *a {
		return &b
	}
	return a
}

func higher(a *float64, b float64) *float64 {
	if a == nil || b > *a {
		return &b
	}
	return a
}
