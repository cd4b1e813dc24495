package sim_test

import (
	"encoding/json"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"bankyear/sim"
	"bankyear/sim/bank"
)

// protectionRule is what must not last longer than its delay.
type protectionRule struct {
	kind   string                            // of the trip that ends it
	beyond func(sim.Moment) float64          // how far beyond what is allowed, above 0 where it is
	delayS func(from, to sim.Moment) float64 // how long it may last
	slackS float64
	nursed bool    // for a day after a visit it may last
	since  float64 // it is beyond since then; NaN where it is not
	most   float64 // longest time of all over what is allowed, s
	seen   int     // times that it came to be beyond
}

// What the kernel leaves open: a level follows the voltage without a located crossing
// within a millivolt, two passes of a threshold of temperature are a second apart, a
// segment warms the cells by its mean heat, and a current has passed a threshold once
// it is a millionth of an ampere beyond. Somebody who wakes a bank keeps it from
// tripping by under-voltage for a day.
const (
	voltSlack = 1e-3
	dwellS    = 1.
	cellSlack = 1e-2
	ampSlack  = 1e-5
	nursedS   = 86400.
)

// protectionRules are those of a bank's modules, from its thresholds alone: every
// quantity is that of the worst module where modules share, and the cells' highest
// where they spread.
func protectionRules(b *bank.Spec) []*protectionRule {
	m, p, n := &b.Module, &b.Module.Protection, float64(b.Modules)
	worst := func(at sim.Moment) float64 { return at.Amps / n * m.WorstShare }
	highV := p.OverV - p.OverSpreadV*float64(m.CellsInSeries)
	delay := func(s float64) func(_, _ sim.Moment) float64 { return func(_, _ sim.Moment) float64 { return s } }
	charging := func(at sim.Moment) float64 { return at.Amps/n - p.ChargeSeenA - ampSlack }
	// told the BMS asks the inverter to stop; alone it opens
	alone := func(at sim.Moment) float64 {
		if at.Linked {
			return -1
		}
		return -at.Amps - ampSlack
	}
	told := func(at sim.Moment) float64 {
		if at.Linked && at.Amps < -ampSlack {
			return at.InverterW
		}
		return -1
	}
	peak := func(amps float64) float64 {
		for _, row := range m.PeakAS {
			if -amps <= row[0] {
				return max(1, row[1])
			}
		}
		return 1
	}
	rules := []*protectionRule{
		{kind: "charge_too_cold", delayS: delay(p.TemperatureDelayS), slackS: dwellS, beyond: func(at sim.Moment) float64 { return min(p.ChargeColdC-at.CellC-cellSlack, charging(at)) }},
		{kind: "charge_too_hot", delayS: delay(p.TemperatureDelayS), slackS: dwellS, beyond: func(at sim.Moment) float64 { return min(at.CellC-p.ChargeHotC-cellSlack, charging(at)) }},
		{kind: "over_voltage", delayS: delay(p.OverDelayS), beyond: func(at sim.Moment) float64 { return min(at.Volts-highV-voltSlack, at.Amps-ampSlack) }},
		{kind: "charge_over_current", delayS: delay(p.ChargeOverDelayS), beyond: func(at sim.Moment) float64 { return worst(at) - p.ChargeOverA - ampSlack }},
		{kind: "under_voltage", delayS: delay(p.UnderDelayS), nursed: true, beyond: func(at sim.Moment) float64 { return min(p.UnderV-at.Volts-voltSlack, -at.Amps-ampSlack) }},
		{kind: "discharge_too_cold", delayS: delay(p.TemperatureDelayS), slackS: dwellS, beyond: func(at sim.Moment) float64 { return min(p.DischargeColdC-at.CellC-cellSlack, alone(at)) }},
		{kind: "discharge_too_hot", delayS: delay(p.TemperatureDelayS), slackS: dwellS, beyond: func(at sim.Moment) float64 { return min(at.CellC-p.DischargeHotC-cellSlack, alone(at)) }},
		{kind: "told_too_cold", delayS: delay(0), slackS: dwellS, beyond: func(at sim.Moment) float64 { return min(p.DischargeColdC-at.CellC-cellSlack, told(at)) }},
		{kind: "told_too_hot", delayS: delay(0), slackS: dwellS, beyond: func(at sim.Moment) float64 { return min(at.CellC-p.DischargeHotC-cellSlack, told(at)) }},
		{kind: "discharge_over_current", beyond: func(at sim.Moment) float64 { return -worst(at) - m.DischargeA - ampSlack },
			delayS: func(from, to sim.Moment) float64 { return max(peak(worst(from)), peak(worst(to))) }},
	}
	for _, r := range rules {
		r.since = math.NaN()
	}
	return rules
}

// watch follows a segment. Where the rule comes to be broken, or no longer is, within
// it, that is taken to be in a straight line.
func (r *protectionRule) watch(from, to sim.Moment) {
	a, b := r.beyond(from), r.beyond(to)
	if a <= 0 {
		r.since = math.NaN()
	} else if math.IsNaN(r.since) {
		r.since, r.seen = from.S, r.seen+1
	}
	end := to.S
	switch {
	case a <= 0 && b <= 0:
		return
	case a <= 0:
		r.since, r.seen = from.S+(to.S-from.S)*a/(a-b), r.seen+1
	case b <= 0:
		end = from.S + (to.S-from.S)*a/(a-b)
	}
	since := r.since
	if r.nursed {
		since = max(since, from.VisitedS+nursedS)
	}
	r.most = max(r.most, end-since-r.delayS(from, to)-r.slackS)
	if b <= 0 {
		r.since = math.NaN()
	}
}

// randomProtection draws thresholds and delays near what the stations of
// randomStation meet.
func randomProtection(t *rapid.T) string {
	num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	over, under := num("over-voltage", 55, 59), num("under-voltage", 44, 50.5)
	cold, hot := num("charge cold", -5, 12), num("charge hot", 22, 45)
	disCold, disHot := num("discharge cold", -15, 8), num("discharge hot", 26, 55)
	continuous := num("discharge", 5, 80)
	raw, err := json.Marshal(object{"bank": object{"module": object{
		"discharge_a": continuous, "discharge_peaks_a_s": [][2]float64{{continuous * 1.5, num("peak", 5, 300)}, {continuous * 3, num("high peak", 0, 5)}},
		"protection": object{
			"over_v": over, "over_v_release_v": over - num("over release", .5, 4), "over_v_delay_s": num("over delay", 1, 60),
			"under_v": under, "under_v_release_v": under + num("under release", .1, 3), "under_v_delay_s": num("under delay", 1, 60),
			"charge_cold_c": cold, "charge_cold_release_c": cold + num("cold release", .1, 5), "charge_hot_c": hot, "charge_hot_release_c": hot - num("hot release", .1, 5),
			"discharge_cold_c": disCold, "discharge_cold_release_c": disCold + num("discharge cold release", .1, 5),
			"discharge_hot_c": disHot, "discharge_hot_release_c": disHot - num("discharge hot release", .1, 5),
			"temperature_delay_s": num("temperature delay", 1, 120), "charge_seen_a": num("seen", .5, 5),
			"charge_over_a": num("charge limit", 5, 80), "charge_over_delay_s": num("charge delay", 1, 60), "reclose_s": num("re-close", 1, 600),
		}}}})
	if err != nil {
		panic(err)
	}
	return string(raw)
}

// At no time does a module pass current in a direction that its protection forbids for
// longer than the stated delay: voltage, cell temperature and current are held against
// the module's thresholds, whatever the automaton believes.
func TestForbiddenCurrentNeverLasts(t *testing.T) {
	seen, trips := map[string]int{}, map[string]int{}
	w, err := burlington()
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(r *rapid.T) {
		patches := []string{randomStation(r), randomProtection(r)}
		r.Log(patches)
		s := system(t, patches...)
		rules := protectionRules(&s.Bank)
		y := sim.Compile(&s.System, w, load(t, &s.Load, w)).Watch(func(from, to sim.Moment) {
			for _, rule := range rules {
				before := rule.most
				rule.watch(from, to)
				if rule.most > max(before, 1e-3) {
					r.Errorf("%s lasts %g s too long: %+v to %+v", rule.kind, rule.most, from, to)
				}
			}
		})
		for _, rule := range rules {
			seen[rule.kind] += rule.seen
		}
		for kind, n := range y.Figures.TripsByKind {
			trips[kind] += n
		}
	})
	t.Log(seen, trips)
	for _, rule := range protectionRules(&bank.Spec{}) {
		if _, ends := trips[rule.kind]; ends { // nothing is tripped where the inverter is told
			assert.Positive(t, seen[rule.kind], rule.kind)
			assert.Positive(t, trips[rule.kind], rule.kind)
		}
	}
}

// What Watch sees is the year itself.
func TestWatch(t *testing.T) {
	for _, patches := range [][]string{{}, {voltageOnly, oneSwitch, `{"bank":{"modules":2}}`}} {
		p := plan(t, patches...)
		times := []float64{}
		y := p.Watch(func(from, to sim.Moment) { times = append(times, from.S, to.S) })
		requireSame(t, p.Located().Run(false), y)
		assert.True(t, slices.IsSorted(times))
	}
}
