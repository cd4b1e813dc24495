package sim

// GeneratorYear is what one of the generators did in the year.
type GeneratorYear struct {
	Name         string   `json:"name" doc:"Its name."`
	Hours        float64  `json:"hours" doc:"Time that it ran, warm-up and cool-down included."`
	Starts       int      `json:"starts" doc:"Starts."`
	FailedStarts int      `json:"failed_starts" doc:"Tries to start that failed."`
	FuelL        float64  `json:"fuel_l" doc:"Fuel burnt."`
	Services     int      `json:"services" doc:"Services that fall due in the year, by running hours."`
	DeliveredL   float64  `json:"delivered_l" doc:"Fuel brought to its store."`
	Deliveries   int      `json:"deliveries" doc:"Times that fuel was brought."`
	FuelLeftL    *float64 `json:"fuel_left_l" doc:"Fuel in its store at the year's end; null where there is always enough."`
}

// setYears tells of the generators in lead order.
func (m *machine) setYears() []GeneratorYear {
	var out []GeneratorYear
	for set, p := range m.p.sets {
		if p.grid {
			continue
		}
		s := m.state(set)
		s.leave(m.now)
		y := GeneratorYear{Name: p.name, Hours: s.runS / 3600, Starts: s.starts, FailedStarts: s.failures, FuelL: s.burntL,
			Services: int(s.runS/3600/p.gen.ServiceEveryH + 1e-9), DeliveredL: s.broughtL, Deliveries: s.deliveries}
		if p.gen.FuelStoreL > 0 {
			left := max(0, s.fuelL)
			y.FuelLeftL = &left
		}
		out = append(out, y)
	}
	return out
}
