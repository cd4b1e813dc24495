package sim_test

import (
	"maps"
	"math"
	"slices"
	"time"

	"bankyear/sim"
	"bankyear/sim/array"
	"bankyear/sim/bank"
	"bankyear/weather"
)

// reference is one system, its inputs and its state at one second.
type reference struct {
	s       *sim.System
	w       *weather.Year
	l       *sim.Load
	m       *bank.Module
	counter bank.Counter

	// Constants of the bank.
	n, capacityAh             float64
	moduleAh, spread          float64
	openCircuit               refTable // V against Ah
	bySoC, byC, usable        refTable // factors on resistance and capacity
	linkedByC, linkedBySoC    refTable // charge ceiling
	outByC, outBySoC          refTable // discharge ceiling
	outMostA                  float64
	heatJPerC, thermalCPerW   float64
	set                       bank.Settings // what the chargers hold without a link
	oneSwitch, dataLinked     bool
	overV, chargeOverA, contA float64
	faults                    [][2]float64 // link down from, to; seconds

	whole    float64 // modules in service; n is those on the bus
	known    float64 // modules that the BMS speaks for, over those on the bus
	ohmGrown float64 // resistance over that of a new bank
	halfV    float64 // of the hysteresis, from the mean to each branch
	acid     *refAcid
	hand     bank.Settings // the installer's
	someDeaf bool          // some charger does not hear the link
	acDeaf   bool          // nor the AC charger
	disagree bool          // some charger holds another voltage than it is set to
	innerOhm float64       // of the cable, where some charger looks behind it
	chargers []array.Charger
	planes   [][]array.Plane
	sets     []refSet // sources of AC as they lead
	outages  [][2]float64
	sunlit   []float64 // sunlit part of each interval

	in    refInput
	st    refState
	flow  refFlow
	now   int
	hours []refHour
	dark  []refOutage
	burnt float64 // fuel of this second, l
	into  float64 // charge of the last second, Ah
	lost  float64 // shifting energy that a window which has ended left, J

	told   refStatus
	events refEvents

	openings, highStops int
	openingA            float64 // highest
}

// refInput is what is constant over an interval of the weather.
type refInput struct {
	arrayW, solarW, solarA [4]float64 // by charger: array power; power and ampere limits of its output
	sumArrayW              float64
	nightW                 float64
	ambientC, planeWM2     float64
	acEss, acFlex          float64
	dcEss, dcFlex          float64
	demandW                float64
	ratedW, derate         float64    // inverter
	passLimitW, setW       [4]float64 // by source of AC: through the inverter, and its own rating
	morning                bool
	sun                    bool // the planes give something
	sunUp                  bool // the sun is above the horizon at any time of the interval
}

// newReference compiles a checked system as it is given, before what was left out is
// completed.
func newReference(given *sim.System, w *weather.Year, l *sim.Load) *reference {
	s := refComplete(given)
	b := &s.Bank
	m := &b.Module
	n := float64(b.Modules)
	if k := float64(s.Inverter.Units); k > 1 { // as many share everything evenly
		x := *s
		i := &x.Inverter
		i.RatedW, i.ChargerA, i.OffDrawW, i.SearchDrawW, i.SearchBelowW, i.ACInputW = k*i.RatedW, k*i.ChargerA, k*i.OffDrawW, k*i.SearchDrawW, k*i.SearchBelowW, k*i.ACInputW
		i.Short = nil
		for _, pair := range s.Inverter.Short {
			i.Short = append(i.Short, [2]float64{k * pair[0], pair[1]})
		}
		s = &x
	}
	r := &reference{s: s, w: w, l: l, m: m, n: n, counter: refCounter(b), capacityAh: n * m.CapacityAh,
		bySoC: newRefTable(m.ResistanceBySoC, 1, 1), byC: newRefTable(m.ResistanceByC, 1, 1), usable: newRefTable(m.CapacityByC, 1, 1),
		linkedByC:   newRefTable(m.Linked.CeilingByC, 1, n/m.WorstShare),
		linkedBySoC: newRefTable(m.Linked.CeilingBySoC, 1, 1),
		heatJPerC:   n * m.HeatKJPerC * 1000, thermalCPerW: b.Enclosure.SurfaceCPerW,
		oneSwitch: m.Disconnect == "one_switch", dataLinked: b.Operation == "data_linked",
		overV: m.Protection.OverV - m.Protection.OverSpreadV*float64(m.CellsInSeries),
		// The worst module carries more than the mean.
		chargeOverA: n * m.Protection.ChargeOverA / m.WorstShare, contA: n * m.DischargeA / m.WorstShare,
		set: *b.Settings, ohmGrown: 1,
	}
	r.acid = newRefAcid(b)
	r.openCircuit = r.restTable()
	if b.Enclosure.Kind == "insulated_cupboard" {
		r.thermalCPerW += b.Enclosure.InsulationCPerW
	}
	if r.dataLinked && b.Link.AfterLoss == "factory_lead_acid" {
		r.set = refFactory(b)
	}
	r.whole, r.known = n, 1
	r.outTables()
	if b.AgedCapacity > 0 { // less of everything that is charge; what a counter was set to stays
		r.capacityAh *= b.AgedCapacity
		if r.counter.Kind != "shunt" && r.counter.Kind != "inverter_own" {
			r.counter.AssumedAh *= b.AgedCapacity
		}
		r.ohmGrown = b.AgedResistance
		r.openCircuit = r.restTable()
	}
	for _, f := range slices.Concat(b.LinkFaults.Listed, b.Link.Gateway.Faults.Listed) {
		from := refSecond(f.Start)
		r.faults = append(r.faults, [2]float64{from, from + 3600*f.Hours})
	}
	r.hand, r.acDeaf = *b.Settings, !refHears(s.Inverter.ChargerHearsLink)
	r.someDeaf = r.acDeaf
	r.notes(s.Inverter.ChargerSetOffsetV, s.Inverter.ChargerVoltageSensedAt)
	names := slices.Sorted(maps.Keys(s.Array.Chargers))
	for _, name := range names {
		charger := s.Array.Chargers[name]
		r.chargers = append(r.chargers, charger)
		r.someDeaf = r.someDeaf || !refHears(charger.HearsLink)
		r.notes(charger.SetOffsetV, charger.VoltageSensedAt)
		var planes []array.Plane
		for _, p := range slices.Sorted(maps.Keys(s.Array.Planes)) {
			if plane := s.Array.Planes[p]; plane.Charger == name {
				planes = append(planes, plane)
			}
		}
		r.planes = append(r.planes, planes)
	}
	r.addSources()
	r.st = refState{q: b.InitialSoC * r.capacityAh, believed: b.InitialSoC, inverterOn: true, fullArmed: true}
	for k, set := range r.sets {
		g := &r.st.engines[k]
		g.ticked = -1
		if g.fuelL = math.Inf(1); set.spec.FuelStoreL > 0 {
			g.fuelL = set.spec.FuelStoreL
		}
	}
	r.beginLoop()
	r.sunlit = w.Sun().SunlitFraction
	r.moduleAh, r.spread = r.capacityAh/n, m.Protection.OverSpreadV
	r.load(0)
	r.st.cellC = r.enclosureC()
	r.told, r.events = r.status(), refEvents{}
	return r
}

// yearStart is the first moment of the year, local time.
func (r *reference) yearStart() time.Time {
	return time.Date(r.w.CalendarYear, 1, 1, 0, 0, 0, 0, time.UTC)
}

// load reads the inputs of interval i.
func (r *reference) load(i int) {
	had := r.in.sun
	month := r.yearStart().Add(time.Duration(i*r.w.StepS) * time.Second).Month()
	in := refInput{ambientC: r.w.AmbientC[i], planeWM2: r.w.PlaneWM2[i]}
	elevation := r.w.Site.ElevationM
	for c, charger := range r.chargers {
		for _, p := range r.planes[c] {
			in.arrayW[c] += refPlaneW(&p, in.planeWM2, in.ambientC, r.w.WindMS[i], month)
		}
		in.sumArrayW += in.arrayW[c]
		in.solarW[c] = min(in.arrayW[c], 1000*charger.RatedArrayKW) * charger.EfficiencyFraction
		in.solarA[c] = charger.RatedA * refDerate(charger.DerateFractionPC, in.ambientC, charger.DerateAboveC) * refDerate(charger.AltitudeFractionPer100M/100, elevation, charger.AltitudeFreeM)
		if in.arrayW[c] <= 0 {
			in.nightW += charger.NightDrawW
		}
	}
	in.sun, in.sunUp = in.sumArrayW > 0, r.sunlit[i] > 0
	in.morning = in.sun && !had
	at0 := func(column []float64) float64 {
		if column == nil {
			return 0
		}
		return column[i]
	}
	in.acEss, in.acFlex = at0(r.l.ACEssentialW), at0(r.l.ACFlexibleW)
	in.dcEss, in.dcFlex = at0(r.l.DCEssentialW), at0(r.l.DCFlexibleW)
	in.demandW = in.acEss + in.acFlex + in.dcEss + in.dcFlex
	inv := &r.s.Inverter
	in.derate = refDerate(inv.DerateFractionPC, in.ambientC, inv.DerateAboveC) * refDerate(inv.AltitudeFractionPer100M/100, elevation, inv.AltitudeFreeM)
	in.ratedW = r.s.Inverter.RatedW * in.derate
	for k, set := range r.sets {
		rated := refRatedW(&set.spec, elevation, in.ambientC)
		in.passLimitW[k], in.setW[k] = 0.8*rated, rated
		if limit := inv.ACInputW; limit > 0 {
			in.passLimitW[k] = min(limit, rated)
		}
		if set.grid {
			in.passLimitW[k], in.setW[k] = r.s.Grid.LimitW, r.s.Grid.LimitW
			if limit := r.s.Inverter.ACInputW; limit > 0 {
				in.passLimitW[k] = min(limit, r.s.Grid.LimitW)
			}
		}
	}
	r.in = in
}

// enclosureC is the air around the bank. The kinds whose air has a memory of
// its own are not modelled here.
func (r *reference) enclosureC() float64 {
	switch e := &r.s.Bank.Enclosure; e.Kind {
	case "outdoor", "insulated_cupboard":
		return r.in.ambientC + e.SolarGain*r.in.planeWM2/1000
	case "fixed":
		return e.FixedC + e.SolarGain*r.in.planeWM2/1000
	default:
		panic("reference: enclosure " + e.Kind)
	}
}
