package advice

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func findRow(t *testing.T, rows []Row, device, setting string) Row {
	t.Helper()
	for _, r := range rows {
		if r.Device == device && r.Setting == setting {
			return r
		}
	}
	require.Failf(t, "no such row", "%s, %s", device, setting)
	return Row{}
}

// What is programmed for four modules of 16 cells and 100 Ah (common practice,
// no source): absorb 56.0 V at most 60 min, tail 5 A a module for 3 min, float
// 54.0 V, charge again below 53.0 V for 120 s, compensation and equalisation
// off; cut-off 49.6 V for 30 s and 46 V for 1 s, return 52.0 V; counter full at
// 55.2 V, 6 % of 400 Ah and 1 min; shed at 30 %, back at 50 %; generator 25 to
// 80 %, 51.2 V 15 min, 50.4 V 2 min, 49.6 V 15 s.
func TestSheet_VoltageOnly(t *testing.T) {
	s := SheetOf(station(t, voltageOnly))
	for _, c := range []struct {
		device, setting string
		value           any
		unit            string
	}{
		{chargers, "absorption voltage", 56., "V"}, {chargers, "absorption at most", 60., "min"},
		{chargers, "tail current", 20., "A"}, {chargers, "tail held for", 3., "min"}, {chargers, "float voltage", 54., "V"},
		{chargers, "charge again below", 53., "V"}, {chargers, "charge again after", 2., "min"},
		{chargers, "temperature compensation", 0., "mV/K"}, {chargers, "equalisation", "off", ""},
		{"solar charger south", "current limit", 120., "A"}, {"AC charger", "current limit", 100., "A"},
		{"inverter", "low cut-off", 49.6, "V"}, {"inverter", "low cut-off after", 30., "s"},
		{"inverter", "fast low cut-off", 46., "V"}, {"inverter", "fast low cut-off after", 1., "s"}, {"inverter", "load returns above", 52., "V"},
		{"shunt counter", "capacity", 400., "Ah"}, {"shunt counter", "full at", 55.2, "V"},
		{"shunt counter", "full at a current of at most", 24., "A"}, {"shunt counter", "full held for", 1., "min"},
		{"load control", "flexible load off at reported SoC", 30., "%"}, {"load control", "flexible load back at reported SoC", 50., "%"},
		{"generator main", "start at reported SoC", 25., "%"}, {"generator main", "stop at reported SoC", 80., "%"},
		{"generator main", "start voltage 1", 51.2, "V"}, {"generator main", "start voltage 1 for", 15., "min"},
		{"generator main", "start voltage 3", 49.6, "V"}, {"generator main", "start voltage 3 for", 15., "s"},
	} {
		r := findRow(t, s.Rows, c.device, c.setting)
		assert.Equal(t, c.unit, r.Unit, c.setting)
		if want, ok := c.value.(float64); ok {
			assert.InDelta(t, want, r.Value, 1e-9, c.setting)
		} else {
			assert.Equal(t, c.value, r.Value, c.setting)
		}
		assert.Equal(t, Installer, r.Owner, c.setting)
		assert.NotEmpty(t, r.Rule, c.setting)
		assert.NotEmpty(t, r.IfWrong, c.setting)
	}
	assert.Nil(t, s.AfterLoss, "there is no link to lose")
	assert.Contains(t, s.Generators[0].Rules[0], "Starts when the reported SoC falls to 25 %")
}

// Who owns what while linked.
func TestSheet_Owners(t *testing.T) {
	s := SheetOf(station(t))
	for _, c := range []struct {
		device, setting string
		owner           Owner
	}{
		{chargers, "absorption voltage", WhileSilent}, {"AC charger", "current limit", WhileSilent}, {"inverter", "low cut-off", WhileSilent},
		{"inverter", "load returns above", Installer}, {"inverter", "load stops at reported SoC", WhileLinked},
		{"BMS counter", "full at", Pushed}, {"generator main", "start at reported SoC", Installer},
	} {
		assert.Equal(t, c.owner, findRow(t, s.Rows, c.device, c.setting).Owner, c.setting)
	}
}

// A value that the rule does not give says what the rule gives; a current limit
// is the lesser of setting and rating, rounded down: 40 · 2 / 1.1 = 72.73 A.
func TestSheet_GivenAgainstRule(t *testing.T) {
	s := SheetOf(station(t, voltageOnly, `{"bank": {"modules": 2, "settings": {"absorb_v": 57.6, "float_v": 54, "restart_charge_v": 53, "tail_a": 10, "charge_a": 72.72727, "compensation_v_per_c": -0.096}}}`))
	assert.Contains(t, findRow(t, s.Rows, chargers, "absorption voltage").Rule, "as given; the rule gives 56 V")
	assert.NotContains(t, findRow(t, s.Rows, chargers, "float voltage").Rule, "as given")
	assert.InDelta(t, -96, findRow(t, s.Rows, chargers, "temperature compensation").Value, 1e-9)
	assert.Contains(t, findRow(t, s.Rows, chargers, "temperature compensation").IfWrong, "57.6 V of lead-acid absorption 60 V")
	limit := findRow(t, s.Rows, "solar charger south", "current limit")
	assert.InDelta(t, 72.7, limit.Value, 1e-9)
	assert.Contains(t, limit.IfWrong, "with 36.3 A each they stay within")
	none := SheetOf(station(t, voltageOnly, `{"bank": {"estimate": {"kind": "none"}}}`))
	assert.Equal(t, "none: voltages decide", findRow(t, none.Rows, "counter", "reported SoC").Value)
}

// What the BMS asks for: the module's table, times 4 / 1.1 for the bank.
func TestSheet_Asked(t *testing.T) {
	l := SheetOf(station(t)).Linked
	require.NotNil(t, l)
	type row struct{ from, to, a, b, bankA, bankB float64 }
	var got []row
	for _, r := range l.ByC {
		x := row{-999, 999, r.FromModuleA, r.ToModuleA, r.FromBankA, r.ToBankA}
		if r.FromC != nil {
			x.from = *r.FromC
		}
		if r.ToC != nil {
			x.to = *r.ToC
		}
		got = append(got, x)
	}
	k := 4 / 1.1
	want := []row{{-999, 0, 0, 0, 0, 0}, {0, 5, 10, 10, 10 * k, 10 * k}, {5, 10, 20, 20, 20 * k, 20 * k}, {10, 15, 35, 35, 35 * k, 35 * k},
		{15, 40, 50, 50, 50 * k, 50 * k}, {40, 45, 50, 25, 50 * k, 25 * k}, {45, 50, 25, 0, 25 * k, 0}, {50, 999, 0, 0, 0, 0}}
	require.Len(t, got, len(want))
	for i := range want {
		assert.InDeltaSlice(t, []float64{want[i].from, want[i].to, want[i].a, want[i].b, want[i].bankA, want[i].bankB},
			[]float64{got[i].from, got[i].to, got[i].a, got[i].b, got[i].bankA, got[i].bankB}, 1e-9, "%v", got[i])
	}
	assert.Equal(t, []AskedAt{{.9, 1}, {.95, .5}, {.98, .2}, {1, .05}}, l.BySoC)
	assert.InDeltaSlice(t, []float64{56, 55.8, 10, 60, .97}, []float64{l.VoltageV, l.FullV, l.FullA, l.FullHoldS, l.ResumeBelowSoC}, 1e-9)
	assert.Nil(t, l.OutByC, "no discharge ceiling is stated")
	l = SheetOf(station(t, `{"bank": {"module": {"data_linked": {"discharge_a_by_c": [[-10, 20], [10, 100]]}}}}`)).Linked
	require.Len(t, l.OutByC, 3)
	assert.InDeltaSlice(t, []float64{-10, 10, 20, 100, 20 * k, 100 * k}, []float64{*l.OutByC[1].FromC, *l.OutByC[1].ToC, l.OutByC[1].FromModuleA, l.OutByC[1].ToModuleA, l.OutByC[1].FromBankA, l.OutByC[1].ToBankA}, 1e-9)
	assert.Equal(t, []AskedAt{{0, 1}}, l.OutBySoC)
	assert.Contains(t, SheetOf(station(t, `{"bank": {"module": {"data_linked": {"discharge_factor_by_soc": [[0, 0], [0.3, 1]]}}}}`)).Text(), "What it lets the load take")
	only := SheetOf(station(t, voltageOnly, `{"bank": {"module": {"operations_possible": ["voltage_only"]}}}`))
	assert.Nil(t, only.Linked, "a module that cannot be linked asks for nothing")
}

// Nothing goes by a state of charge that nothing reports.
func TestSheet_NoCounter(t *testing.T) {
	sheet := SheetOf(station(t, voltageOnly, `{"bank": {"estimate": {"kind": "none"}}, "generators": {"main": {"before_no_start": {"at": "19:00", "if_soc_below_fraction": 0.5, "run_to_soc_fraction": 0.8}}}}`))
	for _, r := range sheet.Rows {
		if r.Device != "counter" {
			assert.NotContains(t, r.Setting, "SoC")
		}
	}
	require.Len(t, sheet.Generators, 1)
	assert.NotContains(t, strings.Join(sheet.Generators[0].Rules, " "), "SoC")
	assert.Contains(t, strings.Join(sheet.Generators[0].Rules, " "), "Stops when the bank is full")
}

// What the stop of a linked bank leaves is held against the low cut-off: 3.1 V a cell
// of LFP is 5.8 % in its table, 3.25 V of NMC 9.9 %.
func TestSheet_StopBySoC(t *testing.T) {
	rule := func(patches ...string) string {
		for _, r := range SheetOf(station(t, patches...)).Rows {
			if r.Setting == "load stops at reported SoC" {
				return r.Rule
			}
		}
		return ""
	}
	assert.Contains(t, rule(), "leaves about the reserve that the low cut-off leaves")
	assert.Contains(t, rule(`{"controls": {"low_end": {"stop_soc_fraction": 0.1}}}`), "the low cut-off leaves 5.8 %")
	assert.Contains(t, rule(`{"bank": {"module": {"key": "nmc_14s_100ah"}}}`), "the low cut-off leaves 9.9 %")
}

// What the chargers hold after a loss: the installer's 56 V, the pushed 56 V
// with no current limit but the ratings, or the factory's 57.6 V and −96 mV/K.
func TestSheet_AfterLoss(t *testing.T) {
	hold := func(what string) *AfterLoss {
		a := SheetOf(station(t, `{"bank": {"link": {"after_loss": "`+what+`"}, "settings": {"absorb_v": 55.2, "float_v": 54, "restart_charge_v": 53, "tail_a": 20, "charge_a": 80}}}`)).AfterLoss
		require.NotNil(t, a)
		assert.Equal(t, what, a.Holds)
		return a
	}
	for _, c := range []struct {
		what                     string
		absorb, compensation, ac float64
		owner                    Owner
		says                     string
	}{
		{"last_hand_set", 55.2, 0, 80, Installer, "hold what the installer set"},
		{"pushed_kept", 56, 0, 100, Pushed, "nothing holds their sum"},
		{"factory_lead_acid", 57.6, -96, 100, OwnedByMaker, "60 V at 0 °C"},
	} {
		a := hold(c.what)
		absorb := findRow(t, a.Rows, chargers, "absorption voltage")
		assert.InDelta(t, c.absorb, absorb.Value, 1e-9, c.what)
		assert.Equal(t, c.owner, absorb.Owner, c.what)
		assert.InDelta(t, c.compensation, findRow(t, a.Rows, chargers, "temperature compensation").Value, 1e-9, c.what)
		assert.InDelta(t, c.ac, findRow(t, a.Rows, "AC charger", "current limit").Value, 1e-9, c.what)
		assert.Contains(t, a.Consequences[len(a.Consequences)-1], c.says)
	}
	stops := SheetOf(station(t, `{"bank": {"on_link_loss": "charge_stops"}}`)).AfterLoss
	assert.Empty(t, stops.Rows)
	assert.Empty(t, stops.Holds)
	assert.Contains(t, stops.Consequences[0], "nothing charges the bank")
}

// A grid that is used while the bank is low tells from where to where, as stated; one
// that the site is on whenever it is there has nothing to program.
func TestSheet_Grid(t *testing.T) {
	s := SheetOf(station(t, `{"grid": {"limit_w": 4000, "use": "self_use", "connect_soc_fraction": 0.35, "disconnect_soc_fraction": 0.625}}`))
	for setting, want := range map[string]float64{"connect at reported SoC": 35, "disconnect at reported SoC": 62.5} {
		r := findRow(t, s.Rows, "grid", setting)
		assert.InDelta(t, want, r.Value, 1e-9, setting)
		assert.Equal(t, []any{"%", Installer}, []any{r.Unit, r.Owner}, setting)
		assert.Contains(t, r.Rule, "takes over", setting)
		assert.NotEmpty(t, r.IfWrong, setting)
	}
	assert.Contains(t, s.Text(), "disconnect at reported SoC")
	for _, r := range SheetOf(station(t, `{"grid": {"limit_w": 4000}}`)).Rows {
		assert.NotEqual(t, "grid", r.Device)
	}
}
