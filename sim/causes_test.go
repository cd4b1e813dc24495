package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

const oneSwitch = `{"bank":{"module":{"disconnect":"one_switch"}}}`

// Every cause of downtime that the kernel can name so far, each by what
// practitioners would call it; the first outage has it.
func TestEveryCauseOfDowntime(t *testing.T) {
	dark, sunny := steady(0), steady(200)
	for cause, c := range map[sim.Cause]struct {
		y *sim.Year
	}{
		sim.ChargeTrip:    {run(t, sunny, dc(sunny, 500), ideal, voltageOnly, oneSwitch, frozen)},
		sim.ProtectionOff: {run(t, dark, dc(dark, 500), ideal, voltageOnly, `{"bank":{"enclosure":{"fixed_c":-25}}}`)},
		sim.Asleep:        {run(t, dark, dc(dark, 100), ideal, lfpIdeal, `{"bank":{"module":{"protection":{"asleep_after_h":0.1}}}}`)},
		sim.LinkLoss:      {run(t, sunny, ac(sunny, 500), ideal, silence, `{"bank":{"on_link_loss":"all_stop"}}`)},
		sim.SuddenStop:    {run(t, dark, dc(dark, 1000), ideal, sagging)},
		sim.Empty:         {run(t, dark, dc(dark, 1000), ideal)},
		sim.TooCold:       {run(t, dark, ac(dark, 500), ideal, `{"bank":{"enclosure":{"fixed_c":-25}}}`)},
		sim.TooHot:        {run(t, dark, ac(dark, 500), ideal, `{"bank":{"enclosure":{"fixed_c":60}}}`)},
		sim.OverCurrent:   {run(t, dark, dc(dark, 6000), ideal, `{"bank":{"module":{"discharge_a":100}}}`)},
		sim.InverterLimit: {run(t, dark, ac(dark, 6500), ideal, `{"bank":{"modules":10}}`)},
	} {
		require.NotEmpty(t, c.y.Outages, cause)
		if cause != sim.Asleep { // which takes over from empty
			assert.Equal(t, cause, c.y.Outages[0].Cause, cause.String())
		}
		assert.Positive(t, c.y.Figures.DowntimeByCauseH[cause.String()], cause.String())
		sum := 0.
		for _, hours := range c.y.Figures.DowntimeByCauseH {
			sum += hours
		}
		assert.InDelta(t, c.y.Figures.DowntimeH, sum, 1e-9, cause.String())
	}
}

// Where two causes hold as the site goes dark, the one that stands first names
// the outage: charge_trip, protection, link_loss, the low end, temperature, the
// load's own.
func TestFirstCauseNames(t *testing.T) {
	dark, sunny := steady(0), steady(200)
	for name, c := range map[string]struct {
		cause sim.Cause
		y     *sim.Year
	}{
		"charge and discharge trip at once, in heat": {sim.ChargeTrip,
			run(t, sunny, dc(sunny, 500), ideal, voltageOnly, oneSwitch, `{"bank":{"enclosure":{"fixed_c":60}}}`)},
		"discharge trips alone": {sim.ProtectionOff,
			run(t, dark, dc(dark, 500), ideal, voltageOnly, oneSwitch, `{"bank":{"enclosure":{"fixed_c":60}}}`)},
		"over-voltage opened the bank, chargers held the bus, then the link stopped all": {sim.ChargeTrip,
			run(t, sunny, dc(sunny, 500), ideal, oneSwitch, `{"bank":{"on_link_loss":"all_stop","initial_soc_fraction":0.99,"link_faults":{"listed":[{"start":"2025-01-01T06:00","hours":6}]},
			  "module":{"open_circuit_by_soc_v":[[0,3.3],[1,3.64]],"data_linked":{"voltage_v":58.2,"full_v":58.2,"full_a":0.001},"protection":{"reclose_s":86400}}},
			  "controls":{"chargers_hold_bus":true}}`)},
		"empty and too cold": {sim.Empty,
			run(t, dark, ac(dark, 500), ideal, `{"bank":{"initial_soc_fraction":0.05,"enclosure":{"fixed_c":-25}},"controls":{"low_end":{"stop_soc_fraction":0.06,"resume_soc_fraction":0.15}}}`)},
		"too cold, and more than the inverter's rating": {sim.TooCold,
			run(t, dark, ac(dark, 7000), ideal, `{"bank":{"modules":10,"enclosure":{"fixed_c":-25}}}`)},
		"over-current before the inverter gives up": {sim.OverCurrent,
			run(t, dark, ac(dark, 8000), ideal, `{"bank":{"module":{"discharge_a":100}}}`)},
	} {
		require.NotEmpty(t, c.y.Outages, name)
		assert.Equal(t, c.cause.String(), c.y.Outages[0].Cause.String(), name)
	}
}

// A bank at its low end behind a generator that carries the load; then the link
// stops all: dark by the loss, not by the low end.
func TestLinkLossBeforeLowEnd(t *testing.T) {
	w := steady(0)
	y := run(t, w, ac(w, 500), ideal, diesel, blocked, `{"bank":{"initial_soc_fraction":0.05,"on_link_loss":"all_stop","link_faults":{"listed":[{"start":"2025-01-02T06:00","hours":6}]}},
	  "controls":{"low_end":{"stop_soc_fraction":0.1,"resume_soc_fraction":0.2}}}`)
	require.GreaterOrEqual(t, len(y.Outages), 2)
	assert.Equal(t, sim.Empty, y.Outages[0].Cause, "until the generator is warm")
	assert.InDelta(t, 210, y.Outages[0].Hours*3600, 1e-6)
	assert.Equal(t, sim.LinkLoss, y.Outages[1].Cause)
	assert.Greater(t, y.Outages[1].Hours, 5.9)
}

// The order of precedence itself, of the answer's list.
func TestOrderOfCauses(t *testing.T) {
	var names []string
	for _, c := range sim.DowntimeCauses() {
		names = append(names, c.String())
	}
	assert.Equal(t, []string{"charge_trip", "protection", "asleep", "link_loss", "sudden_stop", "empty", "too_cold", "too_hot",
		"over_current", "inverter_limit", "inrush"}, names)
}

// An outage keeps the cause that it began with.
func TestOutageKeepsItsCause(t *testing.T) {
	w := dayThen(30, 0, 200)
	y := run(t, w, dc(w, 500), ideal, `{"bank":{"on_link_loss":"all_stop","link_faults":{"listed":[{"start":"2025-01-01T20:00","hours":20}]}}}`)
	require.Len(t, y.Outages, 1)
	assert.Equal(t, sim.Empty, y.Outages[0].Cause)
	assert.InDelta(t, 40-10.24, y.Figures.DowntimeByCauseH["empty"], 1e-3)
	assert.Zero(t, y.Figures.DowntimeByCauseH["link_loss"])
}

// Every cause of curtailment that the kernel can name so far: what refuses is
// the least of the limits.
func TestEveryCauseOfCurtailment(t *testing.T) {
	w := dayThen(12, 200, 0) // 2 kW
	for cause, c := range map[sim.Cause]struct {
		patch string
		alone bool // all of the year's curtailment
	}{
		sim.BankFull:      {`{"bank":{"modules":1}}`, false},
		sim.ChargeCeiling: {`{"bank":{"module":{"data_linked":{"charge_a_by_c":[[25,1]]}}}}`, true},
		sim.TooCold:       {`{"bank":{"enclosure":{"fixed_c":-1},"module":{"data_linked":{"charge_a_by_c":[[0,0],[0,500]]}}}}`, true},
		sim.TooHot:        {`{"bank":{"enclosure":{"fixed_c":49.5},"module":{"data_linked":{"charge_a_by_c":[[40,50],[50,0]]}}}}`, true},
		sim.VoltageTaper:  {`{"bank":{"modules":1,"module":{"open_circuit_by_soc_v":[[0,3],[1,3.6]],"resistance_ohm":0.1}}}`, false},
		sim.ChargerLimit:  {`{"array":{"chargers":{"south":{"rated_a":20}}}}`, true},
		sim.LinkLoss:      {`{"bank":{"on_link_loss":"charge_stops","link_faults":{"listed":[{"start":"2025-01-01T06:00","hours":6}]}}}`, true},
		sim.ProtectionOff: {`{"bank":{"operation":"voltage_only","enclosure":{"fixed_c":-1}}}`, true},
	} {
		y := run(t, w, dc(w, 100), ideal, topped, `{"bank":{"initial_soc_fraction":0.3,"modules":10}}`, c.patch)
		got := y.Figures.CurtailedByCause[cause.String()]
		assert.Positive(t, got, cause.String())
		if c.alone {
			assert.InDelta(t, y.Figures.CurtailedKWh, got, 1e-9, cause.String())
		}
	}
}

// Voltage-only, a charger's own setting is the ceiling; below its rating the
// refusal is the ceiling's, else the charger's.
func TestSettingOrRating(t *testing.T) {
	w := dayThen(4, 200, 0)
	for rated, cause := range map[float64]string{30: "charge_ceiling", 10: "charger_limit"} {
		y := run(t, w, dc(w, 600), ideal, voltageOnly, `{"bank":{"initial_soc_fraction":0.1,"settings":{"absorb_v":56,"float_v":54,"restart_charge_v":53,"tail_a":0,"charge_a":20}}}`,
			patch(`{"array":{"chargers":{"south":{"rated_a":%g}}}}`, rated))
		assert.InDelta(t, y.Figures.CurtailedKWh, y.Figures.CurtailedByCause[cause], 1e-9, "rated %g A", rated)
		assert.InDelta(t, min(rated, 20)*51.2, values(t, y, "solar_used_w")[0], .1)
	}
}
