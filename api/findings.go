package api

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"bankyear/sim"
	"bankyear/sim/advice"
)

// findings says in words what the figures of a year alone could hide.
func findings(s *sim.System, y *sim.Year) []string {
	f := &y.Figures
	out := []string{}
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if f.ChargedTooColdH > 0 {
		add("The cells were charged with more than they allow in the cold for %s h (%s Ah): that is damage, and any hour of light gained by it was bought with it.%s", short(f.ChargedTooColdH), short(f.ChargedTooColdAh), deafCharged(s))
	}
	if f.ChargeBlockedColdH >= coldTold {
		text := fmt.Sprintf("Cold cells refused all charge for %s h in which there was power for it", short(f.ChargeBlockedColdH))
		if kwh := f.CurtailedByCause["too_cold"]; kwh >= 1 {
			text += fmt.Sprintf(", and %s kWh of sun were not taken for that", short(kwh))
		}
		add("%s: a warmer place, insulation or a heater helps.", text)
	}
	if ceiling := highestCeiling(s); f.AtCeilingH == 0 && f.HighestModuleA < ceiling {
		add("The chargers give at most %s A a module: the ceiling of %s A never acts.", short(f.HighestModuleA), short(ceiling))
	}
	if f.Openings > 0 {
		add("The disconnect opened %s while charge current flowed, at most %s A of it on %s: chargers raise the bus until they hold back, by how much is not stated. Have their makers confirm it; the inverter works up to %s V.",
			times(f.Openings), short(f.OpeningMostA), day(f.OpeningMostAt), short(s.Inverter.MaxV))
	}
	if f.HighStops > 0 {
		add("The inverter stopped %s because the bus stood above its highest %s V: a set-point goes there, such as one that compensation lifts in the cold.", times(f.HighStops), short(s.Inverter.MaxV))
	}
	if f.SuddenStops > 0 {
		add("The site went dark without warning %s: the reported state of charge still looked safe.", times(f.SuddenStops))
	}
	chain := chainFinding(s)
	if chain != "" {
		add("%s", chain)
	}
	if s.Bank.Operation == "data_linked" && f.LinkDownH == 0 && chain == "" {
		add("The data link never failed in this year; a cable that falls out is not part of these figures.")
	}
	switch {
	case s.Bank.Operation != "data_linked" || f.LinkDownH == 0:
	case f.LinkLosses == 0:
		add("The data link was down for %s h, never as long as its timeout of %s s.", short(f.LinkDownH), short(s.Bank.Link.TimeoutS))
	default:
		add("The data link was down for %s h and lost %s, the longest time for %s h; %s.", short(f.LinkDownH), times(f.LinkLosses), short(f.LongestLinkLossH), afterLoss[s.Bank.OnLinkLoss])
	}
	if b := &y.Books; s.Grid != nil && s.Grid.Use == "backup" && f.GridH > 0 && b.CurtailedKWh > idleSun*b.SolarAvailableKWh {
		add("Of %s kWh of sun %s kWh were not taken: with grid.use backup the grid carries the load whenever it is there, and the sun only fills the bank. With self_use the load would run from the sun first.",
			short(b.SolarAvailableKWh), short(b.CurtailedKWh))
	}
	if text := ownDraws(s, &y.Books); text != "" {
		add("%s", text)
	}
	out = append(out, bankFindings(s, f)...)
	if f.FailedMotorStarts > 0 {
		add("%s", motorFinding(f, y.Inrush))
	}
	if f.DecisionsOtherwise > 0 {
		add("The reported state of charge was up to %s off, on %s; %s would have gone otherwise with the true one (%s).",
			points(f.SoCErrorMax), dayEnded(f.SoCErrorMaxAt), plural(f.DecisionsOtherwise, "decision"), decisions(f))
	}
	if text := misledOn(s, f); text != "" {
		add("%s", text)
	}
	if when := notAtOnce[s.Bank.OnLinkReturn]; when != "" && f.LinkLosses > 0 {
		add("A link that was back was followed again only %s: the longest loss was %s h.", when, short(f.LongestLinkLossH))
	}
	if f.DowntimeH == 0 {
		add("No dark hour in this year.")
	}
	return out
}

// coldTold is the time of charge refused by cold cells from which on it is told, h (common
// practice, no source).
const coldTold = 24

// deafCharged names the chargers that charge cold cells of a data-linked bank because
// they do not hear what the BMS asks for; "" where there are none.
func deafCharged(s *sim.System) string {
	if s.Bank.Operation != "data_linked" {
		return ""
	}
	var deaf []string
	for _, name := range slices.Sorted(maps.Keys(s.Array.Chargers)) {
		if c := s.Array.Chargers[name]; !c.Hears() {
			deaf = append(deaf, "solar charger "+name)
		}
	}
	if (len(s.Generators) > 0 || s.Grid != nil) && !s.Inverter.ChargerHears() {
		deaf = append(deaf, "the AC charger")
	}
	if len(deaf) == 0 {
		return ""
	}
	return " The data link does not reach " + strings.Join(deaf, " and ") + ": cold cells are charged by voltage there, whatever the BMS asks for."
}

// ownDraws says what the inverter and what is always on take, where that is much
// against the load; "" where it is not.
func ownDraws(s *sim.System, b *sim.Books) string {
	took, served := b.InverterLossKWh+b.OwnDrawKWh, b.LoadKWh-b.UnservedKWh
	if served <= 0 || took < muchOwn*served {
		return ""
	}
	inv := s.Inverter.Together()
	text := fmt.Sprintf("The inverter's losses and what is always on took %s kWh, against %s kWh of load served: without load the inverter draws %s W", short(took), short(served), short(inv.RatedW*inv.IdleFraction))
	if w := s.Controls.HousekeepingW; w > 0 {
		text += fmt.Sprintf(", housekeeping %s W", short(w))
	}
	return text + ". A smaller inverter, its search mode, or switching off what nobody needs leaves more of the bank to the load."
}

// muchOwn is the part of the load from which on draws of the system's own are told
// (common practice, no source).
const muchOwn = 0.5

// idleSun is the part of the sun from which on it is said that a grid in use as backup
// leaves it idle (common practice, no source).
const idleSun = 0.3

// misledOn says that a generator or the grid was on for much of its time only because the
// reported state of charge is too low, and what ends that; "" where it was not.
func misledOn(s *sim.System, f *sim.Figures) string {
	on := f.GeneratorH + f.GridH
	if f.MisledOnH < muchMisledH || f.MisledOnH < muchMisled*on {
		return ""
	}
	what := "the generator"
	switch {
	case f.GridH > 0 && f.GeneratorH > 0:
		what = "generator or grid"
	case f.GridH > 0:
		what = "the grid"
	}
	text := fmt.Sprintf("For %s of %s h %s was on only because the reported state of charge, up to %s off, was too low: the true one had reached where it stops.",
		short(min(f.MisledOnH, on)), short(on), what, points(f.SoCErrorMax))
	e := &s.Bank.Estimate
	switch {
	case f.Resets == 0 || f.WithoutResetH >= 24*rarelyResetD:
		text += fmt.Sprintf(" The counter went %s days without a re-set, and drifted: full values that every full charge reaches set it right.", short(f.WithoutResetH/24))
	case e.Kind == "inverter_own" && !e.SeesSolar:
		text += " The inverter's counter does not see what the solar chargers give: have it told, or count at the bank."
	default:
		text += " A zeroed counter drifts less between full charges, and one that is full more often is set right more often."
	}
	return text
}

// From so much on it is told that a source of AC is on for a wrong state of charge: hours,
// and a part of all its time; and days without a re-set that are many (common practice, no
// source).
const (
	muchMisledH  = 24
	muchMisled   = 0.1
	rarelyResetD = 30
)

// fitFinding says that the fit check fails, and where it is read; nothing where it does not.
func fitFinding(c *Case) []string {
	first, n := "", 0
	for _, f := range advice.Fit(&c.System, advice.ExtremesOf(c.Weather)) {
		if f.Verdict == advice.Fail {
			if n++; n == 1 {
				first = f.Subject
			}
		}
	}
	if n == 0 {
		return nil
	}
	what := fmt.Sprintf("One check of the fit fails (%s)", first)
	if n > 1 {
		what = fmt.Sprintf("%d checks of the fit fail (the first is %s)", n, first)
	}
	return []string{what + ": the settings sheet says why (bankyear sheet FILE, /v1/sheets)."}
}

// afterLoss says what each outcome of a lost link was.
var afterLoss = map[string]string{
	"bank_opens":   "meanwhile the bank was off the bus",
	"all_stop":     "meanwhile inverter and chargers were stopped",
	"charge_stops": "meanwhile nothing charged the bank, and the load was carried",
	"fall_back":    "meanwhile the chargers worked from terminal voltage, on the settings that they hold after a loss",
}

// notAtOnce says when a link that is back is followed again, where it is not at once.
var notAtOnce = map[string]string{"next_morning": "with the next sun after a night", "until_reset": "once somebody had reset it"}

// highestCeiling is the highest charge current of one module that anything but
// the chargers' own size allows, A.
func highestCeiling(s *sim.System) float64 {
	if s.Bank.Operation != "data_linked" {
		return s.Bank.Module.VoltageOnlyA
	}
	highest := 0.0
	for _, point := range s.Bank.Module.Linked.CeilingByC {
		highest = max(highest, point[1])
	}
	return highest
}

// day is the date of a local time.
func day(local string) string { return local[:len("2006-01-02")] }

// dayEnded is the date of an interval that ended at a local time: one that ends at midnight
// belongs to the day before.
func dayEnded(local string) string {
	at, err := time.Parse("2006-01-02T15:04:05", local)
	if err != nil {
		panic("api: no local time: " + local)
	}
	return at.Add(-time.Second).Format(time.DateOnly)
}

// times says how often.
func times(n int) string {
	if n == 1 {
		return "once"
	}
	return strconv.Itoa(n) + " times"
}

// short writes a number with three significant digits, and no decimals from
// 100 up.
func short(x float64) string {
	if x >= 99.95 || x <= -99.95 {
		return advice.Minus(strconv.FormatFloat(x, 'f', 0, 64))
	}
	return advice.Minus(strconv.FormatFloat(x, 'g', 3, 64))
}

// exact writes a number with all its digits.
func exact(x float64) string { return advice.Minus(strconv.FormatFloat(x, 'f', -1, 64)) }

// points writes a difference of two fractions as percentages have it.
func points(d float64) string {
	text := short(100 * d)
	if text == "1" {
		return "1 point"
	}
	return text + " points"
}
