package bank_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/bank"
)

const year = 365.25 * 86400.

// Losses of Naumann et al. 2018, J. Energy Storage 17, 153–169, computed from the
// published equation, and the outcome that the paper states: 19.0 % after 20
// years at 25 °C and 50 % SoC.
func TestCalendarRate(t *testing.T) {
	for _, row := range []struct{ celsius, soc, years, want float64 }{
		{25, .5, 1, 4.253}, {25, .5, 10, 13.449}, {25, 1, 1, 6.775}, {25, 1, 10, 21.426},
		{40, .5, 1, 5.921}, {40, .5, 10, 18.725}, {10, .5, 1, 2.950}, {10, .5, 10, 9.327},
		{25, .5, 20, 19.02},
	} {
		got := bank.CalendarRate(row.celsius, row.soc) * math.Sqrt(row.years*year)
		assert.InDelta(t, row.want, got, 0.002, "%+v", row)
	}
}

// One year at 25 °C and 50 % and then one at 40 °C and 100 % lose 10.348 % by
// virtual time, not the sum (computed from the published equation).
func TestCalendarVirtualTime(t *testing.T) {
	square := 0.
	for _, state := range [][2]float64{{25, .5}, {40, 1}} {
		r := bank.CalendarRate(state[0], state[1])
		square += r * r * year
	}
	assert.InDelta(t, 10.348, math.Sqrt(square), 0.002)
}

// The paper states that 20 % are reached after more than 22 years at 25 °C and
// 50 %.
func TestYearsTo(t *testing.T) {
	r := bank.CalendarRate(25, .5)
	years := bank.YearsTo(20, r*r*year, 0)
	assert.Greater(t, years, 22.)
	assert.Less(t, years, 22.3)
	assert.InDelta(t, 10, bank.YearsTo(20, 0, 2), 1e-9)
	both := bank.YearsTo(20, 16, 1)
	assert.InDelta(t, 20, math.Sqrt(16*both)+both, 1e-9)
	assert.True(t, math.IsInf(bank.YearsTo(20, 0, 0), 1))
}
