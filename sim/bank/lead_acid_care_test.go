package bank_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/bank"
)

// Full at least every one or two weeks, and never a month without (common
// practice, no source).
func TestSulfation(t *testing.T) {
	for _, c := range []struct {
		days float64
		says string
	}{{0, "pass"}, {7, "pass"}, {14, "pass"}, {15, "caution"}, {30, "caution"}, {31, "fail"}, {365, "fail"}} {
		assert.Equal(t, c.says, bank.Sulfation(c.days), "%g days", c.days)
	}
}

func TestEqualiseDue(t *testing.T) {
	const day = 86400
	assert.Equal(t, 29.*day, bank.EqualiseDueInS(day, 30))
	assert.Zero(t, bank.EqualiseDueInS(30*day, 30))
	assert.Zero(t, bank.EqualiseDueInS(45*day, 30))
	assert.True(t, math.IsInf(bank.EqualiseDueInS(1e9, 0), 1), "sealed cells never")
}

// Cycles of lead-acid (common practice, no source): at half depth some 1200 to
// 1800 for vented deep-cycle cells and 500 to 1000 for sealed ones; the charge
// that goes through them in their life depends little on the depth, so that
// depth times cycles stays within a quarter of its mean.
func TestCyclesOfLeadAcid(t *testing.T) {
	for chemistry, half := range map[string][2]float64{"lead_acid_vented": {1200, 1800}, "lead_acid_sealed": {500, 1000}} {
		table := bank.AcidCyclesByDepth(chemistry)
		at := bank.CyclesAt(table, bank.AcidUsableDepth)
		assert.True(t, half[0] <= at && at <= half[1], "%s: %g at half depth", chemistry, at)
		var sum float64
		for _, row := range table {
			sum += row[0] * row[1]
		}
		for i, row := range table {
			assert.InEpsilon(t, sum/float64(len(table)), row[0]*row[1], .25, "%s at %g", chemistry, row[0])
			assert.True(t, i == 0 || row[0] > table[i-1][0] && row[1] < table[i-1][1])
		}
	}
}
