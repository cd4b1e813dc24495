package sim_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat"

	"bankyear/sim"
)

// silence is a link fault of six hours on the first morning, at an ideal bank of
// five modules, half full, that 1 kW of sun charges beside a load of 400 W.
const silence = `{"bank":{"modules":5,"initial_soc_fraction":0.5,"link_faults":{"listed":[{"start":"2025-01-01T06:00","hours":6}]}}}`

const sunA, loadA = 1000 / 51.2, 400 / 51.2

// A lost link has four outcomes, each after a timeout (common practice): with
// the bank open, or all stopped, the site is dark until the link is back and
// the inverter has restarted; where charging stops, the bank carries the load;
// where it falls back, chargers go on by their own settings.
func TestLinkLossOutcomes(t *testing.T) {
	w := steady(100)
	for outcome, c := range map[string]struct {
		patch   string
		dark    float64 // s
		amperes float64 // bank while the link is lost
		refused float64 // kWh of sun, by cause link_loss
	}{
		"bank opens":              {`{"bank":{"on_link_loss":"bank_opens"}}`, 6*3600 - 60 + 30, 0, 6 - 1/60.},
		"bank opens, bus is held": {`{"bank":{"on_link_loss":"bank_opens"},"controls":{"chargers_hold_bus":true}}`, 0, 0, .6 * (6 - 1/60.)},
		"all stop":                {`{"bank":{"on_link_loss":"all_stop"}}`, 6*3600 - 60 + 30, 0, 6 - 1/60.},
		"charge stops":            {`{"bank":{"on_link_loss":"charge_stops"}}`, 0, -loadA, 6 - 1/60.},
		"falls back":              {`{"bank":{"on_link_loss":"fall_back","settings":{"absorb_v":56,"float_v":54,"restart_charge_v":53,"tail_a":5,"charge_a":10}}}`, 0, 10 - loadA, 0},
	} {
		t.Run(outcome, func(t *testing.T) {
			y := run(t, w, ac(w, 400), ideal, topped, silence, c.patch)
			f, amperes := y.Figures, values(t, y, "bank_a")
			assert.InDelta(t, c.dark, f.DowntimeH*3600, 1e-3)
			assert.InDelta(t, f.DowntimeH, f.DowntimeByCauseH["link_loss"], 1e-9)
			assert.InDelta(t, 6, f.LinkDownH, 1e-9)
			assert.Equal(t, 1, f.LinkLosses)
			assert.InDelta(t, 6, f.LongestLinkLossH, 1e-9)
			assert.InDelta(t, c.refused, f.CurtailedByCause["link_loss"], 1e-5)
			for row := range 24 {
				want := sunA - loadA
				switch {
				case row == 6: // a minute of silence first
					want = (want + 59*c.amperes) / 60
				case row > 6 && row < 12:
					want = c.amperes
				case row == 12 && c.dark > 0: // the inverter restarts for half a minute
					want += loadA / 120
				}
				assert.InDelta(t, want, amperes[row], 1e-3, "row %d", row)
				assert.Equal(t, row < 6 || row >= 12, y.Hours.LinkUp[row], "row %d", row)
			}
		})
	}
}

// Silence shorter than the timeout does nothing.
func TestLinkTimeout(t *testing.T) {
	w := steady(100)
	for _, c := range []struct{ timeoutS, dark float64 }{{3600, 0}, {1800, 1830 - 30 + 30}, {3599, 1 + 30}} {
		y := run(t, w, ac(w, 400), ideal, topped, patch(`{"bank":{"initial_soc_fraction":0.5,"on_link_loss":"all_stop","link":{"timeout_s":%g},
			"link_faults":{"listed":[{"start":"2025-01-01T06:00","hours":1}]}}}`, c.timeoutS)).Figures
		if c.timeoutS == 3600 {
			assert.Zero(t, y.DowntimeH)
			assert.Zero(t, y.LinkLosses)
			assert.Zero(t, y.LongestLinkLossH)
		} else {
			assert.Equal(t, 1, y.LinkLosses)
			assert.InDelta(t, c.dark, y.DowntimeH*3600, 1e-3, "timeout %g s", c.timeoutS)
		}
		assert.InDelta(t, 1, y.LinkDownH, 1e-9)
	}
}

// Each fault beyond the timeout is a loss, from where the link went down to where it
// is back, or to the year's end; the longest of them is told.
func TestLinkLosses(t *testing.T) {
	w := steady(100)
	f := run(t, w, ac(w, 400), ideal, topped, `{"bank":{"on_link_loss":"fall_back","link_faults":{"listed":[
		{"start":"2025-02-01T06:00","hours":3.5},{"start":"2025-03-01T06:00","hours":0.01},{"start":"2025-06-01T12:00","hours":30},{"start":"2025-12-31T04:00","hours":100}]}}}`).Figures
	assert.Equal(t, 3, f.LinkLosses)
	assert.InDelta(t, 30, f.LongestLinkLossH, 1e-9)
	assert.InDelta(t, 3.5+.01+30+20, f.LinkDownH, 1e-9)
	f = run(t, w, ac(w, 400), ideal, topped, `{"bank":{"on_link_loss":"fall_back","link_faults":{"listed":[{"start":"2025-12-31T04:00","hours":100}]}}}`).Figures
	assert.Equal(t, 1, f.LinkLosses)
	assert.InDelta(t, 20, f.LongestLinkLossH, 1e-9)
}

// Nobody starts a set that can serve nothing: while everything stands still, unless they
// can cable it past the inverter (common practice, no source).
func TestNothingStartedForNothing(t *testing.T) {
	w := steady(100)
	still := `{"bank":{"initial_soc_fraction":0.9,"on_link_loss":"all_stop","link_faults":{"listed":[{"start":"2025-01-10T00:00","hours":48}]}},
		"generators":{"main":{"start_signal":"by_hand"}},"controls":{"operator":{"on_site":"always","does":["start_generator"]}}}`
	for _, c := range []struct {
		who, patch string
		starts     bool
	}{
		{"an operator without a cable", `{}`, false},
		{"an operator with one", `{"controls":{"operator":{"does":["start_generator","bypass_inverter"]}}}`, true},
		{"a visitor", `{"controls":{"operator":{"on_site":"never"},"visit_response_h":12}}`, true},
		{"an operator where AC is passed on", `{"bank":{"on_link_loss":"bank_opens"},"inverter":{"passes_through_without_bank":true}}`, true},
	} {
		f := run(t, w, ac(w, 400), ideal, topped, diesel, still, c.patch).Figures
		assert.Equal(t, 1, f.Outages, c.who)
		if !c.starts {
			assert.Zero(t, f.GeneratorStarts, c.who)
			assert.InDelta(t, 48, f.DowntimeH, 0.1, c.who)
		} else {
			assert.NotZero(t, f.GeneratorStarts, c.who)
			assert.Less(t, f.DowntimeH, 20., c.who)
		}
	}
}

// Charging that stops leaves the bank to run down: 12.8 kWh carry 400 W for
// 32 h, a dark night after a fault by day (common practice).
func TestChargeStopsThenEmpty(t *testing.T) {
	w := steady(100)
	y := run(t, w, dc(w, 400), ideal, topped, silence, `{"bank":{"on_link_loss":"charge_stops","link_faults":{"listed":[{"start":"2025-01-01T00:00","hours":48}]}}}`)
	assert.Len(t, y.Outages, 1)
	assert.InDelta(t, 48-32-1/60.*(1000-400+400)/400., y.Outages[0].Hours, 1e-4, "a minute of charge before")
}

// After a loss the chargers hold the settings that the BMS pushed last, the
// installer's, or the factory's for lead-acid, here 57.6 V (common practice).
func TestSettingsAfterLoss(t *testing.T) {
	w := steady(100)
	rising := `{"bank":{"module":{"open_circuit_by_soc_v":[[0,3.2],[0.9,3.2],[1,3.65]],"data_linked":{"voltage_v":55,"full_v":55,"full_a":0.001}},
	  "modules":1,"initial_soc_fraction":0.5,"settings":{"absorb_v":56.5,"float_v":54,"restart_charge_v":53,"tail_a":0,"absorb_max_s":86400,"charge_a":10},
	  "link_faults":{"listed":[{"start":"2025-01-01T00:00","hours":24}]}}}`
	for held, c := range map[string]struct{ volts, amperes float64 }{
		"pushed_kept": {55, sunA}, "last_hand_set": {56.5, 10}, "factory_lead_acid": {57.6, sunA},
	} {
		y := run(t, w, dc(w, 0), ideal, rising, `{"bank":{"link":{"after_loss":"`+held+`"}}}`)
		assert.InDelta(t, c.volts, values(t, y, "bank_v")[20], 1e-4, held)
		assert.InDelta(t, c.amperes, values(t, y, "bank_a")[0], .02*sunA, held)
	}
}

// Chargers that stopped with the link start with it again, with the next sun, or when
// somebody resets them (common practice, no source): the operator an hour later by day,
// at 7 in the morning after the night, a visitor a day later where it is seen from afar,
// else one who comes for the darkness 72 h after the bank is empty. At the site the sun
// is up from 7:28 to 16:23 on the first of January.
func TestLinkReturn(t *testing.T) {
	w := steady(100)
	const minute = 1 / 60.
	const byDay, byNight = `{"bank":{"link_faults":{"listed":[{"start":"2025-01-01T06:00","hours":6}]}}}`, `{"bank":{"link_faults":{"listed":[{"start":"2025-01-01T18:00","hours":5}]}}}`
	for name, c := range map[string]struct {
		patch         string
		day, night    float64 // h that the link is lost, from the fault on
		visits, later int     // of the first, and of the second
	}{
		"follow":          {`{}`, 6, 5, 0, 0},
		"next morning":    {`{"bank":{"on_link_return":"next_morning"}}`, 25, 13, 0, 0},
		"operator":        {`{"bank":{"on_link_return":"until_reset"},"controls":{"operator":{"on_site":"always"}}}`, 7, 13, 1, 1},
		"seen from afar":  {`{"bank":{"on_link_return":"until_reset"},"controls":{"remote_view":true}}`, 30, 29, 1, 1},
		"only starts set": {`{"bank":{"on_link_return":"until_reset"},"controls":{"remote_view":true,"operator":{"on_site":"always","does":["start_generator"]}}}`, 30, 29, 1, 1},
		// 10 modules of 5.12 kWh at 70 %, charged with 600 W until the minute of silence is over, carry 400 W
		"a visit": {`{"bank":{"on_link_return":"until_reset","modules":10,"initial_soc_fraction":0.7}}`, minute + (35.84+.6*(6+minute))/.4 + 72, minute + (35.84+.6*(18+minute))/.4 + 72, 1, 1},
	} {
		t.Run(name, func(t *testing.T) {
			y := run(t, w, dc(w, 400), ideal, silence, `{"bank":{"on_link_loss":"charge_stops"}}`, byDay, c.patch)
			assert.InDelta(t, c.day, y.Figures.LongestLinkLossH, 2e-2)
			assert.InDelta(t, 6, y.Figures.LinkDownH, 1e-9)
			assert.Equal(t, c.visits, y.Figures.Visits)
			night := run(t, w, dc(w, 400), ideal, silence, `{"bank":{"on_link_loss":"charge_stops"}}`, byNight, c.patch).Figures
			assert.InDelta(t, c.night, night.LongestLinkLossH, 2e-2)
			assert.Equal(t, c.later, night.Visits)
		})
	}
}

// Random faults: exponential times between and to repair, so that the link is
// down for repair/(between + repair) of the time; the same seed gives the same
// faults, and listed ones that overlap join them.
func TestRandomLinkFaults(t *testing.T) {
	w := steady(0)
	down := func(seed int, more string) float64 {
		return run(t, w, &sim.Load{}, ideal, patch(`{"bank":{"link_faults":{"mean_hours_between":100,"mean_repair_h":10,"seed":%d}}}`, seed), more).Figures.LinkDownH
	}
	var hours []float64
	for seed := range 60 {
		hours = append(hours, down(seed, `{}`))
	}
	mean, deviation := stat.MeanStdDev(hours, nil)
	assert.InDelta(t, 8760*10/110., mean, 3.5*stat.StdErr(deviation, float64(len(hours))))
	assert.Less(t, deviation, .3*mean)
	assert.Equal(t, hours[7], down(7, `{}`))
	assert.InDelta(t, 8760, down(7, `{"bank":{"link_faults":{"listed":[{"start":"2025-01-01T00:00","hours":8760}]}}}`), 1e-6)
}

// A gateway that fails is a link that is down, for those that hear it: its faults have
// draws of their own, and join those of the link where they overlap.
func TestGatewayFaults(t *testing.T) {
	w := steady(0)
	down := func(patches ...string) float64 {
		return run(t, w, &sim.Load{}, append([]string{ideal}, patches...)...).Figures.LinkDownH
	}
	var alone, own, both, expected float64
	const years = 30
	for seed := range years {
		every := fmt.Sprintf(`{"mean_hours_between":100,"mean_repair_h":10,"seed":%d}`, seed)
		link, gateway := `{"bank":{"link_faults":`+every+`}}`, `{"bank":{"link":{"gateway":{"faults":`+every+`}}}}`
		a, b := down(link), down(gateway)
		assert.NotEqual(t, a, b)
		alone, own, both, expected = alone+a/years, own+b/years, both+down(link, gateway)/years, expected+(a+b-a*b/8760)/years
	}
	assert.InDelta(t, 8760*10/110., own, 60)
	assert.InDelta(t, expected, both, 20, "as two that do not know of each other")
	assert.InDelta(t, 30, down(`{"bank":{"link":{"gateway":{"faults":{"listed":[{"start":"2025-01-01T00:00","hours":20}]}}},"link_faults":{"listed":[{"start":"2025-01-01T10:00","hours":20}]}}}`), 1e-9)
	s := system(t, `{"bank":{"link":{"gateway":{"faults":{"mean_hours_between":9000}}}},"controls":{"remote_view":true}}`)
	assert.Equal(t, 24., *s.Bank.Link.Gateway.Faults.MeanRepairH)
}
