package sim

// Supply is what the year offers and asks, row by row, before any bank: solar
// power as the DC bus would see it (AC-coupled power by way of the AC charger),
// and the load on that bus with the inverter's loss and the always-on draw; W.
func (p *Plan) Supply() (solarW, loadW []float64) {
	n := len(p.sky.rows)
	solarW, loadW = make([]float64, n), make([]float64, n)
	for i := range p.sky.rows {
		r := &p.sky.rows[i]
		solarW[i] = r.solarOutW + r.acSunW*p.genEta
		loadW[i] = r.invAll + r.dcAll + p.ownW
	}
	return solarW, loadW
}
