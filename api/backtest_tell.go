package api

import (
	"fmt"
	"math"
	"strings"

	"bankyear/api/sitelog"
	"bankyear/sim/backtest"
	"bankyear/sim/bank"
)

// asLog is the log as the model takes it.
func (l *SiteLog) asLog(t *sitelog.Table) *backtest.Log {
	out := &backtest.Log{Seconds: t.Seconds, V: t.Numbers["v"], A: t.Numbers["a"], SoC: t.Numbers["soc_fraction"], CellC: t.Numbers["cell_c"],
		LoadW: t.Numbers["load_w"], SolarW: t.Numbers["solar_w"], Instants: l.Samples == "instants"}
	if l.CurrentSign == "discharge_positive" {
		turned := make([]float64, len(out.A))
		for i, a := range out.A {
			turned[i] = -a
		}
		out.A = turned
	}
	return out
}

// decides is the part of an interval from which the log is said to decide it.
const decides = 0.5

// toldByLog tells whether the log decides a value, and whether it differs from the
// stated one.
func toldByLog(v *backtest.Value) (decided, differs bool) {
	decided = v.Fitted && v.FromLog >= decides
	return decided, decided && (v.Stated < v.Low || v.Stated > v.High)
}

// backtestPatch is a merge patch with the values that the log decides otherwise.
func backtestPatch(r *backtest.Result, b *bank.Spec) map[string]any {
	inBank, inModule := map[string]any{}, map[string]any{}
	aged := b.AgeYears > 0 || b.AgedCapacity > 0 || b.AgedResistance > 0
	for i := range r.Values {
		v := &r.Values[i]
		_, differs := toldByLog(v)
		switch {
		case !differs:
		case v.Member == "bank.estimate.offset_a":
			inBank["estimate"] = map[string]any{"offset_a": significant(v.Value, 4)}
		case v.Member == "bank.module.capacity_ah" && aged:
			inBank["aged_capacity_fraction"] = significant(min(1, max(0.1, v.Value/b.Module.CapacityAh)), 4)
		case v.Member == "bank.module.resistance_ohm" && aged:
			inBank["aged_resistance_factor"] = significant(min(20, max(0.5, v.Value/b.Module.ResistanceOhm)), 4)
		default:
			inModule[strings.TrimPrefix(v.Member, "bank.module.")] = significant(v.Value, 4)
		}
	}
	if len(inModule) > 0 {
		inBank["module"] = inModule
	}
	if len(inBank) == 0 {
		return inBank
	}
	return map[string]any{"bank": inBank}
}

// significant rounds to a number of digits.
func significant(x float64, digits int) float64 {
	if x == 0 {
		return 0
	}
	scale := math.Pow(10, float64(digits)-1-math.Floor(math.Log10(math.Abs(x))))
	return math.Round(x*scale) / scale
}

var backtestNotes = []string{
	"The open-circuit voltage is the table of the cells, with the hysteresis that the module states. Where it states none: a real lithium iron phosphate cell rests some 10 mV higher after charge than after discharge, which reads as resistance, widens the intervals and can shift a capacity found on the plateau alone.",
	"Capacity and offset are in the amperes of the logger: a gain error of its shunt is in both.",
	"Intervals are of 95 %, by the curvature of the misfit; rows whose errors go together count as one.",
}

// backtestFindings says in words what a backtest found.
func backtestFindings(q *BacktestRequest, t *sitelog.Table, r *backtest.Result) []string {
	out := []string{}
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	volts, fitted := &r.Stated[0], &r.Fitted[0]
	add("With the stated values half of the model's voltages are within %s V of the log (root of the mean square %s V); with the fitted ones within %s V (%s V). It follows worst on %s.",
		short(volts.MedianAbs), short(volts.RMS), short(fitted.MedianAbs), short(fitted.RMS), fitted.WorstDay)
	words := map[string]string{"bank.module.capacity_ah": "capacity of a module", "bank.module.resistance_ohm": "resistance of a module at 25 °C", "bank.estimate.offset_a": "offset of the logged current"}
	for i := range r.Values {
		v := &r.Values[i]
		decided, differs := toldByLog(v)
		interval := fmt.Sprintf("%s %s (%s to %s)", short(v.Value), v.Unit, short(v.Low), short(v.High))
		switch {
		case !v.Fitted:
		case !decided:
			add("The log says little of the %s.", words[v.Member])
		case differs && v.Stated != 0:
			add("The %s is %s: %s %% of the stated %s %s.", words[v.Member], interval, short(100*v.Value/v.Stated), short(v.Stated), v.Unit)
		case differs:
			add("The %s is %s.", words[v.Member], interval)
		default:
			add("The %s agrees with the stated one: %s.", words[v.Member], interval)
		}
	}
	if t.Numbers["cell_c"] == nil {
		add("No cell temperature was logged: 25 °C was taken, and a resistance that the cold has raised reads as that of the module.")
	}
	if c := r.Charge; c != nil {
		out = append(out, chargeFinding(q, c))
	}
	return out
}

// chargeFinding says what the largest charge was like.
func chargeFinding(q *BacktestRequest, c *backtest.Charge) string {
	m := &q.System.Bank.Module
	text := fmt.Sprintf("The largest charge took %s Ah; it held %s A a module (the catalogue or request says at most %s A without a link) and %s V",
		short(c.TakenAh), short(c.PerModuleA), short(m.VoltageOnlyA), short(c.LimitV))
	if c.EndedFull {
		return text + fmt.Sprintf(", and ended full at %s V with %s A a module.", short(c.FullV), short(c.FullA))
	}
	return text + ", and ended before the current had tapered."
}
