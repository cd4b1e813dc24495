package study_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim"
	"bankyear/sim/study"
)

func TestFiguresInARow(t *testing.T) {
	figures := study.Figures()
	row := make([]float64, len(figures))
	study.Row(row, figures, &sim.Figures{
		DowntimeH: 37, DarkNights: 4, FuelL: 210.5, DowntimeByCauseH: map[string]float64{"empty": 30, "inrush": 7}, CurtailedByCause: map[string]float64{"bank_full": 800},
		LongestOutageStart: "2025-01-01T00:00",
	})
	want := map[string]float64{"downtime_h": 37, "dark_nights": 4, "fuel_l": 210.5, "downtime_by_cause_h.empty": 30, "downtime_by_cause_h.inrush": 7, "curtailed_by_cause_kwh.bank_full": 800}
	seen := map[string]bool{}
	for i, f := range figures {
		assert.Equal(t, want[f.Name], row[i], f.Name)
		assert.Equal(t, i, study.Column(f.Name))
		assert.False(t, seen[f.Name], f.Name)
		seen[f.Name] = true
	}
	for name := range want {
		assert.True(t, seen[name], name)
	}
	assert.False(t, seen["longest_outage_start"], "no number")
	assert.Equal(t, -1, study.Column("downtime"))
	assert.Equal(t, "h", figures[study.Column("downtime_by_cause_h.empty")].Unit[:1])
	assert.Equal(t, "l", figures[study.Column("fuel_l")].Unit)
}

func TestTextsOfAYear(t *testing.T) {
	y := &sim.Figures{LongestOutageStart: "2025-01-01T00:00", LowestSoCAt: "2025-02-01T00:00", SoCErrorMaxAt: "2025-03-01T00:00", OpeningMostAt: "2025-04-01T00:00", Sulfation: "caution"}
	got := map[string]string{}
	for _, f := range study.TextFigures() {
		got[f.Name] = f.Of(y)
		assert.NotEmpty(t, f.Doc)
	}
	assert.Equal(t, map[string]string{"longest_outage_start": y.LongestOutageStart, "lowest_soc_at": y.LowestSoCAt, "soc_error_max_at": y.SoCErrorMaxAt, "opened_while_charging_at": y.OpeningMostAt, "sulfation": y.Sulfation}, got)
}
