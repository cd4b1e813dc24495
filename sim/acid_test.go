package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bankyear/sim"
	"bankyear/sim/bank"
)

const (
	noModule = `{"bank":{"module":null,"settings":null}}`
	vented   = `{"bank":{"module":{"key":"lead_acid_vented_24s_400ah"},"modules":1,"operation":"voltage_only"}}`
	sealed   = `{"bank":{"module":{"key":"lead_acid_sealed_24s_200ah"},"modules":2,"operation":"voltage_only"}}`
	noSet    = `{"generators":null}`
	// a battery of 2 Ah that gasses nothing and has next to no resistance, in a
	// system without draws, cells at 25 °C, dark only when the available well is
	// empty
	smallAcid = `{"bank":{"module":{"key":"lead_acid_vented_24s_400ah","capacity_ah":2,"wells":{"available_fraction":0.625,"rate_per_h":0.6912,"capacity_ah":2},
		"resistance_ohm":0.0001,"self_discharge_per_month_fraction":0,"worst_share":1},"operation":"voltage_only","modules":1,"estimate":{"kind":"none"}},
		"controls":{"low_end":{"cut_off_v":42.2,"fast_cut_off_v":42.1,"return_v":55}}}`
)

// Jongerden & Haverkort 2009, IET Software 3(6), 445: a battery of 7200 As, c
// .625 and k′ 4.5e-5/s (k .6912/h) lives 91 min at 0.96 A and 203 min on a square
// wave of half a duty (here of a minute; computed 91.14 and 202.94). The load is
// a power, held at 0.96 A by the voltage that the wells have in each minute.
func TestAcid_PublishedLifetimes(t *testing.T) {
	b := bank.TwoWell{AvailableFraction: .625, RatePerS: .6912 / 3600, CapacityAs: 7200}
	for name, c := range map[string]struct {
		stepS int
		on    func(step int) bool
		want  float64
	}{
		"continuous":  {300, func(int) bool { return true }, 91.14},
		"square wave": {60, func(step int) bool { return step%2 == 0 }, 202.94},
	} {
		w := year(c.stepS, always(0), always(25))
		l := dc(w, 1) // whatever comes after: it is dark then
		wells := bank.Rested(1)
		for i := range 15000 / c.stepS {
			current := 0.
			if c.on(i) {
				current = -.96
			}
			course := b.Course(wells, current, 0)
			l.DCEssentialW[i] = -current * 24 * (1.96 + .16*course.MeanLevel(float64(c.stepS)))
			wells = course.At(float64(c.stepS))
		}
		y := run(t, w, l, ideal, noModule, smallAcid)
		require.NotEmpty(t, y.Outages, name)
		at := refStart(t, y.Outages[0].Start) / 60
		assert.InDelta(t, c.want, at, .6, name)
		assert.Equal(t, sim.Empty, y.Outages[0].Cause, name)
	}
}

// Self-discharge is the gas of a battery at rest: 5 % in a month of 730 h from
// full, a little less as its voltage falls (common practice, no source).
func TestAcid_SelfDischarge(t *testing.T) {
	w := year(3600, always(0), always(25))
	y := run(t, w, &sim.Load{}, ideal, noModule, vented, `{"bank":{"enclosure":{"kind":"fixed","fixed_c":25}},"generators":null}`)
	soc := values(t, y, "soc_fraction")
	assert.InDelta(t, .05, 1-float64(soc[729]), .003, "of the rated capacity")
	assert.Greater(t, soc[729]-soc[1459], float32(.02))
	assert.Less(t, soc[729]-soc[1459], 1-soc[729])
}

// The books of lead-acid systems close, and what is lost is heat of the right
// size.
func TestAcid_BooksClose(t *testing.T) {
	systems := rapid.Custom(func(t *rapid.T) string { return randomStation(t) })
	for seed := range 8 {
		s := systems.Example(seed)
		settings := `{"bank":{"operation":"voltage_only","estimate":null,"link":null,"link_faults":null}}`
		for _, module := range []string{vented, sealed} {
			y := plan(t, s, noModule, module, settings).Run(true)
			closeBooks(t, &y.Books)
			in := y.Books.BankChargeKWh
			assert.GreaterOrEqual(t, y.Books.BankResistiveKWh, -1e-6*in)
			assert.False(t, math.IsNaN(y.Figures.LowestSoC+y.Figures.HighestCellC), s)
			assert.InDelta(t, y.Figures.CurtailedKWh, total(y.Figures.CurtailedByCause), 1e-9*y.Books.SolarAvailableKWh)
			assert.InDelta(t, y.Figures.DowntimeH, total(y.Figures.DowntimeByCauseH), 1e-8)
			assert.Zero(t, y.Figures.Trips, "no BMS")
		}
	}
}

// A year of the field station on lead-acid: round trip of 75 to 90 % (common
// practice, no source: 70 to 85 % of the energy where it is used deeply), an
// equalisation a month for vented cells, none for sealed ones, and the steps of
// 60 and 10 minutes agree.
func TestAcid_Year(t *testing.T) {
	for name, module := range map[string]string{"vented": vented, "sealed": sealed} {
		patches := []string{undecided, noModule, module, noSet, `{"bank":{"link_faults":null}}`}
		y := plan(t, patches...).Run(true)
		f, b := &y.Figures, &y.Books
		trip := b.BankDischargeKWh / b.BankChargeKWh
		assert.True(t, .72 < trip && trip < .92, "%s: round trip %g", name, trip)
		equalised, on := 0, false
		celsius := values(t, y, "bank_c")
		for i, v := range values(t, y, "bank_v") {
			high := v+.12*(celsius[i]-25) > 60.5
			if high && !on {
				equalised++
			}
			on = high
		}
		if name == "sealed" {
			assert.Zero(t, equalised)
		} else {
			assert.True(t, 6 <= equalised && equalised <= 16, "%d equalisations", equalised)
		}
		assert.Equal(t, bank.Sulfation(f.LongestUnfullD), f.Sulfation)
		assert.Zero(t, f.YearsTo80Pct, "no law of calendar ageing: absent")
		fine := plan(t, append(patches, `{"controls":{"internal_step_s":600}}`)...).Run(false)
		for figure, c := range map[string][2]float64{
			"downtime_h": {f.DowntimeH, fine.Figures.DowntimeH}, "curtailed_kwh": {f.CurtailedKWh, fine.Figures.CurtailedKWh},
			"throughput_mwh": {f.ThroughputMWh, fine.Figures.ThroughputMWh}, "coulombic": {b.BankCoulombicKWh, fine.Books.BankCoulombicKWh},
			"lowest_soc_fraction": {f.LowestSoC, fine.Figures.LowestSoC},
		} {
			assert.InDelta(t, c[1], c[0], max(.1, .01*math.Abs(c[1])), "%s %s", name, figure)
			t.Logf("%s %s %g %g", name, figure, c[0], c[1])
		}
	}
}

// A shunt on its default full values is set to full where the bank is nearly full,
// and what it says and what there is are of the same capacity: over a year of the
// field station with its set they stay together.
func TestAcid_ShuntFits(t *testing.T) {
	for name, module := range map[string]string{"vented": vented, "sealed": sealed} {
		y := plan(t, noModule, module, `{"bank":{"link_faults":null},"generators":{"main":{"start_below":null,"start_soc_fraction":0.5,"stop_soc_fraction":0.9}}}`).Run(true)
		soc, said := values(t, y, "soc_fraction"), values(t, y, "reported_soc_fraction")
		resets := 0
		for i := 1; i < len(soc); i++ {
			if said[i] > .9999 && said[i-1] < .99 {
				resets++
				assert.Greater(t, soc[i], float32(.9), "%s: set to full in hour %d", name, i)
			}
		}
		assert.Greater(t, resets, 100, name)
		assert.Less(t, y.Figures.SoCErrorMax, .12, name)
	}
}

// How long a lead-acid bank lasts and takes to be filled is told as of any other.
func TestAcid_Endurance(t *testing.T) {
	s := system(t, noModule, vented, `{"bank":{"age_years":2}}`)
	w, err := burlington()
	require.NoError(t, err)
	p := sim.Compile(&s.System, w, load(t, &s.Load, w))
	e := p.Endure(&s.System, w, p.Run(false))
	require.NotNil(t, e.AutonomyH)
	// 80 % of 400 Ah at 48 V, less what 8.3 A and cells near freezing leave in it
	kwh := *e.AutonomyH * e.WinterLoadW / 1000
	assert.True(t, 5 < kwh && kwh < 16, "%g kWh", kwh)
	// bulk at 60 A or less for about half of it, then the acceptance of both wells:
	// half a day and more (common practice, no source: 8 to 16 h)
	for _, r := range e.Recharge {
		assert.Equal(t, "voltage_only", r.Operation)
		require.NotNil(t, r.Hours, "%s, %s", r.By, r.When)
		assert.True(t, 8 < *r.Hours && *r.Hours < 16, "%s, %s: %g h", r.By, r.When, *r.Hours)
	}
}
