package sim

import (
	"bankyear/sim/bank"
)

// Plan is a compiled system, weather year and load: flat arrays that a run
// only reads. A Plan may be run by many goroutines at once.
type Plan struct {
	sky *skyPlan
	cells
	limits
	sources
	rules
	heat
	stepS     float64         // longest internal step
	steps     float64         // internal steps of a row
	sagOhm    float64         // resistance that controllers were told, of all modules new
	located   bool            // look for events in every segment
	fewer     *fewer          // the bank while modules are out; nil when none drop out
	from      *origin         // what its rows were made of
	motors    *motors         // starts that are more than the load; nil when there are none
	lesser    []*Plan         // with modules that opened off the bus, one more each; nil when they act together
	twin      *Plan           // the same with the fan switched; nil without a fan
	chain     *chainPlan      // while the link from module to module is broken; nil when it never is
	acid      *acidPlan       // nil but for a lead-acid bank
	shifts    [][]shiftWindow // flexible energy that may shift; nil when there is none
	discharge *dischargePlan  // nil where nothing but protection limits the discharge
	deafness
	parties partyPlan
	acSource
}

// row is one interval of the year, with everything in it that the state of the
// system does not change.
type row struct {
	acEss, acAll   float64 // AC demand, W: essential, and with flexible load
	dcEss, dcAll   float64 // DC demand, W
	invEss, invAll float64 // DC into the inverter for that AC demand, W
	overEss        float64 // how long the inverter bears the demand, s; +Inf for ever
	overAll        float64
	derate         float64 // part of the inverter's ratings that holds
	vaEss, vaAll   float64 // volt-amperes over watts of the AC demand
	strained       bool    // the inverter does not bear the demand for ever
	rough          bool    // strained, or PV inverters give: nothing for a glide
	solarInW       float64 // what the planes could give at the chargers' input, W
	solarOutW      float64 // what the chargers could give of it, W
	mostOutW       float64 // the charger that gives most, W
	leastA         float64 // the least ampere limit of a charger
	perSolarEta    float64 // one over their efficiency, weighted by what they can give
	acSunInW       float64 // what AC-coupled planes could give at their inverters' input, W
	acSunW         float64 // what the PV inverters could give of it, W
	envC           float64 // air around the enclosure, °C
	nightDrawW     float64 // chargers without sun, W
	month          uint8   // 0 to 11
	sunlit         bool
}

// skyPlan is what candidates on one site, weather and load share.
type skyPlan struct {
	rows    []row
	stepS   float64
	solarW  []float64 // charger output, W: row*chargers + charger
	solarA  []float64 // charger current limit, A: likewise
	columns skyColumns
	date    func(seconds float64) string // local time of seconds after the year's start
	genW    [][]float64                  // derated rating of each generator, in lead order, W
	startMs int64
	offsetS int
}

// skyColumns are the columns of the answer that the run does not change.
type skyColumns struct {
	zenith, azimuth, plane, ambient []float32
}

// knot is a charge, As, at which the open-circuit voltage or the factor of SoC on the
// resistance bends: both there, and their slopes to the next one.
type knot struct{ q, e, g, f, fs float64 }

// knotOf is the last knot at or below a charge, and not the last of all.
func (c *cells) knotOf(q float64) int {
	k := 0
	for k < len(c.knots)-2 && c.knots[k+1].q <= q {
		k++
	}
	return k
}

// socOf is a charge over the capacity, at most 1.
func (c *cells) socOf(q float64) float64 {
	if soc := q / c.qMax; soc < 1 {
		return soc
	}
	return 1
}

// cells is the bank's electrical side. Charge is ampere-seconds at 25 °C.
type cells struct {
	loop        bank.Loop // hysteresis of the open-circuit voltage
	knots       []knot
	qMax        float64
	topQ        float64 // the last knot: beyond full, where the voltage of cells rises
	eta         float64 // coulombic efficiency while charging
	perEta      float64 // one over it
	cableR      float64
	drawW       float64 // BMS draw, W
	asleepW     float64 // likewise asleep
	selfPS      float64 // self-discharge, 1/s of the charge
	modules     float64
	cycles      [][2]float64 // depth and cycles
	warrantyMWh float64      // discharged energy that the modules' warranty covers; 0: no such limit
	ageYears    float64
	left        float64   // part of the capacity that is left at that age
	growth      float64   // growth of resistance over loss of capacity
	floatPace   float64   // part of the float life that a second at 25 °C takes, 1/s; 0 for none
	ageByC      []float64 // calendar ageing rate squared by whole °C; nil when there is no law
}

// zone is a stretch of cell temperature between two knots of any table or
// limit, in which every table is a straight line.
type zone struct {
	from, to          float64 // its ends, °C
	lo                float64 // the temperature that the lines start at, °C
	r, rs             float64 // resistance factor at lo times the bank's resistance, slope per K
	cap, caps         float64 // usable part of the capacity
	floorTop          float64 // the most charge that the cells lock in this zone, As
	ceiling, ceilings float64 // linked charge ceiling of the bank, A
	window            windowKind
}

// limits are the thresholds. A level is the number of thresholds at or below a
// value; index i is passed when level > i.
type limits struct {
	volts, celsius, soc []float64
	voltFor             []voltUse // what each voltage threshold is for
	zones               []zone    // one more than celsius
	celsiusActs         []bool    // an automaton acts on the temperature threshold
	factorAt            []float64 // SoC factor on the ceiling at each soc threshold (from there up), and slope
	factorSlope         []float64
	factorBends         []bool  // its straight line bends or jumps at the threshold
	ceilingA            float64 // highest linked ceiling, A
	v                   voltIndex
	t                   tempIndex
	s                   socIndex
}

// voltUse is what a voltage threshold is for, a bit each.
type voltUse uint16

const (
	forCutOff voltUse = 1 << iota
	forReturn
	forRestart
	forFull
	forCount
	forKnee
	forUnderRelease
	forOverRelease
	forLadder
	forHighBack
	forResume
	forShed
	forShedBack
	forAlways // the inverter's lowest and highest voltage, under- and over-voltage
)

// voltIndex holds the index of each voltage threshold in limits.volts.
type voltIndex struct {
	cut, fast, back, minV, restart, full, countFull, knee int
	under, underRelease, over, overRelease                int
	tooHigh, highBack                                     int
	shed, shedBack                                        int
	resume                                                int    // −1: not looked at
	ladder                                                []rung // of the set in charge
	ladderTop                                             int    // of these the highest, −1: none
	sagless                                               bool   // any rung is without the sag of the load
}

// rung is a voltage below which the set in charge is wanted: an index of
// limits.volts; or, where the sag of the load is added, the voltage itself.
type rung struct {
	at      int
	v       float64
	sagless bool
}

// tempIndex holds the index of each temperature threshold in limits.celsius.
type tempIndex struct {
	cold, coldBack, hot, hotBack, disCold, disColdBack, disHot, disHotBack, heatOn, heatOff, fanOn, fanOff int
}

// socIndex holds the index of each threshold of the reported SoC.
type socIndex struct {
	shed, back, stop, resume, full, sudden int
	hand, handBack                         int // of the operator who sheds by hand
	genStart, genStop, topUpIf, topUpTo    int // of the set in charge; genStop −1: none
}

// sources are the chargers.
type sources struct {
	chargers  int
	sensor    []bool // charger has its own temperature sensor
	anySensor bool
	setA      float64 // voltage-only current setting of each charger, A
	genA      float64 // AC charger's rated current, A
	genEta    float64
	acInputW  float64 // 0: 80 % of the generator's rating
}

// rules are what is set, compiled.
type rules struct {
	linked                     bool // data-linked operation
	oneSwitch                  bool
	onLoss                     lossOutcome
	onReturn                   linkReturn
	timeoutS                   float64
	pushedV                    float64       // voltage that the BMS asks for
	solo                       stageSettings // voltage-only settings, or those held after a loss
	compensate                 float64       // V/K
	setLow                     bool          // absorption ends long before the cells are full
	feelsCells                 bool          // by the cells' temperature, not by the air's
	fullA                      float64
	fullHoldS                  float64
	counter                    bank.Counter
	perCount                   float64 // one over the capacity that the counter assumes, 1/As
	ownCount, seesSolar        bool    // an inverter's own counter, and whether the solar chargers tell it
	exact                      bool    // the reported SoC is the true one
	reports                    bool    // there is a reported SoC
	doubtless                  float64 // reported SoC above which it decides next to nothing
	protection                 bank.Protection
	tripDelayS                 [tripKinds]float64
	chargeSeenA                float64 // bank
	chargeOverA                float64 // bank
	dischargeA                 float64 // bank
	peaks                      [][2]float64
	peakRestS                  float64
	controls                   Controls
	people                     people
	asleepAfterS               float64
	wokenBySun, wokenByGen     bool    // what may wake modules that sleep
	wokenByVisit               bool    // likewise somebody who has come
	sunStartsBus, genStartsBus bool    // what puts voltage on a dead bus
	deafStartsBus              bool    // any solar charger that does not hear the link
	ownW                       float64 // housekeeping
	fanW                       float64 // of this, a fan that runs
	inverter                   inverterRules
	holdBus                    bool
	settleS                    float64
	initialQ                   float64
}

type stageSettings struct {
	absorbV, absorbMaxS, tailA, tailHoldS, floatV, restartHoldS float64
	equaliseV, equaliseS, equaliseDays                          float64
	tailOwn                                                     bool
}

type inverterRules struct {
	offW, restartS float64
	restS          float64 // between short ratings
	searchBelowW   float64
	searchW        float64
	passesAlone    bool
	tooHighV       float64    // above its highest voltage
	highBackV      float64    // below it, it comes back
	loss           [3]float64 // W, –, 1/W: idle, linear, quadratic
	allowedS       func(acW float64) float64
}

// heat is the bank's thermal side.
type heat struct {
	capJ      float64 // J/K
	perW      float64 // K/W to the air around
	rate      float64 // 1/(C·R), 1/s
	wholeS    float64 // an internal step
	wholeLeft float64 // what it leaves of a difference of temperature
	heaterW   float64
	fromBank  bool
}
