package api

import "bankyear/sim"

// Glance is what a quote says of one year.
type Glance struct {
	DowntimeH       float64 `json:"downtime_h" doc:"Time in which essential load is not fully served."`
	DarkNights      int     `json:"dark_nights" doc:"Sunset-to-sunrise spans with over 5 min of downtime."`
	Outages         int     `json:"outages" doc:"Separate downtimes over 5 min."`
	LongestOutageH  float64 `json:"longest_outage_h" doc:"Longest separate downtime."`
	UnservedKWh     float64 `json:"unserved_kwh" doc:"Essential and flexible load not served."`
	GeneratorH      float64 `json:"generator_h" doc:"Time that the generator ran."`
	FuelL           float64 `json:"fuel_l" doc:"Fuel burnt."`
	Sleeps          int     `json:"sleeps" doc:"Times that the bank fell asleep after over-discharge."`
	Visits          int     `json:"visits" doc:"Times that somebody came because the site was dark, or set something right on site; an operator who tries again without effect does not count again."`
	ChargedTooColdH float64 `json:"charged_too_cold_h" doc:"Time charging with more than the cells allow at their temperature, on the cold side: damage."`
	LinkDownH       float64 `json:"link_down_h" doc:"Time in which the data link, or its gateway, was down."`
}

func glance(f *sim.Figures) Glance {
	return Glance{f.DowntimeH, f.DarkNights, f.Outages, f.LongestOutageH, f.UnservedKWh, f.GeneratorH, f.FuelL, f.Sleeps, f.Visits, f.ChargedTooColdH, f.LinkDownH}
}
