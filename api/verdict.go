package api

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bankyear/sim"
	"bankyear/sim/study"
	"bankyear/weather"
)

// Verdict is what a comparison comes to, in words that are built from its figures.
type Verdict struct {
	Choose  string   `json:"choose,omitzero" required:"false" doc:"The candidate that is dark less; where that is no difference, whose generator runs less; then the one that costs less or has fewer modules. Over several years: on the mean of them. Left out when nothing tells them apart, and with bought_with_cold_charging: damage is no choice."`
	By      string   `json:"by,omitzero" required:"false" enum:"downtime_h,generator_h,present_value,modules" doc:"What chose it; left out with choose."`
	Bought  bool     `json:"bought_with_cold_charging" doc:"Whether the one that is dark less was charged more than its cells allow in the cold, and more than another: then its light is bought with damage, as far as no other cause decides it, and nothing is chosen."`
	Title   string   `json:"title" doc:"The verdict in one sentence."`
	Words   []string `json:"words" doc:"What it rests on, one sentence each."`
	Members int      `json:"members" doc:"Years behind each band, see bands."`
	Years   int      `json:"years,omitzero" required:"false" doc:"Years of weather that dark hours, generator hours and the choice are of, where several further years were given; left out where they are those of the base's own year. Present value, headroom, people and reliefs are of that year always."`
}

// judged is one candidate while the verdict is found.
type judged struct {
	name string
	s    *sim.System
	f    *sim.Figures
	*more
	weather *weather.Year
	load    *sim.Load
	present *float64 // present value, with prices
	// years is what it is in several years of weather, and f the mean of them; nil where the
	// base's own year is judged.
	years *weathers
}

// verdictOf weighs candidates, the reference first. Their bands are known.
func verdictOf(x []judged) *Verdict {
	v := &Verdict{Members: 1}
	for _, c := range x {
		v.Members = max(v.Members, c.bands.Members)
		if c.years != nil {
			v.Years = len(c.years.labels)
		}
	}
	var best *judged
	if len(x) == 1 {
		v.Title = x[0].says()
	} else {
		best = v.weigh(x)
	}
	for _, c := range x {
		v.add("%s", c.says())
	}
	for i := range x {
		if best != nil && best != &x[i] {
			v.against(best, &x[i])
		}
	}
	v.operations(x)
	own := len(v.Words)
	for _, c := range x {
		if h := c.headroom; h != nil {
			v.add("%s: %s", c.name, h.Words)
		}
		if p := c.people; p != nil && p.Differs {
			v.add("%s: %s", c.name, p.Words)
		}
		if r := c.reliefs; r != nil && len(r.ByHours) > 0 && r.ByHours[0].SavesH > 0.05 {
			v.add("%s: what would save most of its dark hours: %s (%s)", c.name, lower(r.ByHours[0].What), hours(r.ByHours[0].SavesH))
		}
	}
	if v.Years > 0 && len(v.Words) > own {
		v.Words = slices.Insert(v.Words, own, "What follows is of the base's own year of weather, not of the "+itoa(v.Years)+" years.")
	}
	return v
}

func (v *Verdict) add(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if !strings.HasSuffix(text, ".") {
		text += "."
	}
	v.Words = append(v.Words, text)
}

// says tells the two figures of a candidate.
func (c *judged) says() string {
	if c.years != nil {
		return c.years.says(c)
	}
	text := fmt.Sprintf("%s: no dark hour in this year", c.name)
	if c.f.DowntimeH > 0 {
		text = fmt.Sprintf("%s: dark for %s a year, in %s, mostly because %s", c.name, c.band("downtime_h"), plural(c.f.Outages+c.f.ShortOutages, "outage"), causeWords[largestFirst(c.f.DowntimeByCauseH)[0]])
	}
	if len(c.s.Generators) > 0 {
		text += fmt.Sprintf("; the generator runs for %s and burns %s", c.band("generator_h"), c.band("fuel_l"))
	}
	return text + "."
}

func (c *judged) band(figure string) string { return c.bands.Figures[figure].Words }

// weigh chooses: the one that is preferred to what came before it. Preference is
// not transitive (a small difference and a small difference can be one that
// counts), so that what is said is held against each of the others again. It returns the
// one that is preferred, chosen or not; nil when nothing tells them apart.
func (v *Verdict) weigh(x []judged) *judged {
	best := &x[0]
	for i := range x[1:] {
		if better, _ := prefer(best, &x[i+1]); better != nil {
			best = better
		}
	}
	over := map[string][]string{} // what it is preferred by, and to which
	bought := ""
	for i := range x {
		other := &x[i]
		if other.name == best.name {
			continue
		}
		if better, by := prefer(best, other); better == best {
			name := other.name
			if by == "downtime_h" || by == "generator_h" {
				name += inYears(best, other, by)
			}
			over[by] = append(over[by], name)
			if !v.Bought && by == "downtime_h" && colder(best, other) {
				v.Bought, bought = true, boughtWords(best, other)
			}
		}
	}
	var parts []string
	for _, by := range []string{"downtime_h", "generator_h", "present_value", "modules"} {
		names := strings.Join(over[by], " and ")
		if names == "" {
			continue
		}
		if v.By == "" {
			v.By = by
		}
		parts = append(parts, map[string]string{
			"downtime_h":    "is dark less than " + names,
			"generator_h":   "is not dark more than " + names + ", and its generator runs less",
			"present_value": "has as many dark and generator hours as " + names + ", and costs less",
			"modules":       "has as many dark and generator hours as " + names + ", with fewer modules",
		}[by])
	}
	switch {
	case len(parts) == 0:
		v.Title = "Nothing that counts tells the candidates apart: dark hours, generator hours and size are the same."
		return nil
	case v.Bought:
		v.By = ""
		v.Title = fmt.Sprintf("%s %s%s.", best.name, strings.Join(parts, "; it "), bought)
	default:
		v.Choose = best.name
		v.Title = fmt.Sprintf("%s %s.", best.name, strings.Join(parts, "; it "))
	}
	return best
}

// boughtWords say how a win goes with charging cells that are too cold: it is bought so,
// unless most of it is of a cause that no charge averts.
func boughtWords(best, other *judged) string {
	cause, h := decidingCause(best.f, other.f)
	if noChargeAverts[cause] && h >= (other.f.DowntimeH-best.f.DowntimeH)/2 {
		return fmt.Sprintf(", mostly because with %s %s; but its cells were charged while too cold: damage, no choice", other.name, causeWords[cause])
	}
	return ", but its light is bought with charging cells that are too cold: damage, no win"
}

// noChargeAverts are the causes of downtime that more charge in the bank does not avert.
var noChargeAverts = map[string]bool{"link_loss": true, "too_cold": true, "too_hot": true, "over_current": true, "inverter_limit": true, "inrush": true}

// prefer is the better of two and what tells them apart; nil when nothing does.
func prefer(a, b *judged) (better *judged, by string) {
	for _, x := range []struct {
		figure string
		least  float64
	}{{"downtime_h", 0.5}, {"generator_h", 5}} {
		switch leads(a, b, x.figure, x.least) {
		case 1:
			return a, x.figure
		case -1:
			return b, x.figure
		}
	}
	if a.present != nil && b.present != nil && *a.present != *b.present {
		if *a.present < *b.present {
			return a, "present_value"
		}
		return b, "present_value"
	}
	switch n, m := a.s.Bank.Modules, b.s.Bank.Modules; {
	case n < m:
		return a, "modules"
	case m < n:
		return b, "modules"
	}
	return nil, ""
}

// difference is the band of b − a in a figure, member by member: both meet the
// same load. A year that is not chaotic is the same in every member. Of several years it
// is the mean, the least and the most.
func difference(a, b *judged, figure string) study.Band {
	if a.years != nil {
		return differenceOver(a.years, b.years, figure)
	}
	return differenceInYear(a, b, figure)
}

// differenceInYear is difference in the base's own year.
func differenceInYear(a, b *judged, figure string) study.Band {
	x, y := a.bands.values[figure], b.bands.values[figure]
	out := make([]float64, max(len(x), len(y)))
	for i := range out {
		out[i] = y[min(i, len(y)-1)*step(y)] - x[min(i, len(x)-1)*step(x)]
	}
	return study.BandOf(out)
}

// step is 0 where there is one value for every member.
func step(values []float64) int { return min(len(values)-1, 1) }

// colder tells whether one candidate's cells are charged too cold, and more than
// another's.
func colder(a, b *judged) bool {
	return a.f.ChargedTooColdH >= 1 && a.f.ChargedTooColdH > 1.2*b.f.ChargedTooColdH
}

// against says what the better one saves and what decides it.
func (v *Verdict) against(best, other *judged) {
	if best.years != nil {
		v.againstOver(best, other)
	} else {
		v.againstInYear(best, other)
	}
	if cause, h := decidingCause(best.f, other.f); h >= 0.5 {
		v.add("What decides it: %s more in %s in which %s", hours(h), other.name, causeWords[cause])
	}
	if v.Bought && colder(best, other) {
		v.add("%s charged its cells with more than they allow in the cold for %s (%s Ah), %s for %s: that is damage", best.name, hours(best.f.ChargedTooColdH), short(best.f.ChargedTooColdAh), other.name, hours(other.f.ChargedTooColdH))
	} else if colder(other, best) {
		v.add("%s charged its cells with more than they allow in the cold for %s: damage that its figures do not show", other.name, hours(other.f.ChargedTooColdH))
	}
	v.lives(best, other)
	if best.present != nil && other.present != nil {
		v.add("Over the horizon %s costs %s %s", best.name, short(math.Abs(*other.present-*best.present)), map[bool]string{true: "less than " + other.name, false: "more than " + other.name}[*best.present <= *other.present])
	}
}

// lives says how long the modules of both last where that differs by a tenth; of a bank
// that has come to its end already, that it has.
func (v *Verdict) lives(best, other *judged) {
	over := false
	for _, j := range []*judged{best, other} {
		if left := j.s.Bank.AgedCapacityFraction(); left <= endOfLife {
			over = true
			if said := fmt.Sprintf("The modules of %s are past their life already: %s %% of the capacity is left, and 80 %% is its usual end", j.name, short(100*left)); !slices.Contains(v.Words, said+".") {
				v.add("%s", said)
			}
		}
	}
	a, b := best.s.Life(best.f), other.s.Life(other.f)
	if over || math.IsInf(a.Years, 1) || math.IsInf(b.Years, 1) || math.Abs(a.Years-b.Years) <= 0.1*min(a.Years, b.Years) {
		return
	}
	v.add("The modules of %s last for about %s years %s, those of %s for about %s %s", best.name, short(a.Years), lifeWords[a.By], other.name, short(b.Years), lifeWords[b.By])
}

// endOfLife is the part of the capacity at which a bank is at its end by common practice.
const endOfLife = 0.8

// againstInYear says what the better one saves in the base's own year.
func (v *Verdict) againstInYear(best, other *judged) {
	dark, gen, fuel := difference(best, other, "downtime_h"), difference(best, other, "generator_h"), difference(best, other, "fuel_l")
	text := fmt.Sprintf("Against %s, %s is dark %s", other.name, best.name, less(dark, "h", "as long"))
	if len(best.s.Generators)+len(other.s.Generators) > 0 {
		text += fmt.Sprintf(", its generator runs %s and burns %s", less(gen, "h", "as long"), less(fuel, "l", "as much"))
	}
	v.add("%s", text)
}

// lifeWords say what a life of the modules is by.
var lifeWords = map[string]string{
	"years_to_80_pct":   "(until 80 % of the capacity)",
	"years_by_cycles":   "(their cycle life)",
	"years_on_float":    "(their float life)",
	"warranty in years": "(the years of the warranty)",
	"warranty in MWh":   "(the energy of the warranty)",
}

// less says how much less the better one has, a band of other − best; same is what
// it says where there is no difference.
func less(d study.Band, unit, same string) string {
	flipped := study.Band{About: math.Abs(d.About), Low: min(math.Abs(d.Low), math.Abs(d.High)), High: max(math.Abs(d.Low), math.Abs(d.High))}
	switch {
	case d.Low == 0 && d.High == 0:
		return same
	case d.Low >= 0:
		return flipped.Words(unit) + " less"
	case d.High <= 0:
		return flipped.Words(unit) + " more"
	}
	return "about " + same + " (the other " + d.DifferenceWords(unit) + ")"
}

// decidingCause is the cause that most of the other's further downtime has.
func decidingCause(best, other *sim.Figures) (cause string, h float64) {
	more := map[string]float64{}
	for c, x := range other.DowntimeByCauseH {
		more[c] = x - best.DowntimeByCauseH[c]
	}
	if keys := largestFirst(more); len(keys) > 0 {
		return keys[0], more[keys[0]]
	}
	return "", 0
}

func plural(n int, what string) string {
	if n == 1 {
		return "one " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// lower makes a sentence a part of another.
func lower(sentence string) string {
	return strings.ToLower(sentence[:1]) + strings.TrimSuffix(sentence[1:], ".")
}
