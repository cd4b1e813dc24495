package sim

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"bankyear/sim/genset"
	"bankyear/weather"
)

// maxGenerators is how many generators a site has at most, and maxSets how many
// sources of AC, the grid included.
const (
	maxGenerators = 3
	maxSets       = maxGenerators + 1
)

// acSource is the source of AC that is in charge: a generator, or the grid as
// one that is always ready and burns nothing. Of several, each has a plan of its
// own, which differs in this and in the thresholds that it acts on.
type acSource struct {
	set       int // its place in lead order
	sets      []*Plan
	name      string
	gen       *genset.Spec
	grid      bool
	always    bool      // on whenever it is there
	passOnly  bool      // does not charge the bank
	genW      []float64 // derated rating by row, W
	edges     []float64 // of a grid: goes and comes back in turn
	price     []float64 // of a grid: by minute of the day
	noStart   []genset.Span
	topUpS    float64 // time of day, s
	exerciseS float64 // likewise
	deliverS  []float64
	clocked   bool    // any of the sources goes by the time of day
	startW    float64 // load that starts it, +Inf for none
	stopW     float64
	stopTailA float64
}

// with is the plan with another source in charge.
func (p *Plan) with(set int) *Plan {
	if len(p.sets) == 0 {
		return p
	}
	return p.sets[set]
}

// leadOrder is the names of the generators as they lead.
func leadOrder(s *System) []string {
	names := sortedKeys(s.Generators)
	slices.SortStableFunc(names, func(a, b string) int { return cmp.Compare(s.Generators[a].LeadOrder, s.Generators[b].LeadOrder) })
	return names
}

// compileSets makes of a plan one for each source of AC; the plan itself is that
// of the one that leads.
func compileSets(p *Plan, s *System, w *weather.Year) {
	p.startW, p.stopW = math.Inf(1), math.Inf(1)
	var sources []acSource
	if s.Grid != nil {
		sources = append(sources, gridSource(s, w))
	}
	for k, name := range leadOrder(s) {
		g := s.Generators[name]
		sources = append(sources, generatorSource(name, &g, p.sky.genW[k], w))
	}
	if len(sources) == 0 {
		return
	}
	clocked := slices.ContainsFunc(sources, func(a acSource) bool {
		return len(a.noStart) > 0 || a.gen.TopUp != nil || a.gen.Exercise != nil || a.gen.DailyCapH > 0
	})
	for _, a := range sources {
		p.located = p.located || slices.ContainsFunc(a.gen.StartBelow, func(r genset.VoltageStart) bool { return r.LoadCorrected })
	}
	plans := make([]*Plan, len(sources))
	for k, source := range sources {
		q := p
		if k > 0 {
			other := *p
			q = &other
		}
		plans[k] = q
		source.set, source.sets, source.clocked = k, plans, clocked
		q.acSource = source
		q.thresholds(s)
	}
}

// generatorSource compiles the rules of a set.
func generatorSource(name string, g *genset.Spec, ratedW []float64, w *weather.Year) acSource {
	a := acSource{name: name, gen: g, genW: ratedW, noStart: g.NoStart(), startW: math.Inf(1), stopW: g.StopsBelowW(), stopTailA: g.StopTailA}
	if g.TopUp != nil {
		a.topUpS = float64(g.TopUp.AtS())
	}
	if g.Exercise != nil && g.Exercise.RunS == 0 {
		g.Exercise = nil
	}
	if g.Exercise != nil {
		a.exerciseS = float64(g.Exercise.AtS())
	}
	if g.StartLoadW > 0 {
		a.startW = g.StartLoadW
	}
	if d := g.Deliveries; d != nil {
		for _, day := range d.Days(w.CalendarYear) {
			a.deliverS = append(a.deliverS, day*genset.DayS+noonS)
		}
		slices.Sort(a.deliverS)
	}
	return a
}

// noonS is the time of day at which fuel is brought.
const noonS = 12 * 3600

// gridSource is the grid as a set that is always ready.
func gridSource(s *System, w *weather.Year) acSource {
	g := s.Grid
	rated := make([]float64, w.Len())
	for i := range rated {
		rated[i] = g.LimitW
	}
	a := acSource{name: "grid", grid: true, always: g.Use == "backup", passOnly: !g.ChargesBank, genW: rated, startW: math.Inf(1), stopW: math.Inf(1),
		gen: &genset.Spec{RatedKW: g.LimitW / 1000, MaxRunH: math.Inf(1), StartTries: 1, SignalFedFrom: "own_battery", OverrideWhenDark: true}}
	if g.Use == "self_use" {
		a.gen.StartSoCFraction, a.gen.StopSoCFraction = g.ConnectSoC, g.DisconnectSoC
	}
	var spans [][2]float64
	for i := range g.Outages.Listed {
		at, err := g.Outages.Listed[i].At()
		spans = append(spans, listedSpan(at, err, g.Outages.Listed[i].Hours, w))
	}
	a.edges = edges(append(spans, randomSpans(g.Outages.MeanHoursBetween, g.Outages.MeanH, rand.NewPCG(g.Outages.Seed, 0x67726964), w)...))
	a.price = slices.Repeat([]float64{g.Tariff.PricePerKWh}, genset.DayS/60)
	for _, b := range slices.Backward(g.Tariff.Bands) {
		for _, span := range genset.MustHours(b.Hours) {
			for minute := range a.price {
				if span.Has(minute * 60) {
					a.price[minute] = b.PricePerKWh
				}
			}
		}
	}
	return a
}

// thresholds finds the indices of what the source in charge acts on.
func (p *Plan) thresholds(s *System) {
	g, at := p.gen, func(x float64) int { return index(p.limits.soc, x) }
	p.s.genStart, p.s.genStop, p.s.topUpIf, p.s.topUpTo = at(g.StartSoCFraction), -1, 0, 0
	if g.StopSoCFraction > 0 {
		p.s.genStop = at(g.StopSoCFraction)
	}
	if g.TopUp != nil {
		p.s.topUpIf, p.s.topUpTo = at(g.TopUp.IfSoCBelow), at(g.TopUp.RunToSoCFraction)
	}
	p.v.ladder, p.v.ladderTop, p.v.sagless = nil, -1, false
	for _, r := range g.StartBelow {
		x := rung{v: r.V, sagless: r.LoadCorrected}
		if !x.sagless {
			x.at = index(p.volts, r.V)
			p.v.ladderTop = max(p.v.ladderTop, x.at)
		}
		p.v.ladder = append(p.v.ladder, x)
		p.v.sagless = p.v.sagless || x.sagless
	}
	if p.acInputW = s.Inverter.ACInputW; p.grid {
		p.acInputW = s.Grid.LimitW
		if s.Inverter.ACInputW > 0 {
			p.acInputW = min(p.acInputW, s.Inverter.ACInputW)
		}
	}
}
