package advice

import (
	"fmt"
	"math"

	"bankyear/sim/bank"
)

const chargers = "solar and AC chargers"

// timed is a length in minutes from one minute up, else in seconds, as
// chargers are set.
func timed(s float64) (value float64, unit string) {
	if s >= 60 {
		return tenths(s / 60), "min"
	}
	return tenths(s), "s"
}

func tenths(x float64) float64 { return math.Round(10*x) / 10 }

// cellRule is a rule of so many volts a cell.
func (x *sheet) cellRule(v float64) string {
	return fmt.Sprintf("%d cells × %s V, %s", x.m.CellsInSeries, fixed(v/float64(x.m.CellsInSeries), 4), practice)
}

// charging are the rows of the chargers' cycle.
func (x *sheet) charging() {
	set, rule, owner := x.s.Bank.Settings, x.s.Bank.DeriveSettings(), x.silent()
	wrong := fmt.Sprintf("Higher: modules trip at %s once their highest cell stands %s above the mean, and age sooner. Lower: the taper begins early and the bank may never be full.", volts(x.m.OverVoltageV()), volts(x.m.Protection.OverSpreadV))
	if x.m.LeadAcid() {
		wrong = "Higher: it gasses, dries out and corrodes. Lower: it is never quite full, and sulphates."
	}
	x.row(chargers, "absorption voltage", set.AbsorbV, "V", owner, given(x.cellRule(rule.AbsorbV), volts(set.AbsorbV), volts(rule.AbsorbV)), wrong)
	longest, unit := timed(set.AbsorbMaxS)
	x.row(chargers, "absorption at most", longest, unit, owner, given(practice, duration(set.AbsorbMaxS), duration(rule.AbsorbMaxS)),
		"Longer: full cells are held at a high voltage each sunny day, which ages them. Shorter: it ends before the tail current, and the counter is not re-set.")
	x.row(chargers, "tail current", tenths(set.TailA), "A", owner,
		given(fmt.Sprintf("%s of %s × %s Ah, %s", percent(rule.TailA/(x.n*x.m.CapacityAh)), modules(x.s.Bank.Modules), fixed(x.m.CapacityAh, 1), practice), amps(set.TailA), amps(rule.TailA)),
		"Higher: absorption ends before the bank is full. Lower: it never ends by current, only by time.")
	hold, unit := timed(set.TailHoldS)
	x.row(chargers, "tail held for", hold, unit, owner, given(practice, duration(set.TailHoldS), duration(rule.TailHoldS)),
		"Shorter: a passing cloud or a load that starts looks like the tail. Longer: absorption runs into its time limit.")
	seen := map[string]string{"bank": "at the bank, by a shared shunt", "own_output": "at each charger's own output"}
	x.row(chargers, "tail current measured", seen[set.TailSeen], "", owner, given(practice, seen[set.TailSeen], seen[rule.TailSeen]),
		"At a charger's own output the load is seen as charge: with the load above the tail current, absorption ends by time only.")
	x.row(chargers, "float voltage", set.FloatV, "V", owner, given(x.cellRule(rule.FloatV), volts(set.FloatV), volts(rule.FloatV)),
		"Higher, or none: the bank is held full all day and ages. Lower: the full bank feeds the load while the sun shines.")
	x.row(chargers, "charge again below", set.RestartV, "V", owner, given(x.cellRule(rule.RestartV), volts(set.RestartV), volts(rule.RestartV)),
		"Higher: absorption starts over at every load. Lower: a half-empty bank stays in float until the next morning.")
	hold, unit = timed(set.RestartHoldS)
	x.row(chargers, "charge again after", hold, unit, owner, given(practice, duration(set.RestartHoldS), duration(rule.RestartHoldS)),
		"Shorter: the sag of a starting motor starts absorption over.")
	x.compensationRows(set, owner)
}

// compensationRows are what is off for lithium cells. Lead-acid wants both on,
// by its maker's values.
func (x *sheet) compensationRows(set *bank.Settings, owner Owner) {
	value := fixed(1000*set.CompensationV, 1)
	if x.m.LeadAcid() {
		x.row(chargers, "temperature compensation", tenths(1000*set.CompensationV), "mV/K", owner, given(practice, value, fixed(1000*x.s.Bank.DeriveSettings().CompensationV, 1)),
			"Off, it is charged too little in the cold and gasses in the heat.")
		x.equaliseRows(set, owner)
		return
	}
	factory, trip := x.s.Bank.FactorySettings(), x.m.OverVoltageV()
	x.row(chargers, "temperature compensation", tenths(1000*set.CompensationV), "mV/K", owner, given("off for lithium cells, "+practice, value, "0"),
		fmt.Sprintf("Left on at lead-acid values (%s mV/K), %s becomes %s at 0 °C, and %s of lead-acid absorption %s, with the highest cell tripping at %s: over-voltage trips on winter mornings.",
			fixed(1000*factory.CompensationV, 0), volts(set.AbsorbV), volts(setPointV(&factory, set.AbsorbV, 0)), volts(factory.AbsorbV), volts(setPointV(&factory, factory.AbsorbV, 0)), volts(trip)))
	equalise := any("off")
	if set.EqualiseV > 0 {
		equalise = set.EqualiseV
	}
	x.row(chargers, "equalisation", equalise, "", owner, "off for lithium cells, "+practice,
		fmt.Sprintf("Left on, it drives the bank above absorption for hours: the highest cell trips the protection at %s.", volts(trip)))
}

// equaliseRows are for vented cells; sealed ones have it off.
func (x *sheet) equaliseRows(set *bank.Settings, owner Owner) {
	rule := x.s.Bank.DeriveSettings()
	if set.EqualiseV == 0 {
		x.row(chargers, "equalisation", "off", "", owner, practice, "On, sealed cells dry out. Off, vented cells layer their acid.")
		return
	}
	x.row(chargers, "equalisation voltage", set.EqualiseV, "V", owner, given(x.cellRule(rule.EqualiseV), volts(set.EqualiseV), volts(rule.EqualiseV)),
		"Higher: it boils the cells. On sealed cells: they dry out.")
	x.row(chargers, "equalisation for", tenths(set.EqualiseS/60), "min", owner, given(practice, duration(set.EqualiseS), duration(rule.EqualiseS)), "Longer: more water to fill up.")
	x.row(chargers, "equalisation every", tenths(set.EqualiseDays), "d", owner, given(practice, fixed(set.EqualiseDays, 0)+" d", fixed(rule.EqualiseDays, 0)+" d"), "More seldom: the acid lies in layers and the weakest cell falls behind.")
}

// currents are the rows of each charger's current limit, rounded down.
func (x *sheet) currents() {
	set, owner := x.s.Bank.Settings, x.silent()
	limit := x.s.Bank.VoltageOnlyCeilingA()
	sources := x.sources(math.Inf(1))
	all, _, _ := total(x.sources(set.ChargeA))
	more := fmt.Sprintf("Higher: the bank takes more than the %s that its maker allows without a link.", amps(limit))
	if all > limit {
		more = fmt.Sprintf("As set, all chargers together give up to %s, above the %s that the bank is allowed: with %s each they stay within.", amps(all), amps(limit), amps(math.Floor(10*equalSetting(sources, limit))/10))
	}
	for _, c := range sources {
		rated := x.s.Inverter.ChargerA
		if c.solar {
			rated = x.s.Array.Chargers[c.key].RatedA
		}
		value := math.Floor(10*min(rated, set.ChargeA)) / 10
		rule := fmt.Sprintf("bank: %s × %s / %s = %s; charger rated %s", modules(x.s.Bank.Modules), amps(x.m.VoltageOnlyA), fixed(x.m.WorstShare, 2), amps(limit), amps(rated))
		x.row(c.name, "current limit", value, "A", owner, given(rule, amps(set.ChargeA), amps(limit)), more+" Lower: recharge takes longer.")
	}
}
