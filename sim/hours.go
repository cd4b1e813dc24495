package sim

// Hours is the year interval by interval, when asked for. Columns describes
// what it holds; the encoders write every column in that order.
type Hours struct {
	// StartLocalMs is the interval's start: milliseconds of site standard time
	// since 1970-01-01T00:00 on the site's own clock. UTCOffsetS is the offset.
	StartLocalMs []int64
	UTCOffsetS   int
	// Values holds the number columns, in the order of NumberColumns; NaN stands for no value.
	Values [][]float32
	// Downtime and Curtailed name the largest cause of the interval.
	Downtime, Curtailed []Cause
	// LinkUp is false where the link was down at any time of the interval, or
	// there is none.
	LinkUp []bool
}

// Column names one column of Hours.
type Column struct {
	Name, Unit, Doc string
}

// Number columns, by index.
const (
	colZenith = iota
	colAzimuth
	colPlane
	colAmbient
	colCell
	colSolarAvail
	colSolarUsed
	colCurtailed
	colLoad
	colServed
	colBankW
	colBankA
	colBankV
	colSoC
	colReported
	colCeiling
	colGenerator
	colGrid
	colFuel
	colInverterLoss
	colHeater
	colDowntime
	colFirstCause // one column a cause of downtime from here on
)

// NumberColumns describes Hours.Values in order.
func NumberColumns() []Column {
	cols := []Column{
		colZenith:       {"sun_zenith_deg", "°", "Angle of the sun from the vertical, middle of the interval (of its sunlit part)."},
		colAzimuth:      {"sun_azimuth_deg", "°", "Direction of the sun, clockwise from true north."},
		colPlane:        {"plane_w_m2", "W/m²", "Irradiance on the planes, weighted by their rated power."},
		colAmbient:      {"ambient_c", "°C", "Air temperature."},
		colCell:         {"bank_c", "°C", "Cell temperature, mean."},
		colSolarAvail:   {"solar_available_w", "W", "What the planes could have given at the chargers' input."},
		colSolarUsed:    {"solar_used_w", "W", "Of this, what was taken."},
		colCurtailed:    {"curtailed_w", "W", "Of this, what nothing took."},
		colLoad:         {"load_w", "W", "Demand, essential and flexible."},
		colServed:       {"served_w", "W", "Of this, what was served."},
		colBankW:        {"bank_w", "W", "Power at the bank's terminals, charge positive, mean."},
		colBankA:        {"bank_a", "A", "Current of the bank, charge positive, mean."},
		colBankV:        {"bank_v", "V", "Voltage at the bank's terminals, mean."},
		colSoC:          {"soc_fraction", "", "True state of charge at the interval's end."},
		colReported:     {"reported_soc_fraction", "", "State of charge that the system believes at the interval's end; nothing where nothing reports one: empty in CSV, null in JSON, NaN in Parquet and Arrow."},
		colCeiling:      {"charge_ceiling_a", "A", "Highest bank current that the limits allow, at the interval's end."},
		colGenerator:    {"generator_w", "W", "Generator's output, mean."},
		colGrid:         {"grid_w", "W", "Taken from the grid, mean."},
		colFuel:         {"fuel_l", "l", "Fuel burnt in the interval."},
		colInverterLoss: {"inverter_loss_w", "W", "Loss in the inverter, mean."},
		colHeater:       {"heater_w", "W", "Bank heater, mean."},
		colDowntime:     {"downtime_fraction", "", "Part of the interval in which essential load was not fully served."},
	}
	for _, c := range DowntimeCauses() {
		cols = append(cols, Column{"downtime_" + c.String() + "_fraction", "", "Part of the interval dark by this cause."})
	}
	return cols
}

// Len is the number of intervals.
func (h *Hours) Len() int { return len(h.StartLocalMs) }
