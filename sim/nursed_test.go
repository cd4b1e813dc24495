package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A bank that somebody wakes at night stays awake until the sun can charge it,
// and is not woken again every few days for the rest of the year.
func TestVisit_WokenBankStaysAwake(t *testing.T) {
	y := plan(t, `{"generators":null,"bank":{"module":{"key":"lfp_16s_100ah_one_switch"},"enclosure":{"kind":"ventilated_room","heater_w_per_module":0}}}`).Run(false)
	assert.Less(t, y.Figures.Visits, 40)
	assert.Less(t, y.Figures.DowntimeH, 3000.)
}
