package bank_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/bank"
)

func fromF(f float64) float64 { return (f - 32) * 5 / 9 }

// Cell-size temperature factors of IEEE 485.
func TestTemperatureFactors(t *testing.T) {
	for _, row := range [][2]float64{
		{40, 1.300}, {50, 1.190}, {60, 1.110}, {70, 1.040}, {77, 1.000}, {80, .980}, {90, .940}, {100, .910}, {110, .880}, {120, .860},
	} {
		assert.InDelta(t, row[1], bank.AcidTemperatureFactor(fromF(row[0])), 1e-9, "%g °F", row[0])
	}
	assert.InDelta(t, (1.04+1)/2, bank.AcidTemperatureFactor(fromF(73.5)), 1e-9, "a straight line between")
	assert.Equal(t, .86, bank.AcidTemperatureFactor(60))
	// at −20 °C about half is left (common practice, no source)
	assert.InDelta(t, .5, 1/bank.AcidTemperatureFactor(-20), .05)
}

// Counted from the floor, every capacity is the one at 25 °C divided by the
// factor (IEEE 485), and no charge is lost on the way.
func TestColdLocksCharge(t *testing.T) {
	for _, celsius := range []float64{25, fromF(60), fromF(40), -20} {
		floor := bank.AcidFloor(celsius)
		for _, hours := range []float64{1, 5, 20} {
			i := hourly.CurrentToA(bank.Rested(1), floor, hours*3600)
			want := -hourly.DeliveredAs(hours*3600) / (hours * 3600) / bank.AcidTemperatureFactor(celsius)
			assert.InDelta(t, want, i, 1e-9, "%g °C, %g h", celsius, hours)
		}
	}
	assert.Zero(t, bank.AcidFloor(40))
}

// The table form passes for a module's own: rising in °C, 1 at 25 °C.
func TestCapacityByC(t *testing.T) {
	table := bank.AcidCapacityByC()
	for i, row := range table {
		assert.InDelta(t, 1/bank.AcidTemperatureFactor(row[0]), row[1], 1e-12)
		assert.True(t, i == 0 || row[0] > table[i-1][0] && row[1] > table[i-1][1])
	}
	assert.Equal(t, [2]float64{25, 1}, table[len(table)-1])
}
