package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Supply of an ideal system in a constant sun, by hand: 10 kW of array at 100
// W/m² give 1000 W, the load of 400 W is asked with 15 W of housekeeping.
func TestPlan_Supply(t *testing.T) {
	w := steady(100)
	p := compile(t, w, ac(w, 400), ideal, `{"controls":{"housekeeping_w":15}}`)
	solar, load := p.Supply()
	for i := range solar {
		assert.InDelta(t, 1000, solar[i], 1e-9)
		assert.InDelta(t, 415, load[i], 1e-9)
	}
}
