package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The step loop allocates nothing: a year in several times as many segments allocates
// what one in few does, figures only; but for a list of times that grows once.
func TestRun_AllocatesNothingPerSegment(t *testing.T) {
	for name, patches := range map[string][]string{
		"data-linked": {`{"bank":{"modules":2}}`},
		"trips":       {voltageOnly, oneSwitch, `{"bank":{"modules":3,"enclosure":{"kind":"outdoor","heater_w_per_module":0}}}`},
		"lead-acid":   {noModule, vented, noSet},
	} {
		coarse, fine := plan(t, patches...), plan(t, append(patches, `{"controls":{"internal_step_s":300}}`)...)
		few, many := coarse.Segments(), fine.Segments()
		once, more := testing.AllocsPerRun(1, func() { coarse.Run(false) }), testing.AllocsPerRun(1, func() { fine.Run(false) })
		t.Logf("%s: %d segments %g allocations, %d segments %g allocations", name, few, once, many, more)
		assert.Greater(t, many, 2*few, name)
		assert.InDelta(t, once, more, 5, name)
		assert.Less(t, once, 100., name)
	}
}
