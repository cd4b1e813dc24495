package weather

// deriveGHI adds global from direct and diffuse irradiance,
//
//	GHI = DHI + DNI·max(0, cos z),
//
// with the sun at the instants of the rows or, for means, at the middle of the
// sunlit part of their intervals.
func (g *grid) deriveGHI(instants bool) {
	y := g.year
	var cosZenith []float64
	if instants {
		cosZenith = y.cosZenithAtStarts()
	} else {
		cosZenith = y.Sun().CosZenith
	}
	y.GHI = make([]float64, len(y.DNI))
	for i := range y.GHI {
		y.GHI[i] = y.DHI[i] + float64(y.DNI[i]*max(0, cosZenith[i]))
	}
}

// meansOfInstants turns instants at the starts of intervals into means over
// the intervals by the trapezoid rule; the last interval keeps its instant.
func (g *grid) meansOfInstants() {
	for c := range columns {
		values := *g.year.values(c)
		for i := 0; i+1 < len(values); i++ {
			values[i] = (values[i] + values[i+1]) / 2
		}
	}
}

// cosZenithAtStarts is the cosine of the sun's zenith angle at the start of
// each interval.
func (y *Year) cosZenithAtStarts() []float64 {
	perDay := 86400 / y.StepS
	frame := newLocalFrame(y.Site.LatitudeDeg)
	nodes := sunNodes(y.CalendarYear)
	out := make([]float64, y.Len())
	for j := range perDay {
		row := newRowOfDay(y.Site, float64(j)/float64(perDay))
		for i := j; i < len(out); i += perDay {
			out[i] = frame.direction(interpolate(nodes, float64(i/perDay)+row.utcDay), row.cosMean, row.sinMean).up
		}
	}
	return out
}
