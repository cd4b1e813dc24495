package array

// FaimanC is the temperature of a module, °C, in irradiance g (W/m², in its
// plane), air of ambientC and wind of windMS, by Faiman 2008 (Progress in
// Photovoltaics 16, 307):
//
//	T = T_a + G / (U0 + U1·v)
//
// with u0 in W/(m² K) and u1 in W s/(m³ K). The cells are taken to be as warm
// as the module.
func FaimanC(g, ambientC, windMS, u0, u1 float64) float64 {
	return ambientC + g/(u0+u1*windMS)
}

// NOCTC is the temperature of a cell, °C, from the nominal operating cell
// temperature noctC, which is measured at 800 W/m² and 20 °C (common practice,
// no source):
//
//	T = T_a + (NOCT − 20)/800 · G
func NOCTC(g, ambientC, noctC float64) float64 {
	return ambientC + (noctC-20)/800*g
}
