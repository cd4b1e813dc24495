package api

import (
	"time"

	"bankyear/sim"
)

// Day is one day of the year.
type Day struct {
	Date              string  `json:"date" doc:"Local date."`
	DowntimeH         float64 `json:"downtime_h" doc:"Time in which essential load is not fully served."`
	LoadKWh           float64 `json:"load_kwh" doc:"Demand, essential and flexible."`
	ServedKWh         float64 `json:"served_kwh" doc:"Of this, what was served."`
	SolarAvailableKWh float64 `json:"solar_available_kwh" doc:"What the planes could have given at the chargers' input."`
	CurtailedKWh      float64 `json:"curtailed_kwh" doc:"Of this, what nothing took."`
	GeneratorKWh      float64 `json:"generator_kwh" doc:"Made by the generator."`
	FuelL             float64 `json:"fuel_l" doc:"Fuel burnt."`
	LowestSoC         float64 `json:"lowest_soc_fraction" doc:"Lowest true state of charge at the end of an interval."`
	HighestSoC        float64 `json:"highest_soc_fraction" doc:"Highest true state of charge at the end of an interval."`
	LowestCellC       float64 `json:"lowest_cell_c" doc:"Lowest cell temperature."`
}

// days sums the intervals of each day.
func days(h *sim.Hours, stepS int) []Day {
	column := columnsByName(h)
	kWh := float64(stepS) / 3.6e6
	perDay := 86400 / stepS
	out := make([]Day, 0, h.Len()/perDay)
	for from := 0; from < h.Len(); from += perDay {
		to := min(from+perDay, h.Len())
		sum := func(name string) float64 {
			total := 0.0
			for _, x := range column[name][from:to] {
				total += float64(x)
			}
			return total
		}
		d := Day{
			Date:      time.UnixMilli(h.StartLocalMs[from]).UTC().Format(time.DateOnly),
			DowntimeH: sum("downtime_fraction") * float64(stepS) / 3600,
			LoadKWh:   sum("load_w") * kWh, ServedKWh: sum("served_w") * kWh,
			SolarAvailableKWh: sum("solar_available_w") * kWh, CurtailedKWh: sum("curtailed_w") * kWh,
			GeneratorKWh: sum("generator_w") * kWh, FuelL: sum("fuel_l"),
		}
		d.LowestSoC, d.HighestSoC = extremes(column["soc_fraction"][from:to])
		d.LowestCellC, _ = extremes(column["bank_c"][from:to])
		out = append(out, d)
	}
	return out
}

func extremes(values []float32) (lowest, highest float64) {
	lowest, highest = float64(values[0]), float64(values[0])
	for _, x := range values {
		lowest, highest = min(lowest, float64(x)), max(highest, float64(x))
	}
	return lowest, highest
}

// columnsByName finds the number columns by their names.
func columnsByName(h *sim.Hours) map[string][]float32 {
	by := map[string][]float32{}
	for i, c := range sim.NumberColumns() {
		by[c.Name] = h.Values[i]
	}
	return by
}
