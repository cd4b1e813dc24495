package backtest

import (
	"math"

	"bankyear/sim/inverter"
)

// Load is what the site took, by the balance of the DC bus: what solar put on it
// and the bank did not take.
type Load struct {
	KWhPerDay   float64   `json:"kwh_per_day" doc:"DC energy that left the bus a day: load, the inverter's loss, and all that nobody logged."`
	LowKWh      float64   `json:"low_kwh_per_day" doc:"Lower end of its 95 % interval, from one day to the next; equal to the value with a single day."`
	HighKWh     float64   `json:"high_kwh_per_day" doc:"Upper end."`
	MeanByHourW []float64 `json:"mean_by_hour_w" doc:"Mean power by hour of the day, 24 of them; an hour without rows has the mean of all."`
	Factor      *float64  `json:"logged_load_factor,omitzero" required:"false" doc:"By how much the logged load is to be multiplied so that the bus balances with unlogged_w; left out where load is not logged or does not change."`
	FactorLow   float64   `json:"logged_load_factor_low,omitzero" required:"false" doc:"Lower end of its 95 % interval."`
	FactorHigh  float64   `json:"logged_load_factor_high,omitzero" required:"false" doc:"Upper end."`
	UnloggedW   *float64  `json:"unlogged_w,omitzero" required:"false" doc:"Steady DC draw that the logged load does not have: housekeeping, an unlogged consumer. The inverter's own loss is no part of it where an inverter is given."`
	UnloggedLow float64   `json:"unlogged_low_w,omitzero" required:"false" doc:"Lower end of its 95 % interval."`
	UnloggedHi  float64   `json:"unlogged_high_w,omitzero" required:"false" doc:"Upper end."`
}

// load balances the bus, row by row: solar − V·I = factor·P_dc(load) + unlogged,
// P_dc by the inverter's loss curve, by least squares; intervals as if rows that
// err together were one.
func (l *Log) load(inv *inverter.Spec, offsetA float64, r *Result) *Load {
	if l.SolarW == nil {
		return nil
	}
	dc := func(acW float64) float64 {
		if inv == nil {
			return acW
		}
		return inv.DCPowerW(acW)
	}
	var x, y []float64
	var hours, counts [24]float64
	var total, all float64
	days := map[string]*[2]float64{}
	var order []string
	stated := newFollower("power of the DC bus", "W")
	for i, t := range l.Seconds {
		left := l.SolarW[i] - l.V[i]*(l.A[i]-offsetA)
		if math.IsNaN(left) {
			continue
		}
		hour := int(math.Mod(t, 86400) / hourS)
		hours[hour] += left
		counts[hour]++
		total += left
		all++
		d := days[day(t)]
		if d == nil {
			d = new([2]float64)
			days[day(t)], order = d, append(order, day(t))
		}
		d[0] += left
		d[1]++
		if load := at(l.LoadW, i); !math.IsNaN(load) {
			x, y = append(x, dc(load)), append(y, left)
			stated.add(t, l.SolarW[i]-dc(load), l.SolarW[i]-left)
		}
	}
	if all == 0 {
		return nil
	}
	out := &Load{KWhPerDay: total / all * 24 / 1000}
	for h := range hours {
		mean := total / all
		if counts[h] > 0 {
			mean = hours[h] / counts[h]
		}
		out.MeanByHourW = append(out.MeanByHourW, mean)
	}
	out.LowKWh, out.HighKWh = betweenDays(days, order, out.KWhPerDay)
	out.regress(x, y)
	if stated.Rows > 0 {
		r.Stated = append(r.Stated, stated.end())
		if out.Factor != nil {
			fitted := newFollower("power of the DC bus", "W")
			k := 0
			for i, t := range l.Seconds {
				if left := l.SolarW[i] - l.V[i]*(l.A[i]-offsetA); !math.IsNaN(left) && !math.IsNaN(at(l.LoadW, i)) {
					fitted.add(t, -*out.Factor*x[k]-*out.UnloggedW, -left)
					k++
				}
			}
			r.Fitted = append(r.Fitted, fitted.end())
		}
	}
	return out
}

// betweenDays is the 95 % interval of the mean day, by Student's t over the days
// that have at least half as many rows as the fullest.
func betweenDays(days map[string]*[2]float64, order []string, mean float64) (low, high float64) {
	fullest := 0.
	for _, d := range order {
		fullest = math.Max(fullest, days[d][1])
	}
	var values []float64
	for _, d := range order {
		if n := days[d][1]; n >= fullest/2 {
			values = append(values, days[d][0]/n*24/1000)
		}
	}
	half := meanInterval(values)
	return mean - half, mean + half
}

// regress fits y = factor·x + unlogged.
func (o *Load) regress(x, y []float64) {
	line, ok := fitLine(x, y)
	if !ok {
		return
	}
	o.Factor, o.UnloggedW = &line.slope, &line.at0
	o.FactorLow, o.FactorHigh = line.slope-line.slopeHalf, line.slope+line.slopeHalf
	o.UnloggedLow, o.UnloggedHi = line.at0-line.at0Half, line.at0+line.at0Half
}
