package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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
