package backtest

import "math"

// Charge is the largest charge of a log.
type Charge struct {
	From         string   `json:"from" doc:"Start."`
	Hours        float64  `json:"hours" doc:"Length."`
	TakenAh      float64  `json:"taken_ah" doc:"Charge that the bank took."`
	FromSoC      float64  `json:"from_soc_fraction" doc:"State of charge at its start, by the fitted model."`
	ToSoC        float64  `json:"to_soc_fraction" doc:"At its end."`
	CeilingA     float64  `json:"ceiling_a" doc:"Highest bank current that was held for five minutes (two rows, with longer steps)."`
	PerModuleA   float64  `json:"ceiling_per_module_a" doc:"The same for the mean module."`
	LimitV       float64  `json:"voltage_limit_v" doc:"Highest voltage that was held likewise."`
	AtLimitH     float64  `json:"at_voltage_limit_h" doc:"Time within 0.3 % of it."`
	TaperH       *float64 `json:"taper_h,omitzero" required:"false" doc:"Time in which the current falls to 1/e at the voltage limit: a straight line through its logarithm; left out where there is no taper."`
	TaperLowH    float64  `json:"taper_low_h,omitzero" required:"false" doc:"Lower end of its 95 % interval."`
	TaperHighH   float64  `json:"taper_high_h,omitzero" required:"false" doc:"Upper end; left out where it is open."`
	ModelTaperH  *float64 `json:"model_taper_h,omitzero" required:"false" doc:"The same of the fitted model over the same rows: the time constant R/(g·η) changes along the way as resistance and slope of the open-circuit voltage do."`
	FullV        float64  `json:"full_v" doc:"Voltage at its end: the full point, if ended_full."`
	FullA        float64  `json:"full_a" doc:"Current of the mean module there."`
	EndedFull    bool     `json:"ended_full" doc:"Whether it ended at the voltage limit with less than a tenth of the capacity per hour: the current had tapered."`
	TaperEndsAtA float64  `json:"taper_ends_at_a,omitzero" required:"false" doc:"Smallest bank current at the voltage limit."`
}

const (
	chargeSeen   = 0.01  // of the capacity per hour: less is no charge
	leastTaken   = 0.05  // of the capacity: less is no charge worth a word
	heldS        = 300.  // time that a value counts as held
	heldRows     = 2     // rows, with longer steps
	withinLimit  = 0.003 // of the voltage limit
	tapered      = 0.1   // of the capacity per hour
	fewestTapers = 5     // rows
)

// largestCharge finds the run of rows with charge current that took most.
func largestCharge(data *sorted, p *problem, x []float64) *Charge {
	vals := p.at(x)
	p.drive(vals)
	c := chargeRun{offset: vals.offsetA}
	seen := chargeSeen * p.m.capacityAh
	at := 0
	for _, rows := range data.stretches {
		begin, taken := -1, 0.
		for i := 0; i <= len(rows); i++ {
			if i < len(rows) && rows[i].a-vals.offsetA > seen {
				if begin < 0 {
					begin, taken = i, 0
				}
				taken += (rows[i].a - vals.offsetA) * rows[i].dt / hourS
				continue
			}
			if begin >= 0 && taken > c.takenAh {
				c.rows, c.at, c.takenAh = rows[begin:i], at+begin, taken
			}
			begin = -1
		}
		at += len(rows)
	}
	if len(c.rows) < fewestTapers || c.takenAh < leastTaken*vals.capacityAh {
		return nil
	}
	return c.tell(p, vals)
}

type chargeRun struct {
	rows    stretch
	at      int // of its first row in all
	takenAh float64
	offset  float64 // of the logged current
}

func (c *chargeRun) tell(p *problem, x *values) *Charge {
	rows, n := c.rows, len(c.rows)
	amperes := func(r *row) float64 { return r.a - c.offset }
	modules := p.m.modules
	out := &Charge{From: stamp(rows[0].t), TakenAh: c.takenAh, ToSoC: p.states[c.at+n-1].end, FromSoC: p.states[c.at].end}
	if c.at > 0 {
		out.FromSoC = p.states[c.at-1].end
	}
	for i := range rows {
		out.Hours += rows[i].dt / hourS
	}
	out.CeilingA = held(rows, amperes)
	out.PerModuleA = out.CeilingA / modules
	out.LimitV = held(rows, func(r *row) float64 { return r.v })
	var logged tail
	for i := range rows {
		r := &rows[i]
		if r.v < out.LimitV*(1-withinLimit) {
			continue
		}
		out.AtLimitH += r.dt / hourS
		if out.TaperEndsAtA == 0 || amperes(r) < out.TaperEndsAtA {
			out.TaperEndsAtA = amperes(r)
		}
		if amperes(r) < out.CeilingA*0.9 { // beyond the corner of the ceiling
			logged.add((r.t+r.dt/2)/hourS, amperes(r))
		}
	}
	end := &rows[n-1]
	out.FullV, out.FullA = end.v, amperes(end)/modules
	out.EndedFull = end.v >= out.LimitV*(1-withinLimit) && amperes(end) < tapered*x.capacityAh
	if line, ok := logged.line(); ok {
		h := -1 / line.slope
		out.TaperH = &h
		out.TaperLowH = -1 / (line.slope - line.slopeHalf)
		if line.slope+line.slopeHalf < 0 {
			out.TaperHighH = -1 / (line.slope + line.slopeHalf)
		}
		if m, ok := c.modelTaper(p, out); ok {
			out.ModelTaperH = &m
		}
	}
	return out
}

// modelTaper is the time constant of the fitted model at the logged voltages of
// the same rows: the current that its open-circuit voltage and resistance leave
// at the voltage limit, V = E + R·I.
func (c *chargeRun) modelTaper(p *problem, out *Charge) (hours float64, ok bool) {
	var model tail
	for i := range c.rows {
		r := &c.rows[i]
		if r.v < out.LimitV*(1-withinLimit) || r.a-c.offset >= out.CeilingA*0.9 {
			continue
		}
		at := &p.states[c.at+i]
		if current := (r.v - at.e) / at.r; current > 0 {
			model.add((r.t+r.dt/2)/hourS, current)
		}
	}
	line, ok := model.line()
	return -1 / line.slope, ok
}

// held is the highest value that all rows over the time it takes to be held
// reach.
func held(rows stretch, of func(*row) float64) float64 {
	best := math.Inf(-1)
	for i := range rows {
		least, length, count := math.Inf(1), 0., 0
		for k := i; k < len(rows); k++ {
			least = math.Min(least, of(&rows[k]))
			length += rows[k].dt
			if count++; length >= heldS && count >= heldRows {
				best = math.Max(best, least)
				break
			}
			if least <= best {
				break
			}
		}
	}
	if math.IsInf(best, -1) { // shorter than that
		for i := range rows {
			best = math.Max(best, of(&rows[i]))
		}
	}
	return best
}

// tail is the current at the voltage limit against time.
type tail struct{ h, ln []float64 }

func (t *tail) add(h, a float64) {
	if a > 0 {
		t.h, t.ln = append(t.h, h), append(t.ln, math.Log(a))
	}
}

// line is the straight line through its logarithm; ok is false where the current
// does not fall.
func (t *tail) line() (line, bool) {
	if len(t.h) < fewestTapers {
		return line{}, false
	}
	begin := t.h[0]
	for i := range t.h {
		t.h[i] -= begin
	}
	l, ok := fitLine(t.h, t.ln)
	return l, ok && l.slope < 0
}
