package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// A counter that reads 20 % high starts the generator too late and sheds too late
// every time; one without error never; an exact one has none to count.
func TestDecisionsOtherwise(t *testing.T) {
	base := `{"bank":{"modules":2,"operation":"voltage_only","link_faults":null,"estimate":{"gain_fraction":0,"offset_a":0,"dead_band_a":0}}}`
	high := plan(t, base, `{"bank":{"estimate":{"offset_a":0.6}}}`).Run(false).Figures
	right := plan(t, base, `{"bank":{"estimate":{"assumed_draw_a":0.12,"assumed_efficiency_fraction":0.998}}}`).Run(false).Figures
	assert.Greater(t, high.OtherwiseByKind["generator_start"]+high.OtherwiseByKind["shed"], 5)
	assert.Less(t, right.DecisionsOtherwise, high.DecisionsOtherwise)
	sum := 0
	for _, n := range high.OtherwiseByKind {
		sum += n
	}
	assert.Equal(t, high.DecisionsOtherwise, sum)
	exact := plan(t, base, `{"bank":{"estimate":{"kind":"exact"}}}`).Run(false).Figures
	assert.Zero(t, exact.DecisionsOtherwise)
}

// The decisions are listed with both states of charge, which lie on different sides
// of the start threshold of 25 %; there are as many as are counted, up to 500.
func TestDecisions_AreListed(t *testing.T) {
	for _, offset := range []string{"0.6", "2"} {
		y := plan(t, `{"bank":{"modules":2,"operation":"voltage_only","link_faults":null,"estimate":{"gain_fraction":0,"offset_a":`+offset+`,"dead_band_a":0}},"generators":{"main":{"start_soc_fraction":0.25}}}`).Run(true)
		count, starts, last := map[string]int{}, 0, ""
		for _, d := range y.Decisions {
			count[d.Decision]++
			assert.LessOrEqual(t, last, d.At)
			last = d.At
			if d.Decision == "generator_start" {
				starts++
				assert.NotEqual(t, d.SoC <= .25, d.Reported <= .25, d.At)
			}
		}
		require.Positive(t, starts)
		require.Len(t, y.Decisions, min(500, y.Figures.DecisionsOtherwise))
		if y.Figures.DecisionsOtherwise <= 500 {
			for kind, n := range y.Figures.OtherwiseByKind {
				assert.Equal(t, n, count[kind], kind)
			}
		}
	}
}

// A counter that reads low and is never re-set keeps the grid on beside a bank that is
// full. The hours bound it: it is on while the reported state of charge is below the 20 %
// at which it begins and the true one above the 40 % at which it stops, and nowhere but
// where it gives power with 40 % between the two; an absorption that ends with an interval
// takes it off for a second just then, once a week. A counter that is right keeps it on for
// none, nor does a grid that is on by its use.
func TestMisledOn(t *testing.T) {
	const base = `{"bank":{"operation":"voltage_only","link_faults":null,"settings":null},"generators":null,"grid":{"limit_w":4000,"use":"self_use"}}`
	const drifting = `{"bank":{"estimate":{"kind":"shunt","offset_a":-0.4,"full_seen_at_v":57.6}}}`
	y := plan(t, base, drifting).Run(true)
	at := map[string]int{}
	for i, c := range sim.NumberColumns() {
		at[c.Name] = i
	}
	least, most := 0., 0.
	for i := range y.Hours.Len() {
		value := func(column string) float32 { return y.Hours.Values[at[column]][i] }
		if value("grid_w") > 0 && value("reported_soc_fraction") < .4 && value("soc_fraction") >= .4 {
			most++
			if value("reported_soc_fraction") < .2 {
				least++
			}
		}
	}
	require.Greater(t, least, 5000.)
	assert.GreaterOrEqual(t, y.Figures.MisledOnH, least-366./7)
	assert.LessOrEqual(t, y.Figures.MisledOnH, most)
	assert.LessOrEqual(t, y.Figures.MisledOnH, y.Figures.GridH)
	assert.Zero(t, plan(t, base, `{"bank":{"estimate":{"kind":"exact"}}}`).Run(false).Figures.MisledOnH)
	assert.Zero(t, plan(t, base, drifting, `{"grid":{"use":"backup"}}`).Run(false).Figures.MisledOnH)
}

// A generator that such a counter starts time and again runs for it too, and not for a
// load that it is asked for: one above the threshold of load keeps it on.
func TestMisledOn_Generator(t *testing.T) {
	const base = `{"bank":{"operation":"voltage_only","link_faults":null,"settings":null,"estimate":{"kind":"shunt","offset_a":-0.4,"full_seen_at_v":57.6}}}`
	y := plan(t, base).Run(false)
	assert.Greater(t, y.Figures.MisledOnH, .5*y.Figures.GeneratorH)
	assert.Zero(t, plan(t, base, `{"generators":{"main":{"start_load_w":2,"stop_load_w":1,"no_start_hours":null}}}`).Run(false).Figures.MisledOnH)
}
