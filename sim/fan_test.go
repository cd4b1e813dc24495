package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Sixteen modules in a cupboard of 1 K/W stand 48 K above the air by the 48 W that
// their BMS draw, with 0.6·16^−0.63 = 0.105 K/W from cells to its air; a fan takes the
// cupboard away while they are warm.
func TestFan(t *testing.T) {
	w := year(3600, always(0), always(20))
	const full = `{"bank":{"modules":16,"module":{"bms_draw_w":3,"self_discharge_per_month_fraction":0},"enclosure":{"kind":"insulated_cupboard","insulation_c_per_w":1}}}`
	hot := run(t, w, dc(w, 0), ideal, full)
	at := 24 * 60
	assert.InDelta(t, 20+48*1.105, values(t, hot, "bank_c")[at], 1)
	fan := run(t, w, dc(w, 0), ideal, full, `{"bank":{"enclosure":{"fan":{"w":10}}}}`)
	assert.InDelta(t, 32, fan.Figures.HighestCellC, .01, "on there")
	low := float32(99)
	for _, c := range values(t, fan, "bank_c")[at : at+240] {
		low = min(low, c)
	}
	assert.Less(t, low, float32(29), "off at 28 °C")
	assert.Positive(t, fan.Books.FanKWh)
	assert.InDelta(t, fan.Books.OwnDrawKWh, fan.Books.FanKWh, 1e-9, "all that the bus pays here, as long as anything is left")
	assert.Zero(t, hot.Books.OwnDrawKWh)
	assert.Equal(t, hot, run(t, w, dc(w, 0), ideal, full, `{"bank":{"enclosure":{"fan":{"w":10,"on_c":79,"off_c":78}}}}`), "never on")
}

// The sun on the enclosure warms the air around the bank: 20 K for each kW/m² at
// 500 W/m² are 10 K.
func TestSolarGain(t *testing.T) {
	w := steady(500)
	const gain = `{"bank":{"enclosure":{"kind":"outdoor","solar_gain_c_per_kw_m2":20}},"array":{"planes":{"roof":{"rated_kw":0}}}}`
	assert.InDelta(t, 35, values(t, run(t, w, dc(w, 0), ideal, gain), "bank_c")[500], .01)
}
