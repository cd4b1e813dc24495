package profiles_test

import (
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/document"
	"bankyear/profiles"
	"bankyear/sim/array"
	"bankyear/sim/bank"
	"bankyear/sim/fault"
	"bankyear/sim/genset"
	"bankyear/sim/inverter"
)

// kinds is what each kind of entry decodes into.
var kinds = map[string]any{
	"module":        bank.Module{},
	"solar_charger": array.Charger{},
	"inverter":      inverter.Spec{},
	"generator":     genset.Spec{},
	"load":          profiles.Spec{},
}

// decode reads an entry strictly and checks it as a request is checked.
func decode[T any](t *testing.T, kind, key string) T {
	t.Helper()
	raw, ok := profiles.Lookup(kind, key)
	require.True(t, ok, "%s %s", kind, key)
	node, faults := document.Parse(raw)
	require.Empty(t, faults, "%s %s", kind, key)
	var v T
	_, faults = document.Decode(node, &v)
	require.Empty(t, faults, "%s %s", kind, key)
	c := fault.New()
	fault.CheckTags(c, v)
	require.NoError(t, c.Err(), "%s %s", kind, key)
	return v
}

func TestCatalogue_Shape(t *testing.T) {
	list := profiles.List()
	name := regexp.MustCompile(`^[a-z0-9_]+$`)
	count := 0
	for _, kind := range profiles.Kinds() {
		require.Contains(t, kinds, kind)
		require.NotEmpty(t, profiles.Keys(kind), kind)
		count += len(profiles.Keys(kind))
	}
	assert.Len(t, profiles.Kinds(), len(kinds))
	assert.Len(t, list, count)
	for _, e := range list {
		assert.Regexp(t, name, e.Key)
		assert.NotEmpty(t, e.Title, e.Key)
		assert.NotEmpty(t, e.Basis, e.Key)
		assert.Equal(t, e.Kind == "load", e.KWhPerDay > 0, e.Key)
		for member, basis := range e.BasisByMember {
			assert.NotEmpty(t, basis, "%s %s", e.Key, member)
			_, err := document.TypeAt(reflect.TypeOf(kinds[e.Kind]), member)
			assert.NoError(t, err, "%s %s", e.Key, member)
		}
	}
	_, ok := profiles.Lookup("module", "none_such")
	assert.False(t, ok)
	assert.Empty(t, profiles.Keys("none_such"))
}

// Windows of modules: common practice, no source. LFP cells are asked to 3.45 to
// 3.55 V of 3.65, NMC cells to 4.10 to 4.20 V of 4.25. Charge ceilings of the
// entries are stated for each cell temperature; between 10 °C and 40 °C the
// full one is at most about half of the capacity an hour.
func TestCatalogue_Modules(t *testing.T) {
	for _, key := range profiles.Keys("module") {
		if strings.HasPrefix(key, "lead_acid") {
			continue
		}
		t.Run(key, func(t *testing.T) {
			m := decode[bank.Module](t, "module", key)
			cells, ah := float64(m.CellsInSeries), m.CapacityAh
			windows := map[string]struct{ asks, highest float64 }{"lfp": {3.50, 3.65}, "nmc": {4.15, 4.25}}
			require.Contains(t, windows, m.Chemistry)
			cell := windows[m.Chemistry]
			assert.InDelta(t, cell.asks, m.Linked.VoltageV/cells, .05, "asks for a voltage a cell")
			assert.Less(t, m.Linked.FullV, m.Linked.VoltageV)
			assert.InDelta(t, cell.highest, m.Protection.OverV/cells, .005, "highest cell voltage")
			assert.Greater(t, m.OverVoltageV(), m.Linked.VoltageV, "the voltage asked for stays clear of the trip")
			assert.Less(t, m.Protection.OverReleaseV, m.Protection.OverV)
			assert.Greater(t, m.Protection.UnderReleaseV, m.Protection.UnderV)
			assert.True(t, 1./50 <= m.Linked.FullA/ah && m.Linked.FullA/ah <= 1./20, "tail of C/50 to C/20")
			for _, row := range []struct{ c, lo, hi float64 }{
				{-20, 0, 0}, {-.1, 0, 0}, {2, .1, .2}, {7, .1, .2}, {25, .3, 1}, {39, .3, 1}, {47, 0, .3}, {50, 0, 0},
			} {
				x := bank.At(m.Linked.CeilingByC, row.c) / ah
				assert.True(t, row.lo <= x && x <= row.hi, "ceiling at %g °C is %g of the capacity", row.c, x)
			}
			assert.Less(t, m.VoltageOnlyA, bank.At(m.Linked.CeilingByC, 25), "voltage-only is the lower ceiling")
			assert.InDelta(t, 1, m.DischargeA/ah, .3, "about the capacity in an hour")
			last := m.PeakAS[len(m.PeakAS)-1]
			assert.True(t, last[1] <= 10 && last[0]/m.DischargeA > 2 && last[0]/m.DischargeA < 2.5, "a little over twice for a few seconds")
			for i, p := range m.PeakAS[1:] {
				assert.True(t, p[0] > m.PeakAS[i][0] && p[1] < m.PeakAS[i][1], "peaks rise in amperes and fall in seconds")
			}
			assert.Greater(t, m.Protection.ChargeOverA, bank.At(m.Linked.CeilingByC, 25))
			twoWays := m.BMSDrawW == 6
			assert.Equal(t, m.Disconnect == "one_switch", twoWays, "a contactor takes 3 W more")
		})
	}
}

// Lead-acid entries say what their chemistry's tables say (IEEE 485, common
// practice). Vented cells are charged with a tenth to a fifth of the 20-hour
// capacity an hour, sealed ones with up to a quarter, and hold 80 to 86 % of it at
// the 5-hour rate, 50 to 65 % in an hour and 90 to 96 % in ten (common practice, no
// source).
func TestCatalogue_LeadAcid(t *testing.T) {
	seen := 0
	for _, key := range profiles.Keys("module") {
		m := decode[bank.Module](t, "module", key)
		if !m.LeadAcid() {
			continue
		}
		seen++
		wells, ok := m.TwoWell(1)
		assert.True(t, ok, key)
		assert.Equal(t, [2]float64{20, m.CapacityAh}, m.CapacitiesAh[2], key)
		assert.Equal(t, []float64{1, 5}, []float64{m.CapacitiesAh[0][0], m.CapacitiesAh[1][0]}, key)
		for hours, bounds := range map[float64][2]float64{1: {.5, .65}, 5: {.79, .87}, 10: {.9, .96}} {
			part := wells.DeliveredAs(hours*3600) / 3600 / m.CapacityAh
			assert.True(t, bounds[0] <= part && part <= bounds[1], "%s: %.3f in %g h", key, part, hours)
		}
		assert.InEpsilon(t, bank.AcidResistanceOhm(float64(m.CellsInSeries), m.CapacityAh), m.ResistanceOhm, 1e-3, key)
		assert.Equal(t, bank.AcidCyclesByDepth(m.Chemistry), m.CyclesByDepth, key)
		for _, row := range bank.AcidCapacityByC() {
			assert.InDelta(t, row[1], bank.At(m.CapacityByC, row[0]), 1e-3, "%s at %g °C", key, row[0])
		}
		most := map[string]float64{"lead_acid_vented": .2, "lead_acid_sealed": .25}[m.Chemistry]
		assert.True(t, .1 <= m.VoltageOnlyA/m.CapacityAh && m.VoltageOnlyA/m.CapacityAh <= most, key)
		assert.Equal(t, .5, m.UsableDepthFraction(), key)
		assert.Equal(t, []string{"voltage_only"}, m.Operations, key)
	}
	assert.GreaterOrEqual(t, seen, 3)
}

// A disconnect and its draw are all that the one-switch twins differ in.
func TestCatalogue_OneSwitchTwins(t *testing.T) {
	for _, key := range []string{"lfp_16s_100ah", "lfp_16s_280ah"} {
		a, b := decode[bank.Module](t, "module", key), decode[bank.Module](t, "module", key+"_one_switch")
		require.Equal(t, "directional", a.Disconnect)
		require.Equal(t, "one_switch", b.Disconnect)
		b.Disconnect, b.BMSDrawW = a.Disconnect, a.BMSDrawW
		assert.Equal(t, a, b)
	}
}

// Every module fits an inverter of its voltage: the inverter works from the low
// cut-off that follows from the module's cells up to its over-voltage trip, and,
// but for 13 NMC cells, down to the under-voltage trip.
func TestCatalogue_ModulesFitInverters(t *testing.T) {
	for _, key := range profiles.Keys("module") {
		m := decode[bank.Module](t, "module", key)
		fits := 0
		for _, other := range profiles.Keys("inverter") {
			i := decode[inverter.Spec](t, "inverter", other)
			low, _, _ := m.LowEndV()
			high := m.Protection.OverV
			switch {
			case m.LeadAcid(): // absorption at 0 °C
				cell := bank.CellSettingsOf(m.Chemistry)
				high = (cell.AbsorbV - 25*cell.CompensationV) * float64(m.CellsInSeries)
			case key != "nmc_13s_100ah":
				low = m.Protection.UnderV
			}
			if i.MinV <= low && high <= i.MaxV {
				fits++
			}
		}
		assert.Positive(t, fits, key)
	}
}

func TestCatalogue_Chargers(t *testing.T) {
	for _, key := range profiles.Keys("solar_charger") {
		ch := decode[array.Charger](t, "solar_charger", key)
		atFull := ch.RatedArrayKW * 1000 * ch.EfficiencyFraction / ch.RatedA
		assert.True(t, 54 <= atFull && atFull <= 60, "%s: rated power and current meet at %g V", key, atFull)
		spec := array.Spec{Planes: map[string]array.Plane{"p": {Charger: "c"}}, Chargers: map[string]array.Charger{"c": ch}}
		c := fault.New()
		spec.Check(c)
		assert.NoError(t, c.Err())
	}
}

// Efficiencies: common practice for inverter-chargers of 3 to 10 kW, no
// source; .92, .956 and .942 at a tenth, half and all of the rating are those
// of inverter_6kw.
func TestCatalogue_Inverters(t *testing.T) {
	for _, key := range profiles.Keys("inverter") {
		s := decode[inverter.Spec](t, "inverter", key)
		c := fault.New()
		s.Check(c)
		assert.NoError(t, c.Err(), key)
		for _, row := range []struct{ x, want float64 }{{.1, .92}, {.5, .956}, {1, .942}} {
			assert.InDelta(t, row.want, row.x*s.RatedW/s.DCPowerW(row.x*s.RatedW), .012, "%s at %g", key, row.x)
		}
		assert.Equal(t, 2*s.RatedW, s.Short[len(s.Short)-1][0], "%s: twice the rating for seconds", key)
	}
}

// Trade tables for diesel sets of 8 to 20 kW fit an intercept of .039 to .061
// and a slope of .257 to .284; minimum load 30 % (common practice, no source).
func TestCatalogue_Generators(t *testing.T) {
	for _, key := range profiles.Keys("generator") {
		s := decode[genset.Spec](t, "generator", key)
		c := fault.New()
		s.Check(c)
		assert.NoError(t, c.Err(), key)
		assert.Equal(t, .3, s.MinLoadFraction, key)
		if key != "petrol_3kw" {
			assert.True(t, .039 <= s.NoLoadLPerKWh && s.NoLoadLPerKWh <= .061, key)
			assert.True(t, .257 <= s.SlopeLPerKWh && s.SlopeLPerKWh <= .284, key)
		} else { // about 1.0 l/h at half and 1.5 l/h at full load
			assert.InDelta(t, 1, s.FuelLPerH(1.5), .01)
			assert.InDelta(t, 1.5, s.FuelLPerH(3), .01)
		}
	}
}

// A load says how much energy it takes a day; here it is built.
func TestCatalogue_Loads(t *testing.T) {
	for _, key := range profiles.Keys("load") {
		s := decode[profiles.Spec](t, "load", key)
		load, problems := s.Build(2025, 3600, nil)
		require.Empty(t, problems, key)
		for _, e := range profiles.List() {
			if e.Kind == "load" && e.Key == key {
				assert.InEpsilon(t, e.KWhPerDay, load.MeanKWhPerDay(), .01, "%s takes %.3f kWh a day", key, load.MeanKWhPerDay())
			}
		}
	}
}
