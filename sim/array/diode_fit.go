package array

import (
	"math"

	"gonum.org/v1/gonum/optimize"
)

// warmerK is the distance at which the curve is held to the temperature
// coefficient of its open-circuit voltage.
const warmerK = 2

// fit finds the five parameters of the curve at standard test conditions from
// the data sheet, as De Soto, Klein & Beckman 2006 do: the curve passes through
// short circuit, highest power and open circuit, its power is highest there
// (dP/dV = 0), and its open-circuit voltage moves with temperature as stated.
//
// For given R_s and a the first three are linear in I_L, I_0 and 1/R_sh; the two
// that remain are brought to nought by the simplex of Nelder & Mead 1965
// (gonum), from the best point of a coarse grid. ok is false when no curve with
// positive resistances does.
func (s *SingleDiode) fit() (curve diode, ok bool) {
	best, bestAt := math.Inf(1), []float64{0, 0}
	// R_s takes part of the voltage between highest power and open circuit, a
	// is near 1.1 kT/q for every cell of about 0.62 V.
	ohm := (s.OpenCircuitV - s.HighestPowerV) / s.HighestPowerA
	for i := range 16 {
		for k := range 16 {
			x := []float64{ohm * (float64(i) + .5) / 16, s.OpenCircuitV * .02 * math.Pow(5, (float64(k)+.5)/16)}
			if m := s.misfit(x); m < best {
				best, bestAt = m, x
			}
		}
	}
	if math.IsInf(best, 1) {
		return diode{}, false
	}
	result, err := optimize.Minimize(
		optimize.Problem{Func: func(x []float64) float64 { return s.misfit([]float64{ohm * x[0], s.OpenCircuitV * x[1]}) }},
		[]float64{bestAt[0] / ohm, bestAt[1] / s.OpenCircuitV},
		&optimize.Settings{FuncEvaluations: 2000, Converger: nought{}},
		&optimize.NelderMead{SimplexSize: .003},
	)
	if err != nil {
		return diode{}, false
	}
	curve = s.through(ohm*result.X[0], s.OpenCircuitV*result.X[1])
	if least := -1e-6 * s.ShortCircuitA / s.OpenCircuitV; curve.shuntS < 0 && curve.shuntS > least {
		curve.shuntS = 0 // a shunt resistance without end, found from the other side
	}
	return curve, result.F <= fitted && curve.seriesOhm >= 0 && curve.shuntS >= 0
}

// fitted is the largest misfit, a sum of two squares of relative errors, that
// counts as none.
const fitted = 1e-14

// nought ends a search that has found what it looked for.
type nought struct{}

func (nought) Init(int) {}

func (nought) Converged(l *optimize.Location) optimize.Status {
	if l.F <= fitted {
		return optimize.FunctionThreshold
	}
	return optimize.NotTerminated
}

// through is the curve of R_s = seriesOhm and a = slopeV that passes through
// the three points. With J = I_0·e^(V_oc/a), open circuit taken from the two
// others leaves two linear equations in J and 1/R_sh.
func (s *SingleDiode) through(seriesOhm, slopeV float64) diode {
	isc, voc, imp, vmp := s.ShortCircuitA, s.OpenCircuitV, s.HighestPowerA, s.HighestPowerV
	part := func(u float64) float64 { return math.Exp((u - voc) / slopeV) }
	us, um := isc*seriesOhm, vmp+imp*seriesOhm
	a1, b1, a2, b2 := 1-part(us), voc-us, 1-part(um), voc-um
	det := a1*b2 - a2*b1
	j, shunt := (isc*b2-imp*b1)/det, (a1*imp-a2*isc)/det
	zero := part(0)
	return diode{lightA: j*(1-zero) + shunt*voc, saturationA: j * zero, seriesOhm: seriesOhm, shuntS: shunt, slopeV: slopeV}
}

// misfit is the sum of squares of what remains: dP/dV at highest power, over
// I/V, and the current at the warmer open circuit, over the short-circuit
// current. It is infinite where there is no diode; resistances may come out
// negative on the way.
func (s *SingleDiode) misfit(x []float64) float64 {
	d := s.through(x[0], x[1])
	if !(d.slopeV > 0 && d.saturationA > 0) {
		return math.Inf(1)
	}
	u := s.HighestPowerV + s.HighestPowerA*d.seriesOhm
	i, slope, _ := d.inner(u)
	flat := 1 + slope*(u-2*i*d.seriesOhm)/i
	warm := d.at(1000, 25+warmerK, s.lightAPerK())
	left, _, _ := warm.inner(s.OpenCircuitV * (1 + s.OpenCircuitFractionPC*warmerK))
	left /= s.ShortCircuitA
	return flat*flat + left*left
}

func (s *SingleDiode) lightAPerK() float64 { return s.ShortCircuitA * s.ShortCircuitFractionPC }
