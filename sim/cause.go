package sim

import (
	"fmt"
	"slices"
)

// Cause names why load is not served or solar is not taken. The order is the
// order of precedence: the first that holds at the start of an outage names it.
type Cause uint8

// Causes of downtime.
const (
	NoCause       Cause = iota
	ChargeTrip          // a charge-side trip of a one-switch disconnect took the load with it
	ProtectionOff       // any other trip of the BMS
	Asleep              // the bank protected itself and was not woken
	LinkLoss            // the data link is lost, and the loss stops the site
	SuddenStop          // a low-voltage cut-off that the reported SoC did not announce
	Empty               // the bank was run down to its low end
	TooCold             // the BMS allows no discharge at this temperature
	TooHot              // likewise
	OverCurrent         // the load asks for more current than the bank gives
	InverterLimit       // the load asks for more power than the inverter gives, or the bus stands above its highest voltage
	Inrush              // a motor did not start
	causeCount
)

// Causes of curtailment that are not causes of downtime.
const (
	BankFull      Cause = causeCount + iota // the bank takes no more
	ChargeCeiling                           // the highest charge current allowed
	VoltageTaper                            // the voltage limit holds the current back
	ChargerLimit                            // a charger's own rating
	allCauses
)

var causeNames = [allCauses]string{
	"", "charge_trip", "protection", "asleep", "link_loss", "sudden_stop", "empty", "too_cold", "too_hot",
	"over_current", "inverter_limit", "inrush",
	"bank_full", "charge_ceiling", "voltage_taper", "charger_limit",
}

// String is the cause's name in every answer; NoCause is empty.
func (c Cause) String() string { return causeNames[c] }

// MarshalText writes the name.
func (c Cause) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText reads the name.
func (c *Cause) UnmarshalText(name []byte) error {
	i := slices.Index(causeNames[:], string(name))
	if i < 0 {
		return fmt.Errorf("sim: %q is no cause", name)
	}
	*c = Cause(i)
	return nil
}

// DowntimeCauses lists the causes of downtime in order of precedence.
func DowntimeCauses() []Cause {
	return []Cause{ChargeTrip, ProtectionOff, Asleep, LinkLoss, SuddenStop, Empty, TooCold, TooHot, OverCurrent, InverterLimit, Inrush}
}

// CurtailmentCauses lists the causes of curtailed solar.
func CurtailmentCauses() []Cause {
	return []Cause{BankFull, ChargeCeiling, TooCold, TooHot, VoltageTaper, ChargerLimit, LinkLoss, Asleep, ProtectionOff}
}
