package array

// PVInverter feeds a plane's power to the AC bus (AC-coupled). It works only
// while the inverter-charger holds that bus, which takes what the load leaves
// through its AC charger and holds back the rest (by frequency, common
// practice); while a generator carries the bus it is off.
type PVInverter struct {
	RatedW             float64 `json:"rated_w" exclusiveMinimum:"0" maximum:"1000000" doc:"Rated AC output."`
	EfficiencyFraction float64 `json:"efficiency_fraction" exclusiveMinimum:"0" maximum:"1" default:"0.96" doc:"Output over input power." basis:"common practice"`
}

// OutputW is the AC output for an array power, W.
func (i *PVInverter) OutputW(arrayW float64) float64 {
	return min(arrayW*i.EfficiencyFraction, i.RatedW)
}
