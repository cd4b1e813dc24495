package weather

import (
	"math"
	"math/rand/v2"
)

// hourly is the model of Aguiar & Collares-Pereira 1992, Solar Energy 49(3),
// 167–174 (time-dependent, autoregressive, Gaussian), for a day of clearness K.
// With h the sun's height at the hour,
//
//	k(h) = k_tm(h) + σ(h)·y,  y = φ·y(h−1) + √(1 − φ²)·N(0, 1)
//	φ = 0.38 + 0.06 cos(7.4K − 2.5)
//	k_tm = λ + η·exp(−κ/sin h)
//	λ = −0.19 + 1.12K + 0.24 exp(−8K), η = 0.32 − 1.6(K − 0.5)², κ = 0.19 + 2.27K² − 2.51K³
//	σ = A·exp(B(1 − sin h)), A = 0.14 exp(−20(K − 0.35)²), B = 3(K − 0.45)² + 16K⁵
type hourly struct{ phi, lambda, eta, kappa, a, b float64 }

func hourlyOf(k float64) hourly {
	k2 := float64(k * k)
	k3 := float64(k2 * k)
	square := func(x float64) float64 { return float64(x * x) }
	return hourly{
		phi:    0.38 + float64(0.06*sameCos(float64(7.4*k)-2.5)),
		lambda: -0.19 + float64(1.12*k) + float64(0.24*sameExp(-8*k)),
		eta:    0.32 - float64(1.6*square(k-0.5)),
		kappa:  0.19 + float64(2.27*k2) - float64(2.51*k3),
		a:      0.14 * sameExp(-20*square(k-0.35)),
		b:      float64(3*square(k-0.45)) + float64(16*float64(k3*k2)),
	}
}

func (m hourly) mean(sinHeight float64) float64 {
	return m.lambda + float64(m.eta*sameExp(max(-700, -m.kappa/sinHeight)))
}

func (m hourly) spread(sinHeight float64) float64 {
	return float64(m.a * sameExp(float64(m.b*(1-sinHeight))))
}

// clearShare is the greatest hourly clearness: global of the clear-sky model of
// Ineichen & Perez 2002 (clearAir) in very clean air, with the air mass of
// Rozenberg 1966, Twilight (from memory), 1/(sin h + 0.025 exp(−11 sin h)),
// which stays finite at the horizon.
type clearShare struct{ global, exponent float64 }

// clearestTurbidity is the Linke turbidity of very clean air, and
// brighterThanClear what broken cloud beside the sun adds to an hour (common
// practice, no source).
const (
	clearestTurbidity = 2
	brighterThanClear = 1.03
)

func clearShareAt(elevationM float64) clearShare {
	fh1, fh2 := sameExp(-elevationM/8000), sameExp(-elevationM/1250)
	pressure := sameExp(-elevationM / 8434)
	return clearShare{
		global:   float64(5.09e-5*elevationM) + 0.868,
		exponent: -float64((float64(3.92e-5*elevationM)+0.0387)*(fh1+float64(fh2*(clearestTurbidity-1)))) * pressure,
	}
}

func (c clearShare) of(sinHeight float64) float64 {
	mass := 1 / (sinHeight + float64(0.025*sameExp(-11*sinHeight)))
	return min(1, float64(float64(brighterThanClear*c.global)*sameExp(float64(c.exponent*mass))))
}

// gaussian draws from the normal distribution by the polar method of Marsaglia
// & Bray 1964, SIAM Review 6, 260.
func gaussian(draw *rand.PCG) float64 {
	for {
		u, v := float64(2*uniform(draw))-1, float64(2*uniform(draw))-1
		s := float64(u*u) + float64(v*v)
		if s > 0 && s < 1 {
			return float64(u * math.Sqrt(float64(-2*sameLog(s))/s))
		}
	}
}

// hoursOf draws the hours of a day of clearness k: W/m², the mean over each,
// which sum to k·outside. y is the state of the series, carried over nights.
func hoursOf(day *dayOutside, k float64, clear clearShare, y *float64, draw *rand.PCG) [24]float64 {
	var share, weight, most [24]float64
	m := hourlyOf(k)
	step := math.Sqrt(1 - float64(m.phi*m.phi))
	for h, o := range day.hours {
		if o.wm2 <= 0 {
			continue
		}
		*y = float64(m.phi**y) + float64(step*gaussian(draw))
		weight[h], most[h] = o.wm2, clear.of(o.sinHeight)
		// A hundredth of the mean is left on the darkest hour, so that a scale
		// can reach any sum.
		least := 0.01 * k
		share[h] = max(least, m.mean(o.sinHeight)+float64(m.spread(o.sinHeight)**y))
		share[h] = min(share[h], most[h])
	}
	scaleTo(share[:], weight[:], most[:], float64(k*day.wh))
	for h := range share {
		share[h] = float64(share[h] * weight[h])
	}
	return share
}
