package weather

import (
	"math"
	"math/rand/v2"
)

// temperatures makes hourly air temperature from twelve monthly means: a
// seasonal curve, deviations that move from day to day, and a daily wave that
// is larger on clear days. The means are kept exactly.
//
// The wave is that of Erbs, Klein & Beckman 1983, ASHRAE Journal 25(6), 60–65
// (from memory), with t* = 2π(t − 1)/24 and t the hour from 1:
//
//	(T − mean)/A = 0.4632 cos(t* − 3.805) + 0.0984 cos(2t* − 0.360)
//	             + 0.0168 cos(3t* − 0.822) + 0.0138 cos(4t* − 3.513)
//	A = 25.8 K − 5.21 °C for a monthly mean clearness K
//
// A day's A is the month's in proportion to its clearness, between a quarter of
// it and one and a half times (common practice, no source).
func temperatures(monthC, monthK [12]float64, dayK []float64, lengths [12]int, draw *rand.PCG) []float64 {
	deviation := dayDeviations(monthC, lengths, draw)
	out := make([]float64, 0, len(dayK)*24)
	base := monthC
	d := 0
	for m, n := range lengths {
		from := len(out)
		swing := max(leastSwingC, float64(25.8*monthK[m])-5.21)
		for range n {
			share := 1.0
			if monthK[m] > 0 {
				share = min(1.5, max(0.25, dayK[d]/monthK[m]))
			}
			for h := range 24 {
				wave := float64(float64(swing*share) * dailyWave[h])
				out = append(out, hourBetween(deviation, d, h)+wave)
			}
			d++
		}
		base[m] -= meanOf(out[from:])
	}
	for i, t := range seasonalCurve(base, lengths) {
		out[i] += t
	}
	return out
}

// leastSwingC is the least A of a month, °C (common practice, no source).
const leastSwingC = 2

// dayMemory is how much of a deviation is left after a day. It and the standard
// deviation of daily means about their month's,
//
//	s = 0.9 + 0.34 σ − 0.7 (T − T̄)/σ °C,
//
// with T̄ and σ the mean and standard deviation of the twelve means, are our
// own fit to the seven open typical years of the tests; s meets the yearly mean
// of each within a third, but for the tropical island (half as much again).
const dayMemory = 0.7

// dayDeviations draws the deviation of each day from its month's mean, °C.
func dayDeviations(monthC [12]float64, lengths [12]int, draw *rand.PCG) []float64 {
	mean, spread := meanOf(monthC[:]), yearSpread(monthC)
	step := math.Sqrt(1 - float64(dayMemory*dayMemory))
	x := gaussian(draw)
	var out []float64
	for m, n := range lengths {
		s := 0.9 + float64(0.34*spread) - float64(0.7*(monthC[m]-mean))/max(1, spread)
		for range n {
			x = float64(dayMemory*x) + float64(step*gaussian(draw))
			out = append(out, float64(max(0.4, s)*x))
		}
	}
	return out
}

// hourBetween is the value at the middle of an hour of a series of noons.
func hourBetween(noons []float64, day, hour int) float64 {
	from, x := day, float64(hour-12)+0.5
	if x < 0 {
		from, x = day-1, x+24
	}
	a, b := noons[max(from, 0)], noons[min(from+1, len(noons)-1)]
	return a + float64((b-a)*x)/24
}

// dailyWave is the wave at the middle of each hour, less its mean.
var dailyWave = func() [24]float64 {
	var wave [24]float64
	sum := 0.0
	for h := range wave {
		t := float64((float64(h)+0.5-1)*(2*math.Pi)) / 24
		wave[h] = float64(0.4632*sameCos(t-3.805)) + float64(0.0984*sameCos(float64(2*t)-0.360)) +
			float64(0.0168*sameCos(float64(3*t)-0.822)) + float64(0.0138*sameCos(float64(4*t)-3.513))
		sum += wave[h]
	}
	for h := range wave {
		wave[h] -= sum / 24
	}
	return wave
}()

// seasonalCurve joins the middles of the months by straight lines whose
// corners are moved until the means of the months are right, an hour a value.
func seasonalCurve(monthC [12]float64, lengths [12]int) []float64 {
	corners := monthC
	total := 0
	for _, n := range lengths {
		total += n * 24
	}
	curve := make([]float64, total)
	for range 40 {
		from := 0
		for m, days := range lengths {
			before, after, n := lengths[(m+11)%12]*24, lengths[(m+1)%12]*24, days*24
			for i := range n {
				x := float64(float64(i)+0.5)/float64(n) - 0.5 // from −½ to ½
				if x < 0 {
					x = float64(-x*float64(2*n)) / float64(n+before)
					curve[from+i] = corners[m] + float64(x*(corners[(m+11)%12]-corners[m]))
				} else {
					x = float64(x*float64(2*n)) / float64(n+after)
					curve[from+i] = corners[m] + float64(x*(corners[(m+1)%12]-corners[m]))
				}
			}
			from += n
		}
		from = 0
		for m, days := range lengths {
			corners[m] += monthC[m] - meanOf(curve[from:from+days*24])
			from += days * 24
		}
	}
	return curve
}

// yearSpread is the standard deviation of the monthly means.
func yearSpread(monthC [12]float64) float64 {
	mean, sum := meanOf(monthC[:]), 0.0
	for _, t := range monthC {
		sum += float64((t - mean) * (t - mean))
	}
	return math.Sqrt(sum / 12)
}

func meanOf(values []float64) float64 {
	sum := 0.0
	for _, x := range values {
		sum += x
	}
	return sum / float64(len(values))
}

// winds makes hourly wind from twelve monthly means. The speed is that of a
// vector with two independent normal parts, each keeping hourMemory from hour
// to hour: its distribution is Rayleigh's, the usual one for wind (IEC 61400-12
// takes it so; from memory). The means are then kept by a factor a month.
func winds(monthMS [12]float64, lengths [12]int, draw *rand.PCG) []float64 {
	step := math.Sqrt(1 - float64(hourMemory*hourMemory))
	x, y := gaussian(draw), gaussian(draw)
	var out []float64
	for m, n := range lengths {
		hours := make([]float64, n*24)
		for i := range hours {
			x = float64(hourMemory*x) + float64(step*gaussian(draw))
			y = float64(hourMemory*y) + float64(step*gaussian(draw))
			hours[i] = math.Sqrt(float64(x*x) + float64(y*y))
		}
		factor := monthMS[m] / meanOf(hours)
		for i := range hours {
			hours[i] = float64(hours[i] * factor)
		}
		out = append(out, hours...)
	}
	return out
}

const hourMemory = 0.9
