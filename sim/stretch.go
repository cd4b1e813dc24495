package sim

import "bankyear/sim/bank"

// stretch is one segment's movement.
type stretch struct {
	f          *flow
	eta        float64 // charge stored for charge taken in
	perEta     float64 // one over it
	draw       float64 // current taken inside the modules, A
	r0, r1     float64 // rate of charge at the start and the end, A
	bent       bool    // slope and bend are known
	slope      float64 // of the rate against the way, 1/s
	bend       float64 // the slope's slope
	x          float64 // way of the charge, As
	i1, v1     float64 // bank current and voltage at the end
	tau        float64 // length, s
	what       event
	heatW      float64 // mean heat in the cells
	counted    float64 // what the counter adds to the reported SoC
	target     float64 // threshold that the reported SoC stops at
	passed     int     // threshold that the voltage passes
	fuel       float64 // l
	solar, gen float64 // energy from the solar chargers and from the AC charger, J
	bank       float64 // energy into the bank's terminals, J
	stored     float64 // ∫E dq, J
	through    float64 // ∫I dt, As
	resistive  float64
	acid       *acidRun // of a lead-acid bank
	toBranch   float64  // way to the branch of the open-circuit voltage; 0 on it
	lostV      float64  // on a branch: what is lost of a charge, V, with the sign of its way

	sign, end, first float64 // the charge's first event: direction, way without it, length of the way to it
	which            event
}

// rate is the change of charge at a bank current, A.
func (s *stretch) rate(current float64) float64 { return s.eta*current - s.draw }

// run follows the charge for the segment's time, at most to a way of limit (its
// sign does not matter), and sets the segment's end there.
func (s *stretch) run(limit float64) { s.land(s.way(limit)) }

// way is how far the charge goes in the segment's time, at most to a limit (its
// sign does not matter). At constant power the rate is a curve of the way x,
// r(x) = r₀ + a·x + b·x²/2, of which
//
//	x(τ) = r₀τ·(1 + z/2 + (y + z²)/6 + z(4y + z²)/24 + (4y² + 11yz² + z⁴)/120 + …), z = aτ, y = b·r₀τ²
//
// is the series. At a charge ceiling it is a straight line of the way, and else,
// also where the rate changes much, taken for one: exact at constant current, and
// at constant voltage with a constant resistance.
func (s *stretch) way(limit float64) float64 {
	whole := s.r0 * s.tau
	if s.f.mode == power && !s.f.collapse {
		s.curve()
		z, y := s.slope*s.tau, s.bend*(whole*s.tau)
		if z > -mild && z < mild && y > -mild && y < mild {
			return within(whole*series(z, y), limit)
		}
	}
	if s.f.mode == ceiling {
		return within(whole*bank.Growth(s.eta*s.f.c1*s.tau), limit)
	}
	x := whole
	for range 2 {
		x = within(x, limit)
		if x == 0 {
			break
		}
		z := (s.rate(s.f.at(x)) - s.r0) / x * s.tau
		x = whole * bank.Growth(z)
		if z*z < straight || s.f.rs == 0 && s.f.mode != power { // one look is enough for a straight line
			break
		}
	}
	return x
}

// within is x, at most as far from 0 as a limit.
func within(x, limit float64) float64 {
	switch {
	case x > limit:
		return limit
	case x < -limit:
		return -limit
	}
	return x
}

// near is the current at a way within the segment, A: at constant power by slope and
// bend where these are known.
func (s *stretch) near(x float64) float64 {
	if s.bent {
		return s.f.current + x*(s.slope+x*s.bend*.5)*s.perEta
	}
	return s.f.at(x)
}

// mild bounds what the terms of the series may be; what is left out is below 1e-6.
const mild = 0.2

// series is the way over that at the starting rate, at constant power.
func series(z, y float64) float64 {
	zz := z * z
	return (1 + z*.5) + (y+zz)*(1./6) + z*(4*y+zz)*(1./24) + (y*(4*y+11*zz)+zz*zz)*(1./120)
}

// straight bounds the square of the growth of the rate below which its bend is
// not looked at again.
const straight = 1e-6

// curve finds how the rate changes with the way at constant power. From
// F(I, x) = (E + I·R)(I − I_s) − P = 0 with ∂F/∂I = D = E + R(2I − I_s) and
// N = ∂F/∂x = (g + I·r_s)(I − I_s):
//
//	I' = −N/D,  I'' = −(N' + I'·D')/D
//	N' = r_s·I'(I − I_s) + (g + I·r_s)·I',  D' = g + r_s(2I − I_s) + 2R·I'
func (s *stretch) curve() {
	if s.bent {
		return
	}
	s.bent = true
	f := s.f
	i, own, per := f.current, f.current-f.source, 1/f.root
	g := f.g + i*f.rs
	slope := -g * (own * per)
	bend := -(slope * per) * ((f.rs*own + g + f.g + f.rs*(i+own)) + 2*f.r*slope)
	s.slope, s.bend = s.eta*slope, s.eta*bend
}

// land sets the segment's end at a way.
func (s *stretch) land(x float64) {
	s.x, s.i1 = x, s.f.at(x)
	s.r1 = s.rate(s.i1)
	switch s.f.mode {
	case constant:
		s.v1 = s.f.v + s.i1*s.f.sense
	case apart, pushed:
		s.v1 = s.f.volts
	default:
		s.v1 = s.f.e + s.f.g*x + s.i1*(s.f.r+s.f.rs*x)
	}
}
