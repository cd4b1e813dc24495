package weather

import "fmt"

// column is one of the columns of a Year.
type column int

const (
	ghi column = iota
	dni
	dhi
	plane
	ambient
	wind
	columns // how many there are
)

// columnInfo is what a column is called and what it may hold.
type columnInfo struct {
	name, unit string
	min, max   float64
}

// columnInfos bounds each column by what has been possible on earth. GHI and
// plane: cloud enhancement reaches about 1900 W/m² (Gueymard 2017, Solar
// Energy 153, 751, from memory). DNI: the sun at perihelion outside the
// atmosphere is 1410 W/m². DHI: Long & Shi 2008 with an overhead sun. Air:
// WMO records, −89.2 and 56.7 °C. Wind: WMO record gust, 113 m/s.
var columnInfos = [columns]columnInfo{
	ghi:     {"ghi_w_m2", "W/m²", 0, 2000},
	dni:     {"dni_w_m2", "W/m²", 0, 1500},
	dhi:     {"dhi_w_m2", "W/m²", 0, 1400},
	plane:   {"plane_w_m2", "W/m²", 0, 2000},
	ambient: {"ambient_c", "°C", -90, 60},
	wind:    {"wind_m_s", "m/s", 0, 115},
}

func (c column) String() string { return columnInfos[c].name }

// isIrradiance tells the four columns in W/m² from the others.
func (c column) isIrradiance() bool { return c <= plane }

func (i columnInfo) allowed() string { return fmt.Sprintf("%g to %g", i.min, i.max) }

// values is the place of column c in the year.
func (y *Year) values(c column) *[]float64 {
	return [columns]*[]float64{&y.GHI, &y.DNI, &y.DHI, &y.PlaneWM2, &y.AmbientC, &y.WindMS}[c]
}
