package api

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim"
	"bankyear/sim/bank"
	"bankyear/sim/genset"
	"bankyear/sim/study"
	"bankyear/weather"
)

// weighed makes a candidate of figures that do not vary.
func weighed(name string, modules int, operation string, f sim.Figures) judged {
	s := &sim.System{Bank: bank.Spec{Modules: modules, Operation: operation, OnLinkLoss: "fall_back"}, Generators: map[string]genset.Spec{"main": {}}}
	s.Bank.Module.VoltageOnlyA = 40
	s.Controls.LowEnd = sim.LowEnd{StopSoC: .1, ResumeSoC: .15, CutOffV: 49.6}
	if f.DowntimeByCauseH == nil {
		f.DowntimeByCauseH = map[string]float64{"empty": f.DowntimeH}
	}
	return judged{name: name, s: s, f: &f, more: &more{bands: bandsOf([]*sim.Year{{Figures: f}})}}
}

func said(v *Verdict) string { return v.Title + "\n" + strings.Join(v.Words, "\n") }

// A verdict follows from the figures, whoever they favour.
func TestVerdict(t *testing.T) {
	const linked, alone = "data_linked", "voltage_only"
	for _, x := range []struct {
		name       string
		a, b       judged
		choose, by string
		says, not  []string
	}{
		{"dark hours", weighed("two", 2, linked, sim.Figures{DowntimeH: 52, GeneratorH: 60, Outages: 9}), weighed("four", 4, linked, sim.Figures{DowntimeH: 3, GeneratorH: 20, Outages: 1}),
			"four", "downtime_h", []string{"four is dark less than two", "four is dark 49 h less", "its generator runs 40 h less", "What decides it: 49 h more in two in which the bank is run down", "in one outage", "in 9 outages"}, []string{"data link"}},
		{"generator hours only", weighed("linked", 4, linked, sim.Figures{GeneratorH: 100}), weighed("alone", 4, alone, sim.Figures{GeneratorH: 160}),
			"linked", "generator_h", []string{"is not dark more than alone, and its generator runs less", "The data link saves generator hours (60 h), not dark hours"}, []string{"The data link saves 0"}},
		{"voltage-only wins by its low end", weighed("linked", 4, linked, sim.Figures{DowntimeH: 40}), weighed("alone", 4, alone, sim.Figures{DowntimeH: 10}),
			"alone", "downtime_h", []string{"The voltage-only bank is dark less than the data-linked one", "stop_soc_fraction", "cut_off_v", "49.6 V"}, []string{"The data link saves", "damage"}},
		{"voltage-only wins by damage", weighed("linked", 4, linked, sim.Figures{DowntimeH: 40}), weighed("alone", 4, alone, sim.Figures{DowntimeH: 10, ChargedTooColdH: 120, ChargedTooColdAh: 900}),
			"", "", []string{"alone is dark less than linked, but its light is bought with charging cells that are too cold", "for 120 h (900 Ah)", "damage, no win", "alone is dark 30 h less"}, nil},
		{"voltage-only wins because the link fails, and is damaged", weighed("linked", 4, linked, sim.Figures{DowntimeH: 114, DowntimeByCauseH: map[string]float64{"link_loss": 115}, LinkDownH: 115}),
			weighed("alone", 4, alone, sim.Figures{DowntimeH: 5, DowntimeByCauseH: map[string]float64{"empty": 5}, ChargedTooColdH: 120}),
			"", "", []string{"alone is dark less than linked, mostly because with linked the lost data link stops the site; but its cells were charged while too cold: damage, no choice."}, []string{"bought"}},
		{"voltage-only wins because the link fails", weighed("linked", 4, linked, sim.Figures{DowntimeH: 40, DowntimeByCauseH: map[string]float64{"link_loss": 35, "empty": 5}, LinkDownH: 80}),
			weighed("alone", 4, alone, sim.Figures{DowntimeH: 5, DowntimeByCauseH: map[string]float64{"empty": 5}}),
			"alone", "downtime_h", []string{"a lost link itself kept the site dark for 35 h more", "was down for 80 h"}, nil},
		{"the link wins", weighed("linked", 4, linked, sim.Figures{DowntimeH: 5, DowntimeByCauseH: map[string]float64{"empty": 5}}),
			weighed("alone", 4, alone, sim.Figures{DowntimeH: 30, DowntimeByCauseH: map[string]float64{"empty": 5, "sudden_stop": 25}, SoCErrorMax: .24}),
			"linked", "downtime_h", []string{"The data link saves 25 h of darkness", "sudden stops", "wrong by up to 24 points"}, nil},
		{"nothing", weighed("a", 4, linked, sim.Figures{GeneratorH: 10}), weighed("b", 4, linked, sim.Figures{GeneratorH: 11}),
			"", "", []string{"Nothing that counts"}, nil},
		{"fewer modules", weighed("a", 6, linked, sim.Figures{}), weighed("b", 4, linked, sim.Figures{DowntimeH: .1}),
			"b", "modules", []string{"b has as many dark and generator hours as a, with fewer modules"}, nil},
	} {
		t.Run(x.name, func(t *testing.T) {
			for _, order := range [][]judged{{x.a, x.b}, {x.b, x.a}} { // whichever is the reference
				v := verdictOf(order)
				assert.Equal(t, x.choose, v.Choose)
				assert.Equal(t, x.by, v.By)
				for _, text := range x.says {
					assert.Contains(t, said(v), text)
				}
				for _, text := range x.not {
					assert.NotContains(t, said(v), text)
				}
			}
		})
	}
}

// What the data link is worth is told of candidates that differ in nothing else, and of
// which ones where several do.
func TestVerdict_OperationAlone(t *testing.T) {
	linked, alone := weighed("linked", 4, "data_linked", sim.Figures{DowntimeH: 600}), weighed("alone", 4, "voltage_only", sim.Figures{DowntimeH: 1100})
	warm := weighed("warm", 4, "data_linked", sim.Figures{})
	warm.s.Bank.Enclosure.HeaterW = 80
	alone.s.Bank.Settings, alone.s.Controls.LowEnd.StopSoC = &bank.Settings{AbsorbV: 56}, .06
	text := said(verdictOf([]judged{warm, linked, alone}))
	assert.Contains(t, text, "The data link saves 500 h of darkness")
	assert.NotContains(t, text, "The data link saves 1100 h", "a heater does")
	other := weighed("other", 4, "voltage_only", sim.Figures{DowntimeH: 700})
	text = said(verdictOf([]judged{linked, alone, other}))
	assert.Contains(t, text, "linked against alone: The data link saves 500 h")
	assert.Contains(t, text, "linked against other: The data link saves 100 h")
	sunny := linked
	sunny.weather = new(weather.Year)
	assert.NotContains(t, said(verdictOf([]judged{sunny, alone})), "The data link saves", "another year of weather")
}

// Of several, each of the others is answered by what holds against it.
func TestVerdict_Several(t *testing.T) {
	v := verdictOf([]judged{
		weighed("eight", 8, "data_linked", sim.Figures{}), weighed("two", 2, "data_linked", sim.Figures{DowntimeH: 50}),
		weighed("six", 6, "data_linked", sim.Figures{}), weighed("thirsty", 6, "data_linked", sim.Figures{GeneratorH: 80}),
	})
	assert.Equal(t, "six", v.Choose)
	assert.Equal(t, "downtime_h", v.By)
	assert.Equal(t, "six is dark less than two; it is not dark more than thirsty, and its generator runs less; it has as many dark and generator hours as eight, with fewer modules.", v.Title)
}

// Prices choose where hours do not.
func TestVerdict_Money(t *testing.T) {
	a, b := weighed("a", 4, "data_linked", sim.Figures{}), weighed("b", 6, "data_linked", sim.Figures{})
	dear, cheap := 20000., 18000.
	a.present, b.present = &dear, &cheap
	v := verdictOf([]judged{a, b})
	assert.Equal(t, "present_value", v.By)
	assert.Equal(t, "b", v.Choose)
	assert.Contains(t, said(v), "b costs 2000 less than a")
}

// The life of each bank's modules is told by what is known of its chemistry, where they differ.
func TestVerdict_Life(t *testing.T) {
	lithium := weighed("lithium", 4, "data_linked", sim.Figures{YearsTo80Pct: 14})
	acid := weighed("acid", 1, "voltage_only", sim.Figures{DowntimeH: 9, YearsByCycles: 6, YearsOnFloat: 11})
	text := said(verdictOf([]judged{lithium, acid}))
	assert.Contains(t, text, "The modules of lithium last for about 14 years (until 80 % of the capacity), those of acid for about 6 (their cycle life).")
	acid.f.YearsByCycles = 13.5
	assert.Contains(t, said(verdictOf([]judged{lithium, acid})), "those of acid for about 11 (their float life).")
	acid.f.YearsOnFloat = 13
	assert.NotContains(t, said(verdictOf([]judged{lithium, acid})), "The modules of", "alike")
}

// A bank below 80 % of its capacity has come to its end, whatever its warranty says; it is told once.
func TestVerdict_LifeIsOver(t *testing.T) {
	fresh := weighed("fresh", 4, "data_linked", sim.Figures{YearsTo80Pct: 8})
	old := weighed("old", 4, "data_linked", sim.Figures{DowntimeH: 9})
	old.s.Bank.AgedCapacity, old.s.Bank.Module.WarrantyYears = .792, 10
	text := said(verdictOf([]judged{fresh, old}))
	assert.Contains(t, text, "The modules of old are past their life already: 79.2 % of the capacity is left")
	assert.NotContains(t, text, "last for about")
	fresh = weighed("fresh", 4, "data_linked", sim.Figures{DowntimeH: 9, YearsTo80Pct: 8})
	old = weighed("old", 4, "data_linked", sim.Figures{})
	old.s.Bank.AgedCapacity = .792
	text = said(verdictOf([]judged{old, fresh, weighed("third", 4, "data_linked", sim.Figures{DowntimeH: 20, YearsTo80Pct: 8})}))
	assert.Equal(t, 1, strings.Count(text, "past their life"))
}

// A difference is weighed member by member: two years that swing together differ
// by less than each swings.
func TestDifference_MemberByMember(t *testing.T) {
	year := func(h float64) *sim.Year {
		return &sim.Year{Figures: sim.Figures{DowntimeH: h, GeneratorStarts: 1}}
	}
	a := judged{more: &more{bands: bandsOf([]*sim.Year{year(30), year(40), year(50)})}}
	b := judged{more: &more{bands: bandsOf([]*sim.Year{year(32), year(42), year(52)})}}
	calm := judged{more: &more{bands: bandsOf([]*sim.Year{year(10)})}}
	assert.Equal(t, [3]float64{2, 2, 2}, [3]float64{difference(&a, &b, "downtime_h").Low, difference(&a, &b, "downtime_h").About, difference(&a, &b, "downtime_h").High})
	assert.InDelta(t, -30, difference(&a, &calm, "downtime_h").About, 1e-12, "one value stands for every member")
}

// overWinters are candidates in as many years of weather, with the dark hours of each and
// the base's own year as it was.
func overWinters(x []judged, dark map[string][]float64, gen map[string][]float64) []judged {
	m := &ManyYears{}
	for i := range dark[x[0].name] {
		m.Years = append(m.Years, OneYear{CalendarYear: 2011 + i})
	}
	for _, f := range study.Figures() {
		row := YearRow{Figure: f.Name, Values: map[string][]float64{}}
		for _, c := range x {
			row.Values[c.name] = make([]float64, len(m.Years))
			switch f.Name {
			case "downtime_h", "downtime_by_cause_h.empty":
				row.Values[c.name] = dark[c.name]
			case "generator_h":
				row.Values[c.name] = gen[c.name]
			}
		}
		m.Figures = append(m.Figures, row)
	}
	overYears(x, m)
	return x
}

// Of several years the verdict is built: the base's own year, in which nothing is dark or
// the other is the better, decides nothing.
func TestVerdict_Years(t *testing.T) {
	const linked = "data_linked"
	v := verdictOf(overWinters([]judged{weighed("two", 2, linked, sim.Figures{}), weighed("four", 4, linked, sim.Figures{DowntimeH: 4})},
		map[string][]float64{"two": {0, 10, 30, 0, 60}, "four": {0, 0, 12, 1, 40}},
		map[string][]float64{"two": {100, 100, 100, 100, 100}, "four": {90, 90, 90, 90, 90}}))
	assert.Equal(t, 5, v.Years)
	assert.Equal(t, "four", v.Choose)
	assert.Equal(t, "downtime_h", v.By)
	assert.Equal(t, "four is dark less than two (in 3 of 5 years).", v.Title)
	text := said(v)
	assert.Contains(t, text, "two: dark in 3 of 5 years, for 20 h a year on the mean and for 60 h in the worst (2015), mostly because the bank is run down")
	assert.Contains(t, text, "four: dark in 3 of 5 years, for 10.6 h a year on the mean and for 40 h in the worst (2015)")
	assert.Contains(t, text, "Against two, four is dark less in 3 of 5 years and more in 1, on the mean 9.4 h less; its generator runs 10 h less and burns as much.")
	assert.Contains(t, text, "In its worst year (2015) four is dark for 40 h, two in its worst (2015) for 60 h.")
	assert.NotContains(t, text, "this year")

	v = verdictOf(overWinters([]judged{weighed("a", 4, linked, sim.Figures{DowntimeH: 50}), weighed("b", 6, "voltage_only", sim.Figures{})},
		map[string][]float64{"a": {0, 0, 0}, "b": {0, 0, 0}}, map[string][]float64{"a": {1, 2, 3}, "b": {1, 2, 4}}))
	assert.Equal(t, "a", v.Choose)
	assert.Equal(t, "modules", v.By)
	assert.Contains(t, said(v), "a: no dark hour in any of 3 years")

	one := verdictOf(overWinters([]judged{weighed("a", 4, linked, sim.Figures{DowntimeH: 50}), weighed("b", 6, linked, sim.Figures{})},
		map[string][]float64{"a": {0}, "b": {9}}, map[string][]float64{"a": {0}, "b": {0}}))
	assert.Zero(t, one.Years, "one further year is none of several")
	assert.Equal(t, "b", one.Choose)
}

// What chance moves in the base's own year is not taken for a difference of few years.
func TestVerdict_YearsOfChance(t *testing.T) {
	swings := func(name string, modules int, hours ...float64) judged {
		c := weighed(name, modules, "data_linked", sim.Figures{})
		var years []*sim.Year
		for _, h := range hours {
			years = append(years, &sim.Year{Figures: sim.Figures{DowntimeH: h}})
		}
		c.bands = bandsOf(years)
		return c
	}
	x := []judged{swings("a", 4, 30, 36, 30, 36, 30), swings("b", 4, 36, 30, 36, 30, 36)} // a year differs by ±6 h
	none := map[string][]float64{"a": {0, 0, 0, 0}, "b": {0, 0, 0, 0}}
	v := verdictOf(overWinters(x, map[string][]float64{"a": {30, 30, 30, 30}, "b": {32, 32, 32, 32}}, none))
	assert.Empty(t, v.Choose, "2 h are less than 6 h/√4")
	v = verdictOf(overWinters(x, map[string][]float64{"a": {30, 30, 30, 30}, "b": {34, 34, 34, 34}}, none))
	assert.Equal(t, "a", v.Choose, "4 h are more")
}
