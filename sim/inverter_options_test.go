package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim"
)

// Hours without AC load cost the search draw instead of the idle loss: by hand
// 12 h a day at 42 or 12 W.
func TestSearchMode(t *testing.T) {
	w := year(3600, func(row int) float64 { return 600 * pulse(row, 0, 12) }, always(25))
	l := &sim.Load{ACEssentialW: column(8760, func(row int) float64 { return 500 * pulse(row, 0, 12) })}
	const curve = `{"inverter":{"idle_fraction":0.007,"rated_w":6000,"search_draw_w":12%s}}`
	idle := run(t, w, l, ideal, topped, patch(curve, ""))
	search := run(t, w, l, ideal, topped, patch(curve, `,"search_below_w":20`))
	assert.InDelta(t, 8.760*42, idle.Books.InverterLossKWh, 1e-6)
	assert.InDelta(t, 4.380*(42+12), search.Books.InverterLossKWh, 1e-6)
	assert.Zero(t, search.Figures.DowntimeH)
}

// A site with two inverters of half the size is the site with one.
func TestTwoHalvesOfAnInverter(t *testing.T) {
	one := plan(t, `{"inverter":{"rated_w":6000,"short_ratings_w_s":[[7000,1800],[9000,60],[12000,5]],"charger_a":100,"off_draw_w":8}}`).Run(false)
	two := plan(t, `{"inverter":{"units":2,"rated_w":3000,"short_ratings_w_s":[[3500,1800],[4500,60],[6000,5]],"charger_a":50,"off_draw_w":4,"search_draw_w":6}}`).Run(false)
	assert.Equal(t, one.Figures, two.Figures)
	assert.Equal(t, one.Books, two.Books)
	assert.Equal(t, one.Inrush, two.Inrush)
}
