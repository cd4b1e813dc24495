package api

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
	"bankyear/sim/array"
	"bankyear/sim/bank"
	"bankyear/sim/inverter"
)

func TestFindings(t *testing.T) {
	system := func(operation, onLoss string) *sim.System {
		return &sim.System{Inverter: inverter.Spec{MaxV: 64}, Bank: bank.Spec{Operation: operation, OnLinkLoss: onLoss, Link: bank.Link{TimeoutS: 60}, WokenBy: []string{"visit"}, Module: bank.Module{VoltageOnlyA: 40,
			Linked: bank.LinkedLimits{CeilingByC: [][2]float64{{0, 0}, {15, 50}, {50, 0}}}}}}
	}
	chained := func(start string) *sim.System {
		s := system("data_linked", "fall_back")
		s.CalendarYear, s.Bank.Modules = 2025, 4
		s.Bank.LinkChain = &bank.LinkChain{BreakAfter: 1, Start: start, Hours: 300, Behind: "open", Assume: "there"}
		return s
	}
	for _, c := range []struct {
		name    string
		system  *sim.System
		figures sim.Figures
		says    []string
	}{
		{"a ceiling that never acts, voltage-only", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 29.04, DowntimeH: 1},
			[]string{"The chargers give at most 29 A a module: the ceiling of 40 A never acts."}},
		{"data-linked, a link without fault", system("data_linked", "fall_back"), sim.Figures{LowestSoC: .3, HighestModuleA: 29.04, DowntimeH: 1},
			[]string{"the ceiling of 50 A never acts.", "The data link never failed"}},
		{"a ceiling that acts", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, AtCeilingH: 3, DowntimeH: 1}, nil},
		{"damage", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, ChargedTooColdH: 59.53, ChargedTooColdAh: 198.9, DowntimeH: 1},
			[]string{"for 59.5 h (199 Ah): that is damage"}},
		{"damage by a charger that hears nothing", func() *sim.System {
			s, no := system("data_linked", "fall_back"), false
			s.Array.Chargers = map[string]array.Charger{"barn": {HearsLink: &no}, "roof": {}}
			return s
		}(), sim.Figures{LowestSoC: .3, HighestModuleA: 50, AtCeilingH: 1, ChargedTooColdH: 3, ChargedTooColdAh: 20, DowntimeH: 1},
			[]string{"The data link does not reach solar charger barn: cold cells", "The data link never failed"}},
		{"cold", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, ChargeBlockedColdH: 609.8, CurtailedByCause: map[string]float64{"too_cold": 1841.2}, DowntimeH: 1},
			[]string{"refused all charge for 610 h in which there was power for it, and 1841 kWh of sun were not taken for that: a warmer place"}},
		{"cold, sun refused by a trip", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, ChargeBlockedColdH: 44, DowntimeH: 1}, []string{"for 44 h in which there was power for it: a warmer place"}},
		{"a cold morning", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, ChargeBlockedColdH: 5, DowntimeH: 1}, nil},
		{"link down", system("data_linked", "bank_opens"), sim.Figures{LowestSoC: .3, HighestModuleA: 50, AtCeilingH: 1, LinkDownH: 54.3, LinkLosses: 2, LongestLinkLossH: 49.3, DowntimeH: 1},
			[]string{"down for 54.3 h and lost 2 times, the longest time for 49.3 h; meanwhile the bank was off the bus."}},
		{"link silent for a moment", system("data_linked", "bank_opens"), sim.Figures{LowestSoC: .3, HighestModuleA: 50, AtCeilingH: 1, LinkDownH: .01, DowntimeH: 1},
			[]string{"down for 0.01 h, never as long as its timeout of 60 s."}},
		{"modules missed by nobody", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, ModulesOutH: 78, UnnoticedH: 6, DowntimeH: 1},
			[]string{"out of service for 78 h, and for 6 h of these nobody knew"}},
		{"modules missed at once", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, ModulesOutH: 78, DowntimeH: 1}, nil},
		{"single modules", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, ModuleTrips: 12, ModulesOpenH: 3.4, DowntimeH: 1},
			[]string{"Single modules opened alone 12 times, for 3.4 h in all"}},
		{"trips", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, Trips: 12, Restarts: 1, TripsByKind: map[string]int{"over_voltage": 5, "under_voltage": 7, "charge_too_cold": 0}, DowntimeH: 1},
			[]string{"Protection tripped 12 times (over voltage 5, under voltage 7), and the inverter started again once in all."}},
		{"latches", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, Trips: 5, Latches: 1, TripsByKind: map[string]int{"over_voltage": 5}, DowntimeH: 1},
			[]string{"tripped 5 times (over voltage 5).", "stayed open once until somebody came"}},
		{"sleep", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, Sleeps: 3, DowntimeH: 1},
			[]string{"asleep after over-discharge 3 times. What could wake it: By the sun: not possible, the first link that does not hold is that a solar charger puts voltage on a dead bus (there is no solar charger). By a visit: possible"}},
		{"emptied", system("voltage_only", ""), sim.Figures{LowestSoCAt: "2025-01-18T13:03:48", HighestModuleA: 40, DowntimeH: 1}, []string{"emptied to nothing, on 2025-01-18"}},
		{"link from module to module", chained("2025-01-15T08:00"), sim.Figures{LowestSoC: .3, HighestModuleA: 50, AtCeilingH: 1, DowntimeH: 1},
			[]string{"broke on 2025-01-15 for 300 h: behind it 3 of 4 modules left the bus; the ceilings that the BMS reported took them for there."}},
		{"such a link in another year", chained("2027-01-15T08:00"), sim.Figures{LowestSoC: .3, HighestModuleA: 50, AtCeilingH: 1, DowntimeH: 1}, []string{"The data link never failed"}},
		{"sulphate", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, Sulfation: "caution", LongestUnfullD: 23.4, DowntimeH: 1}, []string{"without a full charge was 23.4 days"}},
		{"well kept", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, Sulfation: "pass", LongestUnfullD: 3, DowntimeH: 1}, nil},
		{"misled", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, SoCErrorMax: .234, SoCErrorMaxAt: "2025-03-04T08:00:00", DecisionsOtherwise: 3,
			OtherwiseByKind: map[string]int{"shed": 1, "generator_start": 2, "generator_stop": 0}, DowntimeH: 1},
			[]string{"up to 23.4 points off, on 2025-03-04; 3 decisions would have gone otherwise with the true one (flexible load off or back 1, generator on 2)."}},
		{"misled as the year ends", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, SoCErrorMax: .234, SoCErrorMaxAt: "2026-01-01T00:00:00", DecisionsOtherwise: 1, DowntimeH: 1}, []string{"off, on 2025-12-31; "}},
		{"off, and nobody misled", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, SoCErrorMax: .234, SoCErrorMaxAt: "2025-03-04T08:00:00", DowntimeH: 1}, nil},
		{"held by a counter that is never re-set", func() *sim.System {
			s := system("voltage_only", "")
			s.Bank.Estimate.Kind = "shunt"
			return s
		}(), sim.Figures{LowestSoC: .3, HighestModuleA: 40, SoCErrorMax: .9, SoCErrorMaxAt: "2025-03-04T08:00:00", GridH: 8106, MisledOnH: 8000, WithoutResetH: 9480, DowntimeH: 1},
			[]string{"For 8000 of 8106 h the grid was on only because the reported state of charge, up to 90 points off, was too low: the true one had reached where it stops. The counter went 395 days without a re-set"}},
		{"held by one that does not see the sun", func() *sim.System {
			s := system("voltage_only", "")
			s.Bank.Estimate.Kind = "inverter_own"
			return s
		}(), sim.Figures{LowestSoC: .3, HighestModuleA: 40, SoCErrorMax: .8, SoCErrorMaxAt: "2025-03-04T08:00:00", GeneratorH: 85, MisledOnH: 33, Resets: 300, WithoutResetH: 190, DowntimeH: 1},
			[]string{"For 33 of 85 h the generator was on only because the reported state of charge, up to 80 points off, was too low: the true one had reached where it stops. The inverter's counter does not see what the solar chargers give"}},
		{"held for a small part of its time", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, GeneratorH: 900, MisledOnH: 80, Resets: 300, DowntimeH: 1}, nil},
		{"held for some hours", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, GeneratorH: 30, MisledOnH: 20, Resets: 300, DowntimeH: 1}, nil},
		{"opened under charge", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, Openings: 2, OpeningMostA: 36.54, OpeningMostAt: "2025-01-15T08:12:40", DowntimeH: 1},
			[]string{"opened 2 times while charge current flowed, at most 36.5 A of it on 2025-01-15"}},
		{"a bus too high", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, HighStops: 1, DowntimeH: 1}, []string{"stopped once because the bus stood above its highest 64 V"}},
		{"reset by hand", func() *sim.System {
			s := system("data_linked", "bank_opens")
			s.Bank.OnLinkReturn = "until_reset"
			return s
		}(), sim.Figures{LowestSoC: .3, HighestModuleA: 50, AtCeilingH: 1, LinkDownH: 54.3, LinkLosses: 2, LongestLinkLossH: 80, DowntimeH: 1},
			[]string{"down for 54.3 h and lost 2 times", "only once somebody had reset it: the longest loss was 80 h."}},
		{"sudden stop", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40, SuddenStops: 1, DowntimeH: 1}, []string{"without warning once"}},
		{"lit", system("voltage_only", ""), sim.Figures{LowestSoC: .3, HighestModuleA: 40}, []string{"No dark hour in this year."}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := findings(c.system, &sim.Year{Figures: c.figures})
			if assert.Len(t, got, len(c.says), strings.Join(got, "\n")) {
				for i, s := range c.says {
					assert.Contains(t, got[i], s)
				}
			}
		})
	}
}

func TestFindings_EveryOutcomeOfALostLink(t *testing.T) {
	for _, in := range Inputs() {
		if in.Path == "bank.on_link_loss" {
			for outcome := range strings.SplitSeq(in.Allowed, ", ") {
				assert.NotEmpty(t, afterLoss[outcome], outcome)
			}
			return
		}
	}
	t.Fatal("bank.on_link_loss is no input")
}

// A motor that did not start is told with what fails at its worst start, by how much,
// and what would help.
func TestFindings_Motors(t *testing.T) {
	three := 3
	s := &sim.System{}
	for says, worst := range map[string]*sim.InrushAnswer{
		"did not start 5 times, and the inverter had to restart. The worst start was that of borehole pump: the bank's peak current gives 82 % of what it asks for. It would start with 3 modules.": {Weakest: "bank_peak_current",
			MarginFraction: -.18, Appliance: "borehole_pump", ModulesToPass: &three},
		"the inverter had to restart. That is 83.3 % of all starts: what a motor that stands still would have done counts as served all the same, so that less is served than the figures say. The worst start": {Starts: 6, Failed: 5, Weakest: "inverter", MarginFraction: -.5, Appliance: "saw"},
		"the inverter's short rating gives 50 % of what it asks for. No number of modules helps it.":                                                                                                            {Weakest: "inverter", MarginFraction: -.5, Appliance: "saw"},
		"The worst start was that of pump: the bank, before its voltage falls too low, gives 51 % of what it asks for. More modules alone do not help it: the inverter's short rating is too small as well.": {Weakest: "voltage_sag", MarginFraction: -.49,
			Appliance: "pump", ByModules: []sim.InrushRow{{Modules: 1, MarginFraction: -.49, Weakest: "voltage_sag"}, {Modules: 2, MarginFraction: -.1, Weakest: "inverter"}}},
		"The worst start was that of freezer, with the bank run down to 0.4 % charge: as empty as that it starts no motor, however many modules it has.": {Weakest: "voltage_sag", MarginFraction: -1, SoC: .004, Appliance: "freezer"},
	} {
		got := findings(s, &sim.Year{Figures: sim.Figures{LowestSoC: .3, FailedMotorStarts: 5, DowntimeH: 1}, Inrush: worst})
		assert.Contains(t, strings.Join(got, " "), says)
	}
	assert.Len(t, weakest, 3)
	for _, in := range []string{"bank_peak_current", "voltage_sag", "inverter"} {
		assert.NotEmpty(t, weakest[in], in)
	}
	for _, kind := range sim.Decisions() {
		assert.NotEmpty(t, decisionWords[kind], kind)
	}
}

// What the system takes for itself is told where it is much against the load: a hut's
// 24 W of an inverter and 15 W for 8760 h are 342 kWh.
func TestFindings_OwnDraws(t *testing.T) {
	s := &sim.System{Inverter: inverter.Spec{RatedW: 3000, IdleFraction: .008, Units: 1}, Controls: sim.Controls{HousekeepingW: 15}}
	told := func(load float64) string {
		y := &sim.Year{Figures: sim.Figures{LowestSoC: .3, DowntimeH: 1}, Books: sim.Books{LoadKWh: load, InverterLossKWh: .024 * 8760, OwnDrawKWh: .015 * 8760}}
		return strings.Join(findings(s, y), " ")
	}
	assert.Contains(t, told(350), "took 342 kWh, against 350 kWh of load served: without load the inverter draws 24 W, housekeeping 15 W.")
	assert.NotContains(t, told(2600), "always on")
	assert.NotContains(t, told(0), "always on")
}

// What the fit check fails is told beside the figures, and where it is read: a voltage
// of LFP (52.8 V at half charge, from memory) kept on lead-acid, which rests below it when full;
// cautions are not told.
func TestFindings_FitCheck(t *testing.T) {
	request := with(t, complete(t), `{"bank":{"module":{"key":"lead_acid_sealed_24s_200ah"},"settings":null},"generators":{"main":{"key":"diesel_8kw"}}}`)
	about := func(patch string) []string {
		return slices.DeleteFunc(deepOf(t, with(t, request, patch), WithSettings).Findings, func(x string) bool { return !strings.Contains(x, "of the fit") })
	}
	assert.Empty(t, about(`{"generators":{"main":{"start_below":[{"v":46.5,"hold_s":120}]}}}`))
	assert.Equal(t, []string{"One check of the fit fails (generator main: voltages that start it): the settings sheet says why (bankyear sheet FILE, /v1/sheets)."},
		about(`{"generators":{"main":{"start_below":[{"v":52.8,"hold_s":120}]}}}`))
	two := about(`{"generators":{"main":{"start_below":[{"v":52.8,"hold_s":120}]}},"bank":{"make_up":{"beside_chemistry":"lfp"}}}`)
	require.Len(t, two, 1)
	assert.Contains(t, two[0], "2 checks of the fit fail (the first is ")
}

// A grid in use as backup leaves the sun idle, which self_use does not: the same year takes
// several times as much of it.
func TestFindings_IdleSun(t *testing.T) {
	request := with(t, complete(t), `{"bank":{"modules":4,"estimate":{"kind":"exact"}},"generators":null}`)
	about := func(patch string) (said string, taken float64) {
		a := deepOf(t, with(t, request, patch), WithSettings)
		for _, x := range a.Findings {
			if strings.Contains(x, "self_use") {
				said += x
			}
		}
		return said, a.Books.SolarAvailableKWh - a.Books.CurtailedKWh
	}
	said, backup := about(`{"grid":{"limit_w":4000}}`)
	assert.Regexp(t, `^Of \d+ kWh of sun \d+ kWh were not taken: .* first\.$`, said)
	said, selfUse := about(`{"grid":{"limit_w":4000,"use":"self_use"}}`)
	assert.Empty(t, said)
	assert.Greater(t, selfUse, 3*backup)
	said, _ = about(`{}`)
	assert.Empty(t, said, "no grid")
}
