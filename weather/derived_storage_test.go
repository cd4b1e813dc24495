package weather

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// daily is an hourly year of a load of 1 kW and an array that gives, from 06:00
// to 18:00, the power of the day.
func daily(kw func(day int) float64) (y *Year, solarW, loadW []float64) {
	y = &Year{CalendarYear: 2025, StepS: 3600}
	for i := range y.Len() {
		solar := 0.0
		if h := i % 24; h >= 6 && h < 18 {
			solar = 1000 * kw(i/24)
		}
		solarW, loadW = append(solarW, solar), append(loadW, 1000)
	}
	return y, solarW, loadW
}

// By hand: the array covers each day, but five from 11 April with a quarter of
// it. They lack 5·(24 − 6) = 90 kWh. A store is last full at 18:00 on 10 April
// and begins to fill at 06:00 on 16 April: 132 h of load less 5·6 kWh are 102
// kWh, 4.25 days.
func TestNeed_DarkSpell(t *testing.T) {
	y, solar, load := daily(func(day int) float64 {
		if day >= 100 && day < 105 {
			return 0.5
		}
		return 2
	})
	got := y.Need(solar, load)
	assert.Equal(t, Need{
		Spell:      Spell{Start: "2025-04-11", Days: 5, SolarKWh: 30, LoadKWh: 120, DeficitKWh: 90},
		StorageKWh: 102, LoadKWhPerDay: 24, AutonomyD: 4.25,
	}, got, "the five days are not made good: the array gives less than the load over the year")
	for i := range solar {
		solar[i] *= 1.25
	}
	assert.True(t, y.Need(solar, load).ArrayCovers)
}

// The spell may run across New Year; half-hours give what hours give.
func TestNeed_AcrossNewYear(t *testing.T) {
	dark := func(day int) float64 {
		if day < 3 || day >= 363 {
			return 0
		}
		return 2.25
	}
	y, solar, load := daily(dark)
	got := y.Need(solar, load)
	assert.Equal(t, Spell{Start: "2025-12-30", Days: 5, LoadKWh: 120, DeficitKWh: 120}, got.Spell)
	assert.Equal(t, 132.0, got.StorageKWh)

	half := &Year{CalendarYear: 2025, StepS: 1800}
	var solar2, load2 []float64
	for i := range solar {
		solar2, load2 = append(solar2, solar[i], solar[i]), append(load2, load[i], load[i])
	}
	assert.Equal(t, got, half.Need(solar2, load2))
}

// Hand sizing in the style of AS/NZS 4509.2 (from memory): 2.4 kWh a day and
// three days without sun ask for 7.2 kWh of storage beside the nights' share.
func TestNeed_HandSizing(t *testing.T) {
	y, solar, load := daily(func(day int) float64 {
		if day >= 200 && day < 203 {
			return 0
		}
		return 0.4
	})
	for i := range load {
		load[i] = 100
	}
	got := y.Need(solar, load)
	assert.InDelta(t, 7.2, got.Spell.DeficitKWh, 1e-9)
	assert.Equal(t, 3, got.Spell.Days)
	assert.InDelta(t, 7.2+12*0.1, got.StorageKWh, 1e-9)
	assert.InDelta(t, 3.5, got.AutonomyD, 1e-9)
}

func TestNeed_Ends(t *testing.T) {
	y, solar, load := daily(func(int) float64 { return 3 })
	night := y.Need(solar, load)
	assert.Equal(t, Need{StorageKWh: 12, LoadKWhPerDay: 24, AutonomyD: 0.5, ArrayCovers: true}, night, "only nights")
	none := make([]float64, y.Len())
	assert.Equal(t, Need{ArrayCovers: true}, y.Need(solar, none), "no load")
	dark := y.Need(none, load)
	assert.Equal(t, Spell{Start: "2025-01-01", Days: 365, LoadKWh: 8760, DeficitKWh: 8760}, dark.Spell, "no more than the year")
	assert.False(t, dark.ArrayCovers)
	assert.Panics(t, func() { y.Need(solar[1:], load) })
	text, err := json.Marshal(night)
	require.NoError(t, err)
	assert.JSONEq(t, `{"dark_spell":{"days":0,"solar_kwh":0,"load_kwh":0,"deficit_kwh":0},"storage_kwh":12,"load_kwh_per_day":24,"autonomy_d":0.5,"array_covers_load":true}`, string(text))
}

// Against every run there is. Whole numbers: sums are exact.
func TestWorstRun_AgainstAllRuns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var values []float64
		for _, x := range rapid.SliceOfN(rapid.IntRange(-9, 9), 1, 30).Draw(t, "values") {
			values = append(values, float64(x))
		}
		n := len(values)
		most, shortest := 0.0, 0
		for from := range n {
			total := 0.0
			for length := 1; length <= n; length++ {
				total += values[(from+length-1)%n]
				if total > most || total == most && most > 0 && length < shortest {
					most, shortest = total, length
				}
			}
		}
		from, length, total := worstRun(values)
		own := 0.0
		for i := from; i < from+length; i++ {
			own += values[i%n]
		}
		if total != most || own != most || length > n || length < shortest {
			t.Fatalf("run of %d from %d sums to %g (%g said), the worst to %g in %d", length, from, own, total, most, shortest)
		}
	})
}

// A store of the size found just carries the load through any year that its
// array covers, and one a little smaller does not.
func TestNeed_StoreIsJustLargeEnough(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		days := rapid.SliceOfN(rapid.Float64Range(0, 4), 40, 40).Draw(t, "kW")
		kw := func(day int) float64 { return days[(day*day+day)%40] }
		y, solar, load := daily(kw)
		if lack := sum(load) - sum(solar); lack >= 0 { // as much more each day as covers the load
			y, solar, load = daily(func(day int) float64 { return kw(day) + lack/1000/12/365 + 1e-6 })
		}
		need := y.Need(solar, load)
		if !need.ArrayCovers || need.StorageKWh < 12 {
			t.Fatalf("an array that covers its load, dark for half of the day: %+v", need)
		}
		unserved := func(size float64) float64 {
			store, missing := size, 0.0
			for range 2 { // the second year begins as the first ended
				missing = 0
				for i := range solar {
					store = math.Min(size, store+(solar[i]-load[i])/1000)
					if store < 0 {
						missing, store = missing-store, 0
					}
				}
			}
			return missing
		}
		if x := unserved(need.StorageKWh + 1e-6); x > 0 {
			t.Fatalf("a store of %g kWh leaves %g kWh unserved", need.StorageKWh, x)
		}
		if unserved(need.StorageKWh-0.01) == 0 {
			t.Fatalf("a store smaller than %g kWh is enough", need.StorageKWh)
		}
		if need.Spell.DeficitKWh > need.StorageKWh+1e-9 {
			t.Fatalf("a spell of days lacks %g kWh, more than any span of hours, %g", need.Spell.DeficitKWh, need.StorageKWh)
		}
	})
}

func BenchmarkNeed(b *testing.B) {
	y, solar, load := daily(func(day int) float64 { return 2 + math.Cos(float64(day)) })
	for b.Loop() {
		y.Need(solar, load)
	}
}
