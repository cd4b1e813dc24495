package sim_test

import "bankyear/sim"

// refState is everything that the next second depends on.
type refState struct {
	q, believed, cellC float64
	offset             float64 // of the open-circuit voltage from its table

	// Link.
	linkDown, lost bool
	linkTimer      refHold
	seenNight      bool // since the link is back
	resetAt        int  // when somebody resets what its loss has left; 0 unknown

	// Modules off the bus.
	line refLine

	// Windows and heater.
	coldCharge, hotCharge, coldOut, hotOut bool // outside the window, with its hysteresis
	heater, fan                            bool

	// Protection, by quantity.
	trip       [quantities]refTrip
	trips      [quantities][]int // times of the trips that may latch
	latched    int               // bit a quantity: open until a visit
	asleep     bool
	drowsy     refHold // under-voltage trip that lasts
	broughtUp  float64 // until then somebody keeps a woken bank from under-voltage
	peak       refHold // above the continuous current
	peakEnd    int     // last second above it, for the rest between peaks
	hadPeak    bool
	peakRested bool // this peak began after a full rest

	// Low end.
	stopped, stoppedByV, sudden, atFloor bool
	stoppedAt                            int
	slow, fast, lowest                   refHold
	cutOffs                              []int
	locked                               bool // out until a visit

	// Inverter.
	inverterOn                       bool
	tooHigh                          bool // stopped above its highest voltage
	high                             refHold
	restart, overload                refHold
	overloaded                       bool
	hadOver, overRested              bool // an overload has ended; the present one began rested
	overEnd                          int
	motorFailed                      bool         // the inverter is off for a motor that did not start
	motorGapS                        float64      // between the starts of this interval, which fail; 0 for none
	engines                          [4]refEngine // sources of AC
	charge                           int          // the one in charge
	solar, ac                        refStage
	equalisedAt                      int
	bmsFull                          bool
	fullHold, againHold, counterHold refHold
	fullArmed, atKnee                bool
	resets                           int  // of the counter by its own full
	shed                             bool // flexible load, by any
	shedSoC, shedV                   bool
	shedHold                         refHold
	heldBack                         refHeldBack
	hand                             refHand
	shifts                           [4]refShift

	dark       bool
	darkCause  sim.Cause
	visitAt    int // when somebody acts, while dark
	byOperator bool
}

// refTrip is one quantity of the disconnect.
type refTrip struct {
	tripped          bool
	beyond, released refHold
}

// Quantities of the disconnect, charge side first.
const (
	qChargeCold = iota
	qChargeHot
	qOverV
	qChargeOver
	qOutCold
	qOutHot
	qUnderV
	qOutOver
	quantities
	firstOutQuantity = qOutCold
)

// refStage is where the cycle of one kind of charger is, without a link.
type refStage struct {
	floating  bool
	hollow    bool // the bank took no charge as the absorption ended
	equalises bool
	until     int  // end of the equalisation
	held      bool // the set-point was held in this cycle
	heldSince int
	tail, low refHold
}

// begin starts a new cycle.
func (g *refStage) begin() { *g = refStage{} }

// refEngine is the generator's automaton.
type refEngine struct {
	phase     int // phaseOff ...
	since     int
	asked     bool // a rung of the ladder held
	rungs     [8]refHold
	topUp     bool
	heavy     bool // the load asks for it
	load      refHold
	exercise  bool // asked for
	run       byte // what this run is for: s by SoC or voltage, t top-up, l load, e exercise
	refusal   refHold
	refuses   bool
	failures  int
	notBefore int
	broken    bool
	fuelL     float64
	ordered   int // when fuel that was ordered comes
	todayS    float64
	lastRun   int
	ticked    int
}

const (
	phaseOff = iota
	phaseStarting
	phaseWarm
	phaseLoaded
	phaseCool
)

// refFlow is the powers of a moment.
type refFlow struct {
	e, r, v, i               float64 // bank: open circuit, resistance, terminals (charge positive)
	rIn                      float64 // resistance of a charge
	bankOn, collapse         bool
	alone                    bool    // the chargers hold the bus, and the bank has no part in it
	setV, setACV, ceilingA   float64 // what holds solar chargers and AC charger back
	setDeafV                 float64 // of solar chargers that do not hear the link
	heldDeaf, heldSun        bool    // solar chargers hold the voltage: that do not hear, any
	sense                    float64 // resistance of the cable behind which it is held
	held, heldAC             bool    // the set-point is held, or the bus is above it
	atCeiling, sensorShut    bool
	atSetting                bool    // a solar charger gives the current that it is set to, which is less than its rating
	solarOutW, chargerOutW   float64 // onto the DC bus
	solarUsedW               float64 // at the solar chargers' input
	sourceW, fullChargerW    float64 // what sun and AC charger, or that alone, could give
	passW, invOutW, invInW   float64
	dcW, ownW, heaterW, genW float64
	acWantW, dcWantW, restW  float64
	demandW                  float64 // of the DC bus
	servedW                  float64
	dark                     bool // essential load is not fully served
}

// refHour is what the hour columns hold, in watt-seconds and the like.
type refHour struct {
	available, used, curtailed, load, served float64
	bank, bankA, gen, grid, fuel             float64
	invLoss, heater, heaterSun               float64
	cellC, volts                             float64
	soc, believed, endC                      float64 // at the end
	down                                     float64
	downBy                                   [32]float64
	curtailedBy                              [32]float64
}

// refOutage is one downtime, seconds of the year.
type refOutage struct {
	from, to             int
	cause                sim.Cause
	slept                bool
	soc, believed, cellC float64 // at the start
}
