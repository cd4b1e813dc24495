package array

import "math"

const (
	boltzmannEVK = 8.617333262e-5 // Boltzmann's constant, eV/K (CODATA 2018)
	standardK    = 298.15         // cell temperature of standard test conditions
	// Band gap of silicon at 25 °C, eV, and its relative fall for each kelvin:
	// De Soto, Klein & Beckman 2006.
	bandGapEV, bandGapPerK = 1.121, 0.0002677
)

// diode is the curve of one module by the single-diode equation at one
// irradiance and cell temperature:
//
//	I = I_L − I_0 (e^((V + I·R_s)/a) − 1) − (V + I·R_s)/R_sh
//
// a is the ideality factor times the cells in series times kT/q, in volts.
type diode struct {
	lightA, saturationA float64 // I_L, I_0
	seriesOhm, shuntS   float64 // R_s and 1/R_sh
	slopeV              float64 // a
}

// at carries the curve of standard test conditions to irradiance g, W/m² in
// effect on the cells, and cell temperature cellC, by De Soto, Klein & Beckman
// 2006 (Solar Energy 80, 78), with μ = lightAPerK and S = g/1000 W/m²:
//
//	I_L = S (I_L,ref + μ (T − T_ref))       R_sh = R_sh,ref / S
//	I_0 = I_0,ref (T/T_ref)³ e^((E_g,ref/T_ref − E_g/T)/k)
//	a   = a_ref T/T_ref                     E_g = E_g,ref (1 − 0.0002677 (T − T_ref))
//
// R_s stays. The paper's air mass modifier, which is a module's own, is 1.
func (d diode) at(g, cellC, lightAPerK float64) diode {
	t, s := cellC+273.15, g/1000
	gap := bandGapEV * (1 - bandGapPerK*(t-standardK))
	ratio := t / standardK
	return diode{
		lightA:      s * (d.lightA + lightAPerK*(t-standardK)),
		saturationA: d.saturationA * ratio * ratio * ratio * math.Exp((bandGapEV/standardK-gap/t)/boltzmannEVK),
		seriesOhm:   d.seriesOhm, shuntS: d.shuntS * s,
		slopeV: d.slopeV * ratio,
	}
}

// inner is the current at a voltage u = V + I·R_s behind the series resistance,
// with its first and second derivative: explicit, where the terminal voltage
// is not.
func (d *diode) inner(u float64) (current, slope, bend float64) {
	e := d.saturationA * math.Exp(u/d.slopeV)
	bend = -e / (d.slopeV * d.slopeV)
	return d.lightA - (e - d.saturationA) - u*d.shuntS, bend*d.slopeV - d.shuntS, bend
}

// mostSteps bounds the iterations below; they end long before.
const mostSteps = 60

// openCircuitV is where no current flows, 0 in the dark. The current falls
// with the voltage, ever faster, so that Newton's rule comes down to the root
// from above it.
func (d *diode) openCircuitV() float64 {
	if d.lightA <= 0 {
		return 0
	}
	u := d.slopeV * math.Log1p(d.lightA/d.saturationA)
	for range mostSteps {
		i, slope, _ := d.inner(u)
		step := i / slope
		u -= step
		if math.Abs(step) <= 1e-9*u {
			break
		}
	}
	return u
}

// highest is the point of highest power. P = (u − I·R_s)·I is explicit in u,
// and
//
//	dP/du = I + dI/du (u − 2·I·R_s)
//
// is positive at u = 0 and negative at open circuit. Newton's rule finds the
// root, halving the bracket where it would leave it.
func (d *diode) highest() (volts, amps float64) {
	low, high := 0., d.openCircuitV()
	if high <= 0 {
		return 0, 0
	}
	u := 0.85 * high
	for range mostSteps {
		i, slope, bend := d.inner(u)
		rise := i + slope*(u-2*i*d.seriesOhm)
		if rise > 0 {
			low = u
		} else {
			high = u
		}
		next := u - rise/(2*slope*(1-slope*d.seriesOhm)+bend*(u-2*i*d.seriesOhm))
		if !(next > low && next < high) {
			next = (low + high) / 2
		}
		step := math.Abs(next - u)
		u = next
		if step <= 1e-8*u {
			break
		}
	}
	i, _, _ := d.inner(u)
	return u - i*d.seriesOhm, i
}
