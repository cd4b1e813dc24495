package api

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
	"bankyear/sim/study"
)

// withSet is the hut with a generator that may not start at night, and six
// modules.
const withSet = `{"bank":{"modules":2},"generators":{"main":{"key":"diesel_8kw","start_soc_fraction":0.25,"stop_soc_fraction":0.8,"no_start_hours":"20-08"}}}`

// told is a request with what its answer tells in some details.
func deepOf(t testing.TB, request map[string]any, details ...Detail) *Answer {
	t.Helper()
	c := read(t, request)
	x := &subject{c: c, more: &more{}}
	by := alone()
	x.run(by, false, nil)
	require.True(t, deepen(by, []*subject{x}, details...))
	return telling{details: details}.answerOf(x)
}

// answerOf is the answer of a subject of which everything that is told is known.
func (t telling) answerOf(x *subject) *Answer {
	a := NewAnswer(x.c, x.year, t.details...)
	x.more.tell(a, t.details...)
	return a
}

func figuresAlone(t testing.TB, request map[string]any) *sim.Figures {
	t.Helper()
	return &read(t, request).Plan().Run(false).Figures
}

// A relief is the year that somebody would get who asked for the changed system.
func TestReliefs_AreReruns(t *testing.T) {
	request := with(t, complete(t), withSet)
	base := figuresAlone(t, request)
	a := deepOf(t, request, WithReliefs)
	require.NotNil(t, a.Reliefs)
	assert.Empty(t, a.Reliefs.Left)
	assert.Empty(t, a.Reliefs.ByMoney, "no prices")
	by := map[string]Relief{}
	for _, r := range a.Reliefs.ByHours {
		by[r.Relief] = r
	}
	for relief, patch := range map[string]string{
		"one_more_module":            `{"bank":{"modules":3}}`,
		"somebody_on_site":           `{"controls":{"operator":{"on_site":"always"}}}`,
		"remote_view":                `{"controls":{"remote_view":true}}`,
		"exact_soc":                  `{"bank":{"estimate":{"kind":"exact"}}}`,
		"one_more_kw_of_array":       `{"array":{"planes":{"roof":{"rated_kw":3.4}}}}`,
		"steeper_array":              `{"array":{"planes":{"roof":{"tilt_deg":75}}}}`,
		"heater":                     `{"bank":{"enclosure":{"heater_w_per_module":80}}}`,
		"charger_temperature_sensor": `{"array":{"chargers":{"south":{"temperature_sensor":true}}}}`,
		"generator_always_ready":     `{"generators":{"main":{"failed_start_fraction":0,"no_start_hours":null}}}`,
	} {
		f := figuresAlone(t, with(t, request, patch))
		assert.Equal(t, glance(f), by[relief].Glance, relief)
		assert.Equal(t, base.DowntimeH-f.DowntimeH, by[relief].SavesH, relief)
		assert.Equal(t, base.FuelL-f.FuelL, by[relief].SavesFuelL, relief)
		assert.Nil(t, by[relief].Money)
	}
	assert.True(t, slices.IsSortedFunc(a.Reliefs.ByHours, func(a, b Relief) int {
		return -int(1e9 * (a.SavesH - b.SavesH)) // by hours saved, most first
	}))
	assert.Equal(t, base.DowntimeH, a.Figures.DowntimeH)
}

// Attended and nobody there are the years with that operator.
func TestPeople_AreReruns(t *testing.T) {
	for _, given := range []string{"never", "weekends", "always"} {
		request := with(t, with(t, complete(t), withSet), `{"controls":{"operator":{"on_site":"`+given+`"}}}`)
		p := deepOf(t, request, WithPeople).People
		assert.Equal(t, given, p.AsGiven)
		attended := figuresAlone(t, with(t, request, `{"controls":{"operator":{"on_site":"always"}}}`))
		nobody := figuresAlone(t, with(t, request, `{"controls":{"operator":{"on_site":"never"}}}`))
		assert.Equal(t, glance(attended), p.Attended, given)
		assert.Equal(t, glance(nobody), p.Nobody, given)
		assert.True(t, p.Differs)
		assert.Less(t, attended.DowntimeH, nobody.DowntimeH, "the gap")
	}
	t.Run("never dark", func(t *testing.T) {
		request := with(t, complete(t), `{"bank":{"modules":8},"array":{"planes":{"roof":{"rated_kw":12}}}}`)
		p := deepOf(t, request, WithPeople).People
		assert.Zero(t, p.Nobody.DowntimeH)
		assert.False(t, p.Differs)
		attended := figuresAlone(t, with(t, request, `{"controls":{"operator":{"on_site":"always"}}}`))
		assert.Equal(t, glance(attended), p.Attended, "without a run of its own")
	})
	t.Run("never dark, and a link that somebody repairs", func(t *testing.T) {
		request := with(t, complete(t), `{"bank":{"modules":8,"operation":"data_linked","estimate":{"kind":"exact"},"link_faults":{"mean_hours_between":500,"mean_repair_h":null}},"array":{"planes":{"roof":{"rated_kw":12}}}}`)
		p := deepOf(t, request, WithPeople).People
		attended := figuresAlone(t, with(t, request, `{"controls":{"operator":{"on_site":"always"}}}`))
		nobody := figuresAlone(t, request)
		assert.Equal(t, []Glance{glance(attended), glance(nobody)}, []Glance{p.Attended, p.Nobody})
		assert.Zero(t, p.Nobody.DowntimeH)
		assert.Less(t, attended.LinkDownH, nobody.LinkDownH/10)
		assert.True(t, p.Differs)
	})
}

// A band is of the years with a little more and less load; a year that nothing
// but the sun decides has none.
func TestBands(t *testing.T) {
	mean := 0.
	for i := range bandMembers {
		mean += bandFactor(i) / bandMembers
		assert.InDelta(t, 1, bandFactor(i), bandLoadSpread)
	}
	assert.InDelta(t, 1, mean, 1e-12)

	request := with(t, complete(t), withSet)
	c := read(t, request)
	b := deepOf(t, request, WithBands).Bands
	require.True(t, b.Chaotic)
	assert.Equal(t, 1+bandMembers, b.Members)
	hours := []float64{c.Plan().Run(false).Figures.GeneratorH}
	for i := range bandMembers {
		hours = append(hours, sim.Compile(&c.System, c.Weather, c.Load.Times(bandFactor(i))).Run(false).Figures.GeneratorH)
	}
	assert.Equal(t, study.BandOf(hours), b.Figures["generator_h"].Band)
	slices.Sort(hours)
	assert.Equal(t, hours[2], b.Figures["generator_h"].About, "the median of five")
	assert.InDelta(t, hours[0]+.4*(hours[1]-hours[0]), b.Figures["generator_h"].Low, 1e-9, "(n − 1)p + 1 = 1.4: definition 7 of Hyndman & Fan 1996")
	assert.NotEmpty(t, b.Figures["downtime_h"].Words)
	assert.Equal(t, len(study.Figures()), len(b.Figures), "every number")

	calm := deepOf(t, with(t, complete(t), `{"bank":{"modules":8},"array":{"planes":{"roof":{"rated_kw":12}}}}`), WithBands).Bands
	assert.False(t, calm.Chaotic)
	assert.Equal(t, 1, calm.Members)
}

// At the headroom the site is dark no longer than the limit, and a little beyond
// it, where it was bracketed, longer; what breaks first is a cause that the year
// as it is has not.
func TestHeadroom(t *testing.T) {
	request := with(t, complete(t), `{"bank":{"modules":4},"array":{"planes":{"roof":{"rated_kw":8}}}}`)
	c := read(t, request)
	at := func(growth float64) *sim.Figures {
		return &sim.Compile(&c.System, c.Weather, c.Load.Times(1+growth)).Run(false).Figures
	}
	h := deepOf(t, request, WithHeadroom).Headroom
	require.True(t, h.Bracketed, h.Words)
	for fraction, said := range map[float64]string{0.525: "grow by 53 %", -0.1625: "be 16 % less", 0.16: "grow by 16 %"} {
		assert.Contains(t, headroomOf(&study.Headroom{Fraction: fraction, Bracketed: true}, &sim.Figures{}).Words, said)
	}
	assert.LessOrEqual(t, at(h.Fraction).DowntimeH, h.LimitH)
	assert.Equal(t, 8.76, h.LimitH, "99.9 % of a year of 8760 h")
	beyond := slices.IndexFunc(h.Tried, func(g Grown) bool { return g.Fraction > h.Fraction })
	assert.Greater(t, h.Tried[beyond].DowntimeH, h.LimitH)
	assert.LessOrEqual(t, h.Tried[beyond].Fraction-h.Fraction, headroomTolerance)
	assert.Equal(t, at(h.Tried[beyond].Fraction).DowntimeH, h.Tried[beyond].DowntimeH)
	assert.Zero(t, at(0).DowntimeByCauseH[h.BreaksFirst])
	assert.Positive(t, at(4).DowntimeByCauseH[h.BreaksFirst])
	assert.Contains(t, h.Words, causeWords[h.BreaksFirst]+becauseWords[h.FirstBecause])

	dark := deepOf(t, complete(t), WithHeadroom).Headroom
	assert.Negative(t, dark.Fraction, "the hut is dark as it is")
}

// Every cause of downtime has its words.
func TestCauseWords(t *testing.T) {
	for _, c := range sim.DowntimeCauses() {
		assert.NotEmpty(t, causeWords[c.String()], c)
	}
	for name := range becauseWords {
		var reason sim.Reason
		assert.NoError(t, reason.UnmarshalText([]byte(name)))
	}
}

// Temperature compensation left on is named first, with what came of it: trips
// that the rule's setting has not. The chargers of the hut are on a mild lead-acid
// value at a raised absorption, as an installer leaves them after a swap.
func TestWrongSettings(t *testing.T) {
	request := with(t, complete(t), `{"bank":{"modules":4,"settings":{"absorb_v":57.2,"tail_a":20,"float_v":54,"restart_charge_v":53,"charge_a":100,"compensation_v_per_c":-0.096}}}`)
	a := deepOf(t, request, WithSettings)
	require.NotEmpty(t, a.Wrong)
	w := a.Wrong[0]
	assert.Equal(t, "temperature_compensation", w.Check)
	byRule := figuresAlone(t, with(t, request, `{"bank":{"settings":{"compensation_v_per_c":0}}}`))
	assert.Equal(t, glance(byRule), w.Figures)
	assert.Greater(t, a.Figures.TripsByKind["over_voltage"], byRule.TripsByKind["over_voltage"])
	assert.Contains(t, w.Seen, "over-voltage trips against")
	assert.Equal(t, w.Reason+" "+w.Seen, a.Findings[0], "and the findings begin with it")
	assert.Equal(t, "absorption_voltage", a.Wrong[1].Check, "57.2 V is 3.575 V a cell")

	a = deepOf(t, with(t, complete(t), `{"bank":{"modules":4,"settings":{"absorb_v":56,"tail_a":20,"float_v":54,"restart_charge_v":53,"charge_a":100,"equalise_v":60,"equalise_s":7200,"equalise_every_d":30}}}`), WithSettings)
	require.NotEmpty(t, a.Wrong)
	assert.Equal(t, "equalisation", a.Wrong[0].Check)
	assert.Contains(t, a.Wrong[0].Seen, "over-voltage trips against 0")

	assert.Empty(t, deepOf(t, complete(t), WithSettings).Wrong, "derived settings are right")
	held := deepOf(t, with(t, complete(t), `{"bank":{"operation":"data_linked","link":{"after_loss":"factory_lead_acid"},"link_faults":{"listed":[{"start":"2025-01-10T00:00","hours":500}]}}}`), WithSettings)
	require.Len(t, held.Wrong, 1)
	assert.Equal(t, "lead_acid_settings_held", held.Wrong[0].Check)
	assert.NotEqual(t, "Nothing in this year differs by it.", held.Wrong[0].Seen)
}

// With prices there is money, reliefs that are sold are ranked by it, and the
// hash is another.
func TestMoney(t *testing.T) {
	plain := with(t, complete(t), withSet)
	request := with(t, plain, `{"prices":{"currency":"crowns","module_each":1500,"array_per_kw":900,"generator_each":5000,"fuel_per_l":1.6,"generator_service_each":150,"visit_each":400,"heater_each":60,"temperature_sensor_each":40,"remote_view_per_y":200,"operator_per_y":20000}}`)
	a := deepOf(t, request, WithReliefs)
	require.NotNil(t, a.Money)
	assert.Nil(t, deepOf(t, plain).Money)
	assert.NotEqual(t, read(t, plain).Hash, a.Hash)
	assert.Equal(t, "crowns", a.Money.Currency)
	assert.InDelta(t, 2*1500+2.4*900+5000, a.Money.Capital, 1e-9)
	assert.InDelta(t, a.Figures.FuelL*1.6, a.Money.FuelAYear, 1e-9)
	require.NotEmpty(t, a.Reliefs.ByMoney)
	var each []float64
	for _, name := range a.Reliefs.ByMoney {
		r := a.Reliefs.ByHours[slices.IndexFunc(a.Reliefs.ByHours, func(r Relief) bool { return r.Relief == name })]
		assert.InDelta(t, r.Money.PresentValue/r.SavesH, *r.Money.PerHour, 1e-9)
		each = append(each, *r.Money.PerHour)
	}
	assert.True(t, slices.IsSorted(each), "cheapest hour first")
	more := deepOf(t, with(t, request, `{"bank":{"modules":3}}`))
	i := slices.IndexFunc(a.Reliefs.ByHours, func(r Relief) bool { return r.Relief == "one_more_module" })
	assert.InDelta(t, more.Money.PresentValue-a.Money.PresentValue, a.Reliefs.ByHours[i].Money.PresentValue, 1e-6, "as the changed system costs")
}
