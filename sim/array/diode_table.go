package array

import "math"

// Grid of diodeTable: the square root of the irradiance, so that steps are
// small where the relative power bends, and the cell temperature, along which
// it is nearly straight. Beyond its ends the last cell goes on.
const (
	tableSteps   = 32
	tableMostWM2 = 1600.
	tableLowC    = -50.
	tableStepC   = 10.
	tableColumns = 16 // up to 100 °C
)

// diodeTable is the highest power of a module over its rated power and over
// irradiance/1000 W/m²: 1 at 1000 W/m² and 25 °C. Worked out once a plane, it
// keeps the equation out of the year's rows; linear interpolation is within
// 0.1 % of it above 50 W/m², 0.3 % above 20.
type diodeTable [tableSteps + 1][tableColumns]float64

// table works out the curve of a data sheet that passed its check; one without
// a curve panics.
func (s *SingleDiode) table() *diodeTable {
	curve, ok := s.fit()
	if !ok {
		panic("array: no single-diode curve has these points")
	}
	rated := s.HighestPowerA * s.HighestPowerV
	var t diodeTable
	for i := 1; i <= tableSteps; i++ { // no power, and no ratio, in the dark
		root := float64(i) / tableSteps
		g := root * root * tableMostWM2
		for k := range tableColumns {
			d := curve.at(g, tableLowC+tableStepC*float64(k), s.lightAPerK())
			v, a := d.highest()
			t[i][k] = v * a / rated / (g / 1000)
		}
	}
	return &t
}

// relative reads the table for irradiance g, W/m² in effect on the cells, and
// cell temperature.
func (t *diodeTable) relative(g, cellC float64) float64 {
	x := math.Sqrt(max(0, g)/tableMostWM2) * tableSteps
	y := (cellC - tableLowC) / tableStepC
	i, k := min(int(x), tableSteps-1), min(max(int(y), 0), tableColumns-2)
	x, y = x-float64(i), y-float64(k)
	a, b := &t[i], &t[i+1]
	low, high := a[k]+(a[k+1]-a[k])*y, b[k]+(b[k+1]-b[k])*y
	return low + (high-low)*x
}
