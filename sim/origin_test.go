package sim_test

import (
	"runtime"
	"testing"
	"weak"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// A plan that takes over what another has answers the same as one compiled
// alone, whatever differs between the two.
func TestCompileLike(t *testing.T) {
	w, err := burlington()
	require.NoError(t, err)
	base := system(t)
	l := load(t, &base.Load, w)
	like := sim.Compile(&base.System, w, l)
	before := like.Run(false)
	more := l.Times(1.01)
	for _, x := range []struct {
		name, patch string
		load        *sim.Load
	}{
		{"nothing", `{}`, l},
		{"load", `{}`, more},
		{"modules and operation", `{"bank":{"modules":2,"operation":"voltage_only"}}`, l},
		{"air around the bank", `{"bank":{"enclosure":{"kind":"ventilated_room"}}}`, l},
		{"heater", `{"bank":{"enclosure":{"heater_w_per_module":20}}}`, l},
		{"tilt", `{"array":{"planes":{"roof":{"tilt_deg":30}}}}`, l},
		{"charger", `{"array":{"chargers":{"south":{"night_draw_w":5}}}}`, l},
		{"inverter", `{"inverter":{"rated_w":4000}}`, l},
		{"generator", `{"generators":{"main":{"rated_kw":3}}}`, l},
		{"draws", `{"controls":{"housekeeping_w":40}}`, l},
		{"operator", `{"controls":{"operator":{"on_site":"always"}}}`, l},
		{"short resistance", `{"bank":{"module":{"resistance_ohm":0.03}}}`, l},
		{"no generator", `{"generators":{"main":null}}`, l},
		{"site", `{"site":{"elevation_m":2500}}`, l},
		{"sky", `{"sky":{"albedo_fraction":0.6}}`, l},
	} {
		t.Run(x.name, func(t *testing.T) {
			s := system(t, x.patch)
			require.Equal(t, sim.Compile(&s.System, w, x.load).Run(true), sim.CompileLike(&s.System, w, x.load, like).Run(true))
		})
	}
	assert.Equal(t, before, like.Run(false), "the other plan is as it was")
}

// A plan does not hold on to the plan whose rows it took over.
func TestCompileLike_LetsGo(t *testing.T) {
	s := system(t, `{"bank":{"modules_act_together":false,"enclosure":{"fan":{"w":10}}},"generators":{"spare":{"key":"petrol_3kw","lead_order":2}}}`)
	w, err := burlington()
	require.NoError(t, err)
	l := load(t, &s.Load, w)
	last := sim.Compile(&s.System, w, l)
	first := weak.Make(last)
	last = sim.CompileLike(&s.System, w, l, last)
	runtime.GC()
	assert.Nil(t, first.Value())
	runtime.KeepAlive(last)
}

// BenchmarkCompile is what a plan takes alone, under a sun that another plan has,
// and with every row of another plan.
func BenchmarkCompile(b *testing.B) {
	w, err := burlington()
	require.NoError(b, err)
	s := system(b)
	l := load(b, &s.Load, w)
	like := sim.Compile(&s.System, w, l)
	for _, x := range []struct {
		name   string
		load   *sim.Load
		others []*sim.Plan
	}{{"alone", l, nil}, {"sun", l.Times(1.001), []*sim.Plan{like}}, {"rows", l, []*sim.Plan{like}}} {
		b.Run(x.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				sim.CompileLike(&s.System, w, x.load, x.others...)
			}
		})
	}
}
