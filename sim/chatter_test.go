package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A year with no trip, generator or link fault takes at most three segments an
// hour, also where thresholds stand exactly on states and times: the cells'
// temperature on a window's edge, the charge on a stop, the voltage on a limit,
// hours that begin on a timer's end.
func TestNoChatter(t *testing.T) {
	calm := `{"generators":null,"bank":{"link_faults":null}}`
	for name, patches := range map[string][]string{
		"data-linked":                  {},
		"voltage-only":                 {voltageOnly},
		"two modules":                  {`{"bank":{"modules":2}}`},
		"exact counter":                {`{"bank":{"estimate":{"kind":"exact"}}}`},
		"own output":                   {voltageOnly, `{"bank":{"settings":{"absorb_v":56,"float_v":54,"restart_charge_v":53,"tail_a":20,"tail_seen":"own_output","charge_a":140}}}`},
		"cells on a ceiling's edge":    {`{"bank":{"enclosure":{"kind":"fixed","fixed_c":5,"heater_w_per_module":0}}}`},
		"cells on the window's edge":   {`{"bank":{"enclosure":{"kind":"fixed","fixed_c":0,"heater_w_per_module":0}}}`},
		"cells on the heater's edge":   {`{"bank":{"enclosure":{"kind":"fixed","fixed_c":3}}}`},
		"window on a charger's sensor": {voltageOnly, `{"array":{"chargers":{"south":{"temperature_sensor":true}}},"bank":{"enclosure":{"kind":"fixed","fixed_c":0,"heater_w_per_module":0}}}`},
		"begins on a stop":             {`{"bank":{"initial_soc_fraction":0.06,"estimate":{"kind":"exact"}},"controls":{"settle_days":0}}`},
		"stop on a knot":               {`{"bank":{"estimate":{"kind":"exact"},"modules":2},"controls":{"shed_soc_fraction":0.2972,"low_end":{"stop_soc_fraction":0.0885,"resume_soc_fraction":0.2}}}`},
		"limit on a knot":              {`{"bank":{"module":{"data_linked":{"voltage_v":54.688,"full_v":54.688}}}}`},
		"absorption on a knot":         {voltageOnly, `{"bank":{"settings":{"absorb_v":54.688,"float_v":53.6176,"restart_charge_v":52.4352,"tail_a":20,"charge_a":100}}}`},
		"cut-off on a knot":            {voltageOnly, `{"bank":{"modules":1},"controls":{"low_end":{"cut_off_v":49.3952,"return_v":52.4352,"fast_cut_off_v":46}}}`},
		"shed on a knot":               {voltageOnly, `{"bank":{"modules":2},"controls":{"shed_below_v":52.4352,"shed_below_hold_s":3600,"return_above_v":53.6176}}`},
		"times on the hour":            {voltageOnly, `{"bank":{"settings":{"absorb_v":56,"absorb_max_s":3600,"float_v":54,"restart_charge_v":53,"restart_hold_s":3600,"tail_a":20,"tail_hold_s":3600,"charge_a":100}},"controls":{"low_end":{"cut_off_delay_s":3600}}}`},
		"load just what the sun gives": {`{"array":{"planes":{"roof":{"rated_kw":0.5}}}}`},
		"no array":                     {`{"array":{"planes":{"roof":{"rated_kw":0}}}}`},
		"hot room":                     {`{"bank":{"enclosure":{"kind":"fixed","fixed_c":45,"heater_w_per_module":0}}}`},
	} {
		p := plan(t, append([]string{calm}, patches...)...)
		y := p.Run(false)
		segments := p.Segments()
		t.Logf("%s: %d segments, %.2f an hour, %d trips", name, segments, float64(segments)/8760, y.Figures.Trips)
		if y.Figures.Trips == 0 {
			assert.LessOrEqual(t, segments, 3*8760, name)
		}
	}
}
