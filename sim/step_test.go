package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim"
)

// undecided has nothing in it that decides by a threshold on the reported SoC:
// no generator, no flexible load, a counter without error.
const undecided = `{"generators":null,"load":{"appliances":{"borehole_pump":null}},"bank":{"link_faults":null,"estimate":{"kind":"exact"}}}`

// Internal steps of 60, 10, 7.5 and 1 minutes agree within 0.2 % or 0.1 h where
// neither generator nor shedding nor estimate decides.
func TestStepsAgree(t *testing.T) {
	for name, patches := range map[string][]string{
		"data-linked, two modules": {`{"bank":{"modules":2}}`},
		"data-linked, small array": {`{"array":{"planes":{"roof":{"rated_kw":3}}}}`},
		"voltage-only":             {voltageOnly, `{"bank":{"modules":2}}`},
		"hysteresis":               {voltageOnly, `{"bank":{"modules":2,"module":{"hysteresis":{"width_v":0.03}}}}`},
		"discharge ceiling":        {`{"bank":{"modules":2,"module":{"data_linked":{"discharge_a_by_c":[[-20,0],[5,4],[15,50]],"discharge_factor_by_soc":[[0.1,0.1],[0.4,0.5]]}},"enclosure":{"kind":"outdoor","heater_w_per_module":0}}}`},
		// nobody visits: the moment of a visit to a bank near no charge decides much
		"voltage-only, outdoors": {voltageOnly, `{"bank":{"modules":3,"enclosure":{"kind":"outdoor","heater_w_per_module":0}},"controls":{"visit_response_h":8784}}`},
		"one switch, outdoors":   {voltageOnly, oneSwitch, `{"bank":{"modules":3,"enclosure":{"kind":"outdoor","heater_w_per_module":0}},"controls":{"visit_response_h":8784}}`},
		"own output, no heater":  {voltageOnly, `{"bank":{"enclosure":{"heater_w_per_module":0}},"array":{"planes":{"roof":{"rated_kw":12}}}}`},
	} {
		t.Run(name, func(t *testing.T) {
			years := map[float64]*sim.Year{}
			for _, minutes := range []float64{60, 10, 7.5, 1} {
				years[minutes] = plan(t, append(append([]string{undecided}, patches...), patch(`{"controls":{"internal_step_s":%g}}`, minutes*60))...).Run(false)
			}
			fine := years[1]
			for minutes, y := range years {
				for figure, c := range map[string]struct{ is, fine, part float64 }{
					"downtime_h":             {y.Figures.DowntimeH, fine.Figures.DowntimeH, .002},
					"unserved_kwh":           {y.Figures.UnservedKWh, fine.Figures.UnservedKWh, .002},
					"curtailed_kwh":          {y.Figures.CurtailedKWh, fine.Figures.CurtailedKWh, .002},
					"equivalent_full_cycles": {y.Figures.EquivalentCycles, fine.Figures.EquivalentCycles, .002},
					"throughput_mwh":         {y.Figures.ThroughputMWh, fine.Figures.ThroughputMWh, .002},
					"lowest_soc_fraction":    {y.Figures.LowestSoC, fine.Figures.LowestSoC, .002},
					"load_from_solar_kwh":    {y.Books.LoadFromSolarKWh, fine.Books.LoadFromSolarKWh, .002},
					"heater_kwh":             {y.Books.HeaterKWh, fine.Books.HeaterKWh, .002},
					// times at a limit that a falling current crosses count by whole segments
					"charge_blocked_cold_h":  {y.Figures.ChargeBlockedColdH, fine.Figures.ChargeBlockedColdH, .01},
					"charged_too_cold_h":     {y.Figures.ChargedTooColdH, fine.Figures.ChargedTooColdH, .04},
					"at_discharge_ceiling_h": {y.Figures.HeldBackH, fine.Figures.HeldBackH, .01},
					"at_charge_ceiling_h":    {y.Figures.AtCeilingH, fine.Figures.AtCeilingH, .01},
				} {
					assert.InDelta(t, c.fine, c.is, max(.1, c.part*math.Abs(c.fine)), "%s at %g minutes", figure, minutes)
				}
			}
		})
	}
}
