package sim_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// What the figures say of days, outages and the warranty is what the hours and the
// list of outages say.
func TestDailyFigures_FromTheHours(t *testing.T) {
	s := system(t, `{"bank":{"modules":2}}`)
	w, err := burlington()
	require.NoError(t, err)
	y := sim.Compile(&s.System, w, load(t, &s.Load, w)).Run(true)
	f := &y.Figures

	soc, sun := values(t, y, "soc_fraction"), values(t, y, "solar_available_w")
	var depths []float64
	month := make([]float64, 12)
	monthOf := func(day int) int { // of a year of 365 days
		for m, last := range []int{31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365} {
			if day < last {
				return m
			}
		}
		panic("day")
	}
	for day := 1; day < 365; day++ { // the first day starts from a charge that no row has
		rows := soc[24*day-1 : 24*day+24] // the end of the day before to its own end
		depths = append(depths, float64(slices.Max(rows)-slices.Min(rows)))
	}
	for i, x := range sun {
		month[monthOf(i/24)] += float64(x)
	}
	dark := slices.Clone(month)
	slices.Sort(dark)
	var winter []float64
	for i, d := range depths {
		if month[monthOf(i+1)] <= dark[2] {
			winter = append(winter, d)
		}
	}
	slices.Sort(winter)
	slices.Sort(depths)
	assert.InDelta(t, winter[len(winter)/2], f.DepthWinter, .004)
	assert.InDelta(t, depths[len(depths)*9/10], f.DepthWorstTenth, .004)

	hour, four := 0, 0
	for _, o := range y.Outages {
		if o.Hours > 1 {
			hour++
		}
		if o.Hours > 4 {
			four++
		}
	}
	require.Positive(t, four)
	assert.Equal(t, []int{hour, four}, []int{f.HourLongOutages, f.FourHourOutages})
	assert.InDelta(t, f.ThroughputMWh/(2*16), f.WarrantyShare, 1e-12, "16 MWh a module, as the catalogue has it")

	cells := values(t, y, "bank_c")
	mean := 0.
	for _, c := range cells[:31*24] {
		mean += float64(c) / (31 * 24)
	}
	assert.InDelta(t, mean, y.Months()[0].MeanCellC, .3)
	assert.True(t, y.Waited)
}

// A counter is re-set on each bright day; three days without sun are the longest
// time without. One that is exact has no re-sets.
func TestResets(t *testing.T) {
	w := year(3600, func(row int) float64 {
		if h, day := row%24, row/24; h >= 8 && h < 16 && (day < 100 || day >= 103) {
			return 800
		}
		return 0
	}, always(25))
	f := run(t, w, dc(w, 30), `{"controls":{"settle_days":30}}`).Figures
	assert.InDelta(t, 365-3, f.Resets, 3)
	assert.InDelta(t, 4*24, f.WithoutResetH, 12, "from full on one day to full on the day after the dark ones")
	// a shunt whose error reads high stands at full already; it is set there all the same
	f = run(t, w, dc(w, 30), `{"bank":{"operation":"voltage_only"},"generators":null,"controls":{"settle_days":30}}`).Figures
	assert.InDelta(t, 365-3, f.Resets, 3)
	assert.InDelta(t, 4*24, f.WithoutResetH, 12)
	assert.InDelta(t, f.LongestUnfullD*24, f.WithoutResetH, 6, "full for the chargers is full for the shunt")
	f = run(t, w, dc(w, 30), `{"bank":{"estimate":{"kind":"exact"}}}`).Figures
	assert.Zero(t, f.Resets)
	assert.Zero(t, f.WithoutResetH)
}
