// Package grid holds a connection to a public grid beside the bank: when it is
// there, when the site uses it, and what its energy costs. Nothing is exported.
package grid

import (
	"strconv"
	"time"

	"bankyear/sim/fault"
)

// Spec is one connection.
type Spec struct {
	LimitW        float64 `json:"limit_w" exclusiveMinimum:"0" maximum:"1000000" doc:"Most power that the connection gives. Nothing is fed back."`
	Use           string  `json:"use" enum:"backup,self_use" default:"backup" basis:"common practice" doc:"backup: the site is on the grid whenever it is there, and the bank is for its outages; self_use: the site is on the grid only from connect_soc_fraction to disconnect_soc_fraction, or while it would be dark."`
	ConnectSoC    float64 `json:"connect_soc_fraction" minimum:"0" maximum:"1" default:"0.2" basis:"common practice" doc:"For self_use: the grid takes over when the reported SoC falls to this."`
	DisconnectSoC float64 `json:"disconnect_soc_fraction" minimum:"0" maximum:"1" default:"0.4" basis:"common practice" doc:"For self_use: the bank takes over again when the reported SoC reaches this."`
	ChargesBank   bool    `json:"charges_bank" default:"true" basis:"common practice" doc:"Whether the AC charger works while the site is on the grid; else only the sun charges."`
	Outages       Outages `json:"outages" default:"{}" doc:"When the grid is not there: listed, or at random."`
	Tariff        Tariff  `json:"tariff" default:"{}" doc:"What its energy costs."`
}

// Outages is when the grid is not there; listed ones and random ones add.
type Outages struct {
	Listed           []Outage `json:"listed,omitzero" required:"false" maxItems:"1000" doc:"Outages by date."`
	MeanHoursBetween float64  `json:"mean_hours_between" minimum:"0" default:"0" doc:"Mean time between random outages, exponential; 0 for none." basis:"none unless given"`
	MeanH            float64  `json:"mean_h" exclusiveMinimum:"0" maximum:"8784" default:"4" doc:"Mean length of random outages, exponential." basis:"common practice"`
	Seed             uint64   `json:"seed" default:"1" doc:"Seed of the random outages." basis:"stated so that the year can be made again"`
}

// Outage is one listed outage.
type Outage struct {
	Start string  `json:"start" doc:"Local start without zone, such as 2025-01-15T08:00."`
	Hours float64 `json:"hours" exclusiveMinimum:"0" maximum:"8784" doc:"Length."`
}

// At is the start as local time; an error when it is none.
func (o *Outage) At() (time.Time, error) { return time.Parse("2006-01-02T15:04", o.Start) }

// Tariff is a price for each kWh, in any currency, and others in hours of the
// day.
type Tariff struct {
	PricePerKWh float64 `json:"price_per_kwh" minimum:"0" maximum:"1000" default:"0" basis:"not priced unless given" doc:"Price of a kWh."`
	Bands       []Band  `json:"bands,omitzero" required:"false" maxItems:"24" doc:"Hours of the day with a price of their own; the first that holds the start of an interval counts."`
}

// Band is the price in some hours of the day.
type Band struct {
	Hours       string  `json:"hours" doc:"Hours of the day, such as 22-06."`
	PricePerKWh float64 `json:"price_per_kwh" minimum:"0" maximum:"1000" doc:"Price of a kWh in them."`
}

// Check records what the members mean together and cannot work. The hours of the
// tariff are not its business.
func (s *Spec) Check(c fault.Collector) {
	if s.Use == "self_use" && s.DisconnectSoC <= s.ConnectSoC {
		c.At("disconnect_soc_fraction").Add(s.DisconnectSoC, "above "+strconv.FormatFloat(s.ConnectSoC, 'g', -1, 64), "", "is not above connect_soc_fraction")
	}
	for i := range s.Outages.Listed {
		if _, err := s.Outages.Listed[i].At(); err != nil {
			c.At("outages", "listed", strconv.Itoa(i), "start").Add(s.Outages.Listed[i].Start, "a local time such as 2025-01-15T08:00", "", "is not a local time")
		}
	}
}
