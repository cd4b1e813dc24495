package sim_test

import "slices"

// Hysteresis of the open-circuit voltage: an offset on the table that moves with
// the charge by the width over the charge of a turn, and stands at half the width.

// restTable is the open-circuit voltage against Ah. The voltage of a full lithium bank
// goes on by 1 V a cell over a hundredth of its capacity.
func (r *reference) restTable() refTable {
	pairs := refCellV(r.m)
	if r.acid == nil {
		pairs = append(slices.Clone(pairs), [2]float64{1.01, pairs[len(pairs)-1][1] + 1})
	}
	return newRefTable(pairs, r.capacityAh, float64(r.m.CellsInSeries))
}

// restV is the open-circuit voltage of a bank with a BMS.
func (r *reference) restV() float64 { return r.openCircuit.at(r.st.q) + r.st.offset }

// beginLoop puts full cells on the branch of a charge, all others on that of a
// discharge.
func (r *reference) beginLoop() {
	h := r.m.Hysteresis
	if h == nil {
		return
	}
	r.halfV = h.WidthV / 2 * float64(r.m.CellsInSeries)
	if r.st.offset = -r.halfV; r.s.Bank.InitialSoC == 1 {
		r.st.offset = r.halfV
	}
}

// turn moves the offset by a change of charge, and tells the heat of it, J: what
// goes on along a branch rubs.
func (r *reference) turn(ah float64) float64 {
	if r.halfV == 0 {
		return 0
	}
	perAh := 2 * r.halfV / (r.m.Hysteresis.TurnFraction * r.capacityAh)
	free := r.st.offset + perAh*ah
	r.st.offset = min(max(free, -r.halfV), r.halfV)
	rubs := (free - r.st.offset) / perAh // along a branch
	return max(rubs, -rubs) * 3600 * r.halfV
}

// refHysteresis are systems in which the hysteresis decides.
var refHysteresis = []refCase{
	{name: "voltage_hysteresis", days: 8, sunWM2: []float64{400, 250, 150, 500}, meanC: []float64{18}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "module": {"hysteresis": {"width_v": 0.02}}}, "controls": {"low_end": {"cut_off_v": 51.2, "return_v": 52.6}}}`, load: evening(180, 900)},
	{name: "voltage_hysteresis_generator", days: 8, sunWM2: []float64{250, 50}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "module": {"hysteresis": {"width_v": 0.03, "turn_fraction": 0.06}}}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_soc_fraction": 0.3, "stop_soc_fraction": 0, "stop_tail_a": 15,
			"start_below": [{"v": 51.2, "hold_s": 900}, {"v": 50.4, "hold_s": 120}, {"v": 49.6, "hold_s": 15}]}}}`, load: evening(400, 1300)},
	{name: "linked_hysteresis", days: 8, sunWM2: []float64{800, 500, 900}, meanC: []float64{15}, swingC: []float64{5},
		patch: `{"bank": {"operation": "data_linked", "module": {"hysteresis": {"width_v": 0.04, "turn_fraction": 0.05}}}}`, load: evening(150, 700)},
	{name: "linked_hysteresis_ladder", days: 8, sunWM2: []float64{250, 100, 50}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"inverter": {"charger_a": 40}, "bank": {"module": {"hysteresis": {"width_v": 0.02}}}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": "20-08", "start_soc_fraction": 0, "stop_soc_fraction": 0.7,
			"start_below": [{"v": 51.6, "hold_s": 900}, {"v": 50.4, "hold_s": 120}, {"v": 49.6, "hold_s": 15}], "max_run_h": 2.5, "min_run_s": 1800}}}`, load: evening(450, 1100)},
	{name: "link_fall_back_hysteresis", days: 7, sunWM2: []float64{700, 300}, meanC: []float64{8}, swingC: []float64{8},
		patch: `{"bank": {"module": {"hysteresis": {"width_v": 0.03}}, "on_link_loss": "fall_back", "link_faults": {"listed": [{"start": "2025-01-01T09:10", "hours": 3}, {"start": "2025-01-03T08:00", "hours": 60}]}}}`, load: evening(250, 900)},
}
