package bank_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/bank"
)

// Counters of 4 modules as the trade meets them (common practice, no source):
// a shunt of class 0.5 % with an offset of 0.05 A and a dead band of 0.1 A,
// full at 55.2 V and 6 % for a minute; a BMS of 1 % with 0.3 A a module, full as
// it asks for, and 5 % at 3.0 V a cell. One year takes the error that reads
// high.
func TestCounterDefaults(t *testing.T) {
	s := lfp16(4)
	assert.Equal(t, bank.Counter{
		Kind: "shunt", GainFraction: .005, OffsetA: .05, DeadBandA: .1, AssumedFraction: .99, AssumedAh: 400,
		FullV: 55.2, FullA: 24, FullHoldS: 60,
	}, s.Counter(), "voltage-only")
	s.Operation = "data_linked"
	assert.Equal(t, bank.Counter{
		Kind: "bms", GainFraction: .01, DeadBandA: 1.2, AssumedFraction: .998, AssumedAh: 400,
		FullV: 55.8, FullA: 10, FullHoldS: 60, LowKneeV: 48, LowKneeSoCFraction: .05,
	}, s.Counter(), "data-linked")
}

func TestCounterTakesWhatIsGiven(t *testing.T) {
	s := lfp16(2)
	number := func(x float64) *float64 { return &x }
	s.Estimate = bank.Estimate{
		Kind: "bms", GainFraction: number(-.01), OffsetA: number(0), DeadBandA: number(.2), AssumedFraction: number(1), AssumedDrawA: .4,
		AssumedAh: 180, FullV: number(52.8), FullA: number(8), FullHoldS: number(30), LowKneeCellV: number(0), LowKneeSoC: number(.1),
	}
	assert.Equal(t, bank.Counter{
		Kind: "bms", GainFraction: -.01, DeadBandA: .2, AssumedFraction: 1, AssumedDrawA: .4, AssumedAh: 180,
		FullV: 52.8, FullA: 8, FullHoldS: 30, LowKneeV: 0, LowKneeSoCFraction: .1,
	}, s.Counter())
}
