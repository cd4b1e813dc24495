package api

import (
	"fmt"
	"math"
	"slices"

	"bankyear/sim"
	"bankyear/sim/study"
)

// severalYears is from how many further years on a verdict rests on them, and no longer on
// the base's own year.
const severalYears = 2

// weathers is what a candidate is in several years of weather: the same years in the same
// order for all.
type weathers struct {
	m      *ManyYears
	name   string
	labels []string // of the years, for people
}

// overYears has the candidates judged by the further years, where there are several.
func overYears(x []judged, m *ManyYears) {
	if m == nil || len(m.Years) < severalYears {
		return
	}
	labels := m.labels()
	for i := range x {
		x[i].years = &weathers{m, x[i].name, labels}
		x[i].f = x[i].years.mean()
	}
}

// labels calls each year by its calendar year, or by its number where two have the same.
func (m *ManyYears) labels() []string {
	list := make([]string, len(m.Years))
	seen := map[int]bool{}
	for i, y := range m.Years {
		list[i] = itoa(y.CalendarYear)
		seen[y.CalendarYear] = true
	}
	if len(seen) < len(list) {
		for i := range list {
			list[i] = "year " + itoa(i+1)
		}
	}
	return list
}

// values are a figure's, year by year.
func (w *weathers) values(figure string) []float64 { return w.m.row(figure).Values[w.name] }

// mean is the mean year, as far as a verdict reads it; of the error of the reported state of
// charge the largest.
func (w *weathers) mean() *sim.Figures {
	of := func(figure string) float64 { return mean(w.values(figure)) }
	f := &sim.Figures{
		DowntimeH: of("downtime_h"), DowntimeByCauseH: map[string]float64{}, LinkDownH: of("link_down_h"),
		ChargedTooColdH: of("charged_too_cold_h"), ChargedTooColdAh: of("charged_too_cold_ah"), AtCeilingH: of("at_charge_ceiling_h"),
		YearsTo80Pct: of("years_to_80_pct"), YearsByCycles: of("years_by_cycles"), YearsOnFloat: of("years_on_float"),
		Trips: int(math.Round(of("trips"))), SoCErrorMax: slices.Max(w.values("soc_error_max_fraction")),
	}
	for _, cause := range causeNames(sim.DowntimeCauses()) {
		f.DowntimeByCauseH[cause] = of("downtime_by_cause_h." + cause)
	}
	return f
}

func mean(values []float64) (m float64) {
	for _, x := range values {
		m += x
	}
	return m / float64(len(values))
}

// worst is the year with the most darkness.
func (w *weathers) worst() (h float64, label string) {
	dark := w.values("downtime_h")
	h = slices.Max(dark)
	return h, w.labels[slices.Index(dark, h)]
}

// says tells a candidate over the years.
func (w *weathers) says(c *judged) string {
	dark := w.values("downtime_h")
	n := 0
	for _, h := range dark {
		if h > 0 {
			n++
		}
	}
	text := fmt.Sprintf("%s: no dark hour in any of %d years", c.name, len(dark))
	if n > 0 {
		h, label := w.worst()
		text = fmt.Sprintf("%s: dark in %d of %d years, for %s a year on the mean and for %s in the worst (%s), mostly because %s",
			c.name, n, len(dark), hours(c.f.DowntimeH), hours(h), label, causeWords[largestFirst(c.f.DowntimeByCauseH)[0]])
	}
	if len(c.s.Generators) > 0 {
		text += fmt.Sprintf("; the generator runs for %s a year and burns %s l", hours(mean(w.values("generator_h"))), short(mean(w.values("fuel_l"))))
	}
	return text + "."
}

// differenceOver is b − a year by year: the mean, the least and the most.
func differenceOver(a, b *weathers, figure string) study.Band {
	d := minus(b.values(figure), a.values(figure))
	return study.Band{About: mean(d), Low: slices.Min(d), High: slices.Max(d)}
}

// tally counts the years in which a has less of a figure than b, and more.
func tally(a, b *weathers, figure string) (less, more int) {
	for _, d := range minus(b.values(figure), a.values(figure)) {
		switch {
		case d > 0:
			less++
		case d < 0:
			more++
		}
	}
	return less, more
}

// leads is 1 where a has less of a figure than b and it counts, −1 where b has, 0 where
// nothing counts: the bands of one year apart, and by so much; the means of n years by so
// much, and by more than chance moves them: half the band of the base's own year over √n,
// about 90 % one-sided where years swing as that one does.
func leads(a, b *judged, figure string, least float64) int {
	d := difference(a, b, figure)
	less, more := d.Low > 0, d.High < 0
	if a.years != nil {
		chaos := differenceInYear(a, b, figure)
		least = max(least, (chaos.High-chaos.Low)/2/math.Sqrt(float64(len(a.years.labels))))
		less, more = true, true
	}
	switch {
	case less && d.About >= least:
		return 1
	case more && d.About <= -least:
		return -1
	}
	return 0
}

// inYears says in how many of the years one has less of a figure, nothing of a single year.
func inYears(a, b *judged, figure string) string {
	if a.years == nil {
		return ""
	}
	less, _ := tally(a.years, b.years, figure)
	return fmt.Sprintf(" (in %d of %d years)", less, len(a.years.labels))
}

// againstOver says what the better one saves, year by year and in the worst of them.
func (v *Verdict) againstOver(best, other *judged) {
	less, more := tally(best.years, other.years, "downtime_h")
	of := func(figure, unit, same string) string {
		return lessOnMean(differenceOver(best.years, other.years, figure).About, unit, same)
	}
	text := fmt.Sprintf("Against %s, %s is dark less in %d of %d years and more in %d, on the mean %s", other.name, best.name, less, len(best.years.labels), more, of("downtime_h", "h", "as long"))
	if len(best.s.Generators)+len(other.s.Generators) > 0 {
		text += fmt.Sprintf("; its generator runs %s and burns %s", of("generator_h", "h", "as long"), of("fuel_l", "l", "as much"))
	}
	v.add("%s", text)
	mine, in := best.years.worst()
	theirs, when := other.years.worst()
	if mine > 0 || theirs > 0 {
		v.add("In its worst year (%s) %s is dark for %s, %s in its worst (%s) for %s", in, best.name, hours(mine), other.name, when, hours(theirs))
	}
}

// lessOnMean says a mean difference; same is what it says of none.
func lessOnMean(d float64, unit, same string) string {
	text := short(math.Abs(d))
	switch {
	case math.Abs(d) < 0.05:
		return same
	case d > 0:
		return text + " " + unit + " less"
	}
	return text + " " + unit + " more"
}
