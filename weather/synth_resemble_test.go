package weather

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Against the measured typical years of six open sites: the distribution of
// daily clearness (Kolmogorov–Smirnov distance), its correlation from day to
// day, how much the hourly clearness moves, and the daily temperatures. The
// published chain spreads the days of a humid tropical coast (Miami) too far.
func TestSynthesise_ResemblesMeasuredYears(t *testing.T) {
	for file, distance := range map[string]float64{
		"burlington_vt_tmy3.csv": 0.10, "chicago_ohare_il_tmy3.csv": 0.10, "daggett_ca_tmy3.csv": 0.10,
		"arcata_ca_tmy3.csv": 0.10, "tucson_az_tmy3.csv": 0.10, "miami_fl_tmy3.csv": 0.15,
	} {
		measured := openYear(t, file)
		k := dailyClearness(measured)
		sun := measured.Sun()
		var all []float64
		var lag, move, spread, swing, days float64
		for _, y := range ensemble(t, monthlyOf(measured), 2023) {
			own := dailyClearness(y)
			all = append(all, own...)
			lag += correlationLag1(own) / members
			move += hourlyMove(y, sun) / members
			s, w := temperatureSpread(y.AmbientC)
			spread, swing = spread+s/members, swing+w/members
			days++
		}
		d := kolmogorovSmirnov(all, k)
		s, w := temperatureSpread(measured.AmbientC)
		t.Logf("%s: KS %.3f; lag 1 %.2f (measured %.2f); hourly move %.3f (%.3f); temperature spread %.1f (%.1f), swing %.1f (%.1f) °C",
			file, d, lag, correlationLag1(k), move, hourlyMove(measured, sun), spread, s, swing, w)
		assert.Less(t, d, distance, file)
		assert.InDelta(t, correlationLag1(k), lag, 0.10, file)
		assert.InEpsilon(t, hourlyMove(measured, sun), move, 0.30, file)
		assert.InEpsilon(t, s, spread, 0.35, file)
		assert.InEpsilon(t, w, swing, 0.35, file)
	}
}

// hourlyMove is the root mean square of the change of clearness from hour to
// hour while the sun is above 10°.
func hourlyMove(y *Year, sun *Sun) float64 {
	total, n := 0.0, 0
	share := func(i int) float64 { return y.GHI[i] / sun.CosZenith[i] / sun.ExtraterrestrialWM2[i] }
	for i := 1; i < len(y.GHI); i++ {
		if sun.ZenithDeg[i] < 80 && sun.ZenithDeg[i-1] < 80 {
			total += math.Pow(share(i)-share(i-1), 2)
			n++
		}
	}
	return math.Sqrt(total / float64(n))
}

// temperatureSpread is the standard deviation of daily means about their
// month's, and the mean difference of the warmest and coldest hour of a day.
func temperatureSpread(c []float64) (spread, swing float64) {
	var squares float64
	from := 0
	for _, n := range monthLengths(2023) {
		month := meanOf(c[from : from+n*24])
		for range n {
			day := c[from : from+24]
			squares += math.Pow(meanOf(day)-month, 2) / 365
			swing += (slices.Max(day) - slices.Min(day)) / 365
			from += 24
		}
	}
	return math.Sqrt(squares), swing
}

// What a store makes of the years: a linear store of three days of load, the
// load 0.7 of the mean irradiation. The share of load not served in the
// synthetic years is within a factor of two of the measured one or 0.5 % of
// the load.
func TestSynthesise_StarvesAStoreAsMuch(t *testing.T) {
	for _, file := range []string{"burlington_vt_tmy3.csv", "chicago_ohare_il_tmy3.csv", "arcata_ca_tmy3.csv", "daggett_ca_tmy3.csv", "tucson_az_tmy3.csv", "miami_fl_tmy3.csv"} {
		measured := openYear(t, file)
		want, got := unserved(measured), 0.0
		for _, y := range ensemble(t, monthlyOf(measured), 2023) {
			got += unserved(y) / members
		}
		t.Logf("%s: %.2f %% of the load not served, measured %.2f %%", file, 100*got, 100*want)
		if math.Abs(got-want) > 0.005 {
			assert.Less(t, got, 2*want, file)
			assert.Greater(t, got, want/2, file)
		}
	}
}

func unserved(y *Year) float64 {
	load := 0.7 * meanOf(y.GHI)
	full := load * 72
	store, missing := full, 0.0
	for range 2 { // the second round counts
		missing = 0
		for _, x := range y.GHI {
			store = min(full, store+x-load)
			if store < 0 {
				missing -= store
				store = 0
			}
		}
	}
	return missing / (load * float64(len(y.GHI)))
}

// dailyClearness is a day's irradiation over that outside the atmosphere.
func dailyClearness(y *Year) []float64 {
	outside := outsideYear(y.Site, y.CalendarYear)
	k := make([]float64, len(outside))
	for d := range k {
		k[d] = sum(y.GHI[d*24:d*24+24]) / outside[d].wh
	}
	return k
}

func correlationLag1(x []float64) float64 {
	m := meanOf(x)
	var with, own float64
	for i := range x {
		own += (x[i] - m) * (x[i] - m)
		if i > 0 {
			with += (x[i] - m) * (x[i-1] - m)
		}
	}
	return with / own
}

// kolmogorovSmirnov is the greatest distance between two distributions.
func kolmogorovSmirnov(a, b []float64) float64 {
	a, b = slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b))
	worst, i, j := 0.0, 0, 0
	for i < len(a) && j < len(b) {
		if a[i] < b[j] {
			i++
		} else {
			j++
		}
		worst = max(worst, math.Abs(float64(i)/float64(len(a))-float64(j)/float64(len(b))))
	}
	return worst
}
