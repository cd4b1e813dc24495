package array

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func charger() *Charger {
	return &Charger{
		RatedA: 120, RatedArrayKW: 7, EfficiencyFraction: .97, DerateAboveC: 40, DerateFractionPC: -.02,
		AltitudeFreeM: 1500, AltitudeFractionPer100M: -.01,
	}
}

// −2 %/K above 40 °C, −1 % per 100 m above 1,500 m: common practice, no
// source.
func TestOutputLimitA(t *testing.T) {
	for _, row := range []struct{ elevationM, ambientC, want float64 }{
		{0, -20, 120}, {1500, 40, 120}, {0, 50, 96}, {2500, 20, 108}, {2500, 50, 86.4}, {0, 100, 0},
	} {
		assert.InDelta(t, row.want, charger().OutputLimitA(row.elevationM, row.ambientC), 1e-9, "%g m, %g °C", row.elevationM, row.ambientC)
	}
}

func TestOutputW(t *testing.T) {
	assert.InDelta(t, 970, charger().OutputW(1000), 1e-9)
	assert.Equal(t, 7000.0, charger().TakenW(9000))
	assert.InDelta(t, 6790, charger().OutputW(9000), 1e-9)
}
