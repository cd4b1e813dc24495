package weather

import (
	"math"
	"slices"
	"strings"
)

// Rules by which a sample that was not measured is filled.
const (
	// FillClosure: the one of GHI, DNI and DHI that is missing, from the other
	// two by GHI = DHI + DNI cos z.
	FillClosure = "closure"
	// FillInterpolated: straight line between the samples on both sides of a
	// short gap; irradiance on the clearness, as a share of what arrives
	// outside the atmosphere.
	FillInterpolated = "interpolated"
	// FillNearbyDays: the same time of day of the nearest days before and after
	// a long gap, the nearer day weighing more; irradiance on the clearness.
	FillNearbyDays = "nearby_days"
	// FillLeapDay: 29 February repeats 28 February.
	FillLeapDay = "leap_day"
)

// Fill marks a run of samples that were not measured but filled.
type Fill struct {
	Member string `json:"member"`
	Index  int    `json:"index"`
	Count  int    `json:"count"`
	Rule   string `json:"rule"`
}

// Gaps of up to shortGapH hours are interpolated; that is also how long a gap
// is filled without being asked for. Common practice, no source.
const (
	shortGapH   = 3
	longestGapH = 720
)

// nearbyDays is how far the rule for long gaps looks to either side.
const nearbyDays = 30

// gap is a run of missing samples of one column.
type gap struct {
	column   column
	from, to int
}

// filler fills the gaps (NaN) of a year. It reads measured samples only, so
// that the order of filling does not matter.
type filler struct {
	year   *Year
	sun    *Sun
	filled [columns][]float64 // copies of the columns that have gaps
	fills  []Fill
}

// fillGaps fills the gaps of up to longestH hours in place. It returns what it
// filled, by column and row, and the gaps that it left.
func fillGaps(y *Year, sun *Sun, longestH float64) (fills []Fill, left []gap) {
	f := &filler{year: y, sun: sun}
	perHour := 3600 / float64(y.StepS)
	for c := range columns {
		for _, g := range gapsOf(y, c) {
			if f.filled[c] == nil {
				f.filled[c] = slices.Clone(*y.values(c))
			}
			hours := float64(g.to-g.from) / perHour
			switch {
			case f.close(g):
			case hours > longestH:
				left = append(left, g)
			case hours <= shortGapH && f.interpolate(g):
			case hours > shortGapH && f.nearby(g):
			default:
				left = append(left, g)
			}
		}
	}
	for c := range columns {
		if f.filled[c] != nil {
			*y.values(c) = f.filled[c]
		}
	}
	return f.fills, left
}

func gapsOf(y *Year, c column) []gap {
	values := *y.values(c)
	var all []gap
	for i := 0; i < len(values); i++ {
		if !math.IsNaN(values[i]) {
			continue
		}
		from := i
		for i < len(values) && math.IsNaN(values[i]) {
			i++
		}
		all = append(all, gap{c, from, i})
	}
	return all
}

func (f *filler) mark(g gap, rule string) bool {
	f.fills = append(f.fills, Fill{g.column.String(), g.from, g.to - g.from, rule})
	return true
}

// set keeps a filled sample within the physical range of its column.
func (f *filler) set(c column, i int, x float64) {
	info := &columnInfos[c]
	f.filled[c][i] = max(info.min, min(info.max, x)) + 0
}

// lowSun is the least cos z at which clearness is worth anything: about 6°.
const lowSun = 0.1

// close fills a gap from the other two of GHI, DNI and DHI, when they are there
// throughout and the sun is high enough to divide by.
func (f *filler) close(g gap) bool {
	y := f.year
	if g.column > dhi || y.GHI == nil || y.DNI == nil || y.DHI == nil {
		return false
	}
	for i := g.from; i < g.to; i++ {
		z := max(0, f.sun.CosZenith[i])
		var x float64
		switch g.column {
		case ghi:
			x = y.DHI[i] + float64(y.DNI[i]*z)
		case dhi:
			x = y.GHI[i] - float64(y.DNI[i]*z)
		case dni:
			x = y.GHI[i] - y.DHI[i]
			switch {
			case z >= lowSun:
				x /= z
			case y.GHI[i] > 0:
				return false
			}
		}
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
		f.set(g.column, i, x)
	}
	return f.mark(g, FillClosure)
}

// outside is what a column would be without an atmosphere, the mean over the
// interval: E0·cos z on the horizontal, E0 for DNI and a plane. Other columns
// are not scaled.
func (f *filler) outside(c column, i int) float64 {
	switch c {
	case ghi, dhi:
		return f.sun.ExtraterrestrialWM2[i] * max(0, f.sun.CosZenith[i]) * f.sun.SunlitFraction[i]
	case dni, plane:
		return f.sun.ExtraterrestrialWM2[i] * f.sun.SunlitFraction[i]
	}
	return 1
}

// sample is a measured value as a share of outside; ok is false where it is
// missing, bad, or irradiance with the sun too low.
func (f *filler) sample(c column, i int) (share float64, ok bool) {
	x := (*f.year.values(c))[i]
	if math.IsNaN(x) || math.IsInf(x, 0) || c.isIrradiance() && f.sun.CosZenith[i] < lowSun {
		return 0, false
	}
	return x / f.outside(c, i), true
}

// interpolate draws a line between the nearest good samples on both sides of
// the gap. The clearness of one day says little about the next: a sample
// beyond a night only counts when there is none on this side of it. With one
// sample alone it is held.
func (f *filler) interpolate(g gap) bool {
	before, a := f.nearest(g.column, g.from-1, -1, true)
	after, b := f.nearest(g.column, g.to, 1, true)
	if before < 0 && after < 0 {
		before, a = f.nearest(g.column, g.from-1, -1, false)
		after, b = f.nearest(g.column, g.to, 1, false)
	}
	switch {
	case before < 0 && after < 0:
		if !g.column.isIrradiance() || !f.dark(g) {
			return false
		}
		before, after = g.from-1, g.to
	case before < 0:
		a, before = b, g.from-1
	case after < 0:
		b, after = a, g.to
	}
	for i := g.from; i < g.to; i++ {
		w := float64(i-before) / float64(after-before)
		f.set(g.column, i, (a+float64((b-a)*w))*f.outside(g.column, i))
	}
	return f.mark(g, FillInterpolated)
}

// nearest looks for a good sample from row i on, within a day, for irradiance
// up to the next night when sameDay is set. It returns row -1 for none.
func (f *filler) nearest(c column, i, step int, sameDay bool) (row int, share float64) {
	for k := 0; k < 86400/f.year.StepS && i >= 0 && i < f.year.Len(); k++ {
		if x, ok := f.sample(c, i); ok {
			return i, x
		}
		if sameDay && c.isIrradiance() && f.sun.SunlitFraction[i] == 0 {
			break
		}
		i += step
	}
	return -1, 0
}

// dark tells whether the sun is down all through a gap.
func (f *filler) dark(g gap) bool {
	for i := g.from; i < g.to; i++ {
		if f.sun.SunlitFraction[i] > 0 {
			return false
		}
	}
	return true
}

// nearby takes each sample from the same time of day on the nearest days with
// a measured sample before and after, weighted by the distance of the other.
// With the sun low the values themselves are taken, not the clearness.
func (f *filler) nearby(g gap) bool {
	day := 86400 / f.year.StepS
	for i := g.from; i < g.to; i++ {
		total, weight := 0.0, 0.0
		for _, step := range []int{-day, day} {
			for k := 1; k <= nearbyDays; k++ {
				at := i + k*step
				if at < 0 || at >= f.year.Len() {
					break
				}
				x := (*f.year.values(g.column))[at]
				if math.IsNaN(x) || math.IsInf(x, 0) {
					continue
				}
				if share, ok := f.sample(g.column, at); ok && g.column.isIrradiance() {
					x = share * f.outside(g.column, i)
				}
				if g.column.isIrradiance() && f.sun.SunlitFraction[i] == 0 {
					x = 0
				}
				total += x / float64(k)
				weight += 1 / float64(k)
				break
			}
		}
		if weight == 0 {
			return false
		}
		f.set(g.column, i, total/weight)
	}
	return f.mark(g, FillNearbyDays)
}

// sortFills brings fills into the order of their columns and rows and joins
// neighbours of one rule.
func sortFills(fills []Fill) []Fill {
	slices.SortStableFunc(fills, func(a, b Fill) int {
		if a.Member != b.Member {
			return strings.Compare(a.Member, b.Member)
		}
		return a.Index - b.Index
	})
	out := fills[:0]
	for _, f := range fills {
		if n := len(out); n > 0 && out[n-1].Member == f.Member && out[n-1].Rule == f.Rule && out[n-1].Index+out[n-1].Count == f.Index {
			out[n-1].Count += f.Count
			continue
		}
		out = append(out, f)
	}
	return out
}
