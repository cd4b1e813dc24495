package api

import (
	"bytes"
	"encoding/json"
	"maps"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/document"
	"bankyear/api/store"
	"bankyear/api/tabular"
	"bankyear/sim/study"
)

// studyOf is a study on the request of the tests, by its members beside base.
func studyOf(t testing.TB, base map[string]any, members string) []byte {
	t.Helper()
	var request map[string]any
	require.NoError(t, json.Unmarshal([]byte(members), &request), members)
	request["base"] = base
	return text(t, request)
}

// readOf is a study without faults.
func readOf(t testing.TB, raw []byte) *Study {
	t.Helper()
	s, faults, isJSON := readStudy(raw)
	require.True(t, isJSON)
	require.Empty(t, faults)
	return s
}

// computed are the rows of all runs of a study, worked on through its bundle in
// chunks.
func computed(t testing.TB, s *Study, from pieces, chunk int) *tabular.Block {
	t.Helper()
	bundle, err := s.bundle(from)
	require.NoError(t, err)
	w := NewStudyWorker(quiet())
	out := tabular.New(computedColumns(), 0)
	for i := 0; i < s.Plan.Runs(); i += chunk {
		data, err := w.Work(t.Context(), bundle, i, min(i+chunk, s.Plan.Runs()))
		require.NoError(t, err)
		b, err := tabular.DecodePart(data, computedColumns())
		require.NoError(t, err)
		out.Rows += b.Rows
		for i := range out.Columns {
			out.Numbers[i], out.Texts[i] = append(out.Numbers[i], b.Numbers[i]...), append(out.Texts[i], b.Texts[i]...)
		}
	}
	return out
}

// Whatever the runs share: each run's figures and hash are those of a single
// simulation of the patched document.
func TestStudy_RunsAreSingleSimulations(t *testing.T) {
	disk, err := store.Open(t.TempDir(), 1<<30)
	require.NoError(t, err)
	service := New(Config{Store: disk})
	year := uploaded(t, service, "/v1/weather", openFile(t, "burlington_vt_tmy3.csv.gz"), noType...).ID
	stored := withWeather(station(t), map[string]any{"id": year})
	delete(stored, "site")
	inline := complete(t)
	monthly := withWeather(station(t), map[string]any{"monthly": map[string]any{
		"ghi_kwh_m2_d": []float64{1.6, 2.5, 3.6, 4.6, 5.4, 5.9, 5.9, 5.1, 4, 2.6, 1.6, 1.3}, "ambient_c": []float64{-8, -6, -1, 7, 13, 18, 21, 20, 15, 9, 3, -4}}})
	for name, c := range map[string]struct {
		base    map[string]any
		members string
	}{
		"bank and settings": {stored, `{"kind":"sweep","axes":[{"path":"bank.modules","numbers":[1,3]},{"path":"controls.low_end.stop_soc_fraction","numbers":[0.1]},
			{"path":"bank.settings","choices":["null","{\"absorb_v\":55.5,\"float_v\":54,\"restart_charge_v\":53,\"tail_a\":10,\"charge_a\":90}"]},{"path":"bank.operation","choices":["data_linked","voltage_only"]}]}`},
		"array, tilt and site": {inline, `{"kind":"sweep","points":"listed","axes":[{"path":"array.planes.roof.rated_kw","numbers":[3,9]},{"path":"array.planes.roof.tilt_deg","numbers":[30,75]},{"path":"site.elevation_m","numbers":[101,1500]}]}`},
		"load and inverter":    {inline, `{"kind":"sweep","axes":[{"path":"load.scale_to_kwh_per_day","numbers":[5,9]},{"path":"inverter.rated_w","numbers":[2500,3000]}]}`},
		"years and chance": {monthly, `{"kind":"ensemble","axes":[{"path":"bank.modules","numbers":[2,4]}],"years":{"path":"weather.member","range":{"start":0,"end":1,"step":1}},
			"chance":{"seed_paths":["bank.link_faults.seed"],"draws":[{"path":"bank.estimate.offset_a","range":{"start":-0.1,"end":0.1}}],"per_year":2}}`},
		"sampled": {stored, `{"kind":"sweep","points":"sobol","samples":4,"axes":[{"path":"bank.cable_ohm","log_range":{"start":0.001,"end":0.01}},{"path":"bank.module.capacity_ah","range":{"start":80,"end":200}}]}`},
	} {
		t.Run(name, func(t *testing.T) {
			s := readOf(t, studyOf(t, c.base, c.members))
			got := computed(t, s, service.pieces(), 3)
			require.Equal(t, s.Plan.Runs(), got.Rows)
			figures, row := study.Figures(), make([]float64, len(study.Figures()))
			hashes := map[string]bool{}
			for run := range s.Plan.Runs() {
				request, err := document.Encode(s.Request(run))
				require.NoError(t, err)
				single := Cases{content: service.content}
				k, faults, _ := single.Read(request)
				require.Empty(t, faults)
				require.Empty(t, got.Texts[faultColumn][run])
				assert.Equal(t, k.Hash, got.Texts[hashColumn][run])
				hashes[k.Hash] = true
				y := k.Plan().Run(false)
				study.Row(row, figures, &y.Figures)
				for i, f := range figures {
					if f.MayLack && row[i] == 0 {
						assert.True(t, math.IsNaN(got.Numbers[firstFigure+i][run]))
						continue
					}
					require.Equal(t, row[i], got.Numbers[firstFigure+i][run], "%s of run %d", f.Name, run)
				}
				assert.Equal(t, y.Figures.LowestSoCAt, got.Texts[tabular.Find(got.Columns, "lowest_soc_at")][run])
			}
			assert.Len(t, hashes, s.Plan.Runs(), "no two runs are the same")
		})
	}
}

// A bundle reads back as the study that it was made of, and is the same whatever
// order the members came in and whatever the study is called.
func TestStudy_Bundle(t *testing.T) {
	service := storing(t, t.TempDir())
	year := uploaded(t, service, "/v1/weather", openFile(t, "burlington_vt_tmy3.csv.gz"), noType...).ID
	base := withWeather(station(t), map[string]any{"id": year})
	raw := studyOf(t, base, `{"name":"A","kind":"sweep","axes":[{"path":"bank.modules","numbers":[1,2]}]}`)
	s := readOf(t, raw)
	bundle, err := s.bundle(service.pieces())
	require.NoError(t, err)
	back, content, err := openBundle(bundle)
	require.NoError(t, err)
	assert.Equal(t, s.Plan.Runs(), back.Plan.Runs())
	assert.True(t, content.Has(year))
	again, err := back.bundle(content)
	require.NoError(t, err)
	assert.True(t, bytes.Equal(bundle, again))
	other, err := readOf(t, studyOf(t, merged(base, map[string]any{"name": "B"}), `{"axes":[{"numbers":[1,2],"path":"bank.modules"}],"kind":"sweep","name":"C"}`)).bundle(service.pieces())
	require.NoError(t, err)
	assert.Equal(t, studyID(bundle), studyID(other))
	for _, spoilt := range [][]byte{nil, bundle[:10], bundle[:40], bundle[:len(bundle)-1], append([]byte("x"), bundle...)} {
		_, _, err := openBundle(spoilt)
		assert.ErrorIs(t, err, errBundle)
	}
	byYear := readOf(t, studyOf(t, base, `{"kind":"ensemble","years":{"path":"weather.id","choices":["`+year+`"]}}`))
	found, err := byYear.named(service.pieces())
	require.NoError(t, err)
	assert.Equal(t, []string{year}, ids(found))
}

func ids(b bundled) (list []string) {
	for id := range maps.Keys(b) {
		list = append(list, id)
	}
	return list
}

// Faults come all at once, each where the study says what is wrong.
func TestStudy_Faults(t *testing.T) {
	base := complete(t)
	for name, c := range map[string]struct {
		base    map[string]any
		members string
		want    []string
	}{
		"structure":           {base, `{"kind":"sweeps","axis":[],"axes":[{"path":"bank.modules","numbers":["x"]}]}`, []string{"/axis", "/axes/0/numbers/0", "/kind"}},
		"no kind":             {base, `{}`, []string{"/kind"}},
		"paths and types":     {base, `{"kind":"sweep","axes":[{"path":"bank.moduls","numbers":[1]},{"path":"bank.operation","numbers":[1]},{"path":"controls.chargers_hold_bus","choices":["true","maybe"]}]}`, []string{"/axes/0/path", "/axes/2/choices/1", "/axes/1"}},
		"a value outside":     {base, `{"kind":"sweep","axes":[{"path":"bank.modules","numbers":[2,0,99]}]}`, []string{"/axes/0"}},
		"what goes together":  {base, `{"kind":"sweep","axes":[{"path":"controls.shed_soc_fraction","numbers":[0.3,0.6]}]}`, []string{"/base/controls/return_soc_fraction"}},
		"the base":            {with(t, base, `{"bank":{"modules":0}}`), `{"kind":"sweep","axes":[{"path":"bank.cable_ohm","numbers":[0.001,0.002]}]}`, []string{"/base/bank/modules"}},
		"the base, corrected": {with(t, base, `{"bank":{"modules":0}}`), `{"kind":"sweep","axes":[{"path":"bank.modules","numbers":[1,2]}]}`, nil},
		"a seed":              {base, `{"kind":"ensemble","chance":{"seed_paths":["bank.seed"]}}`, []string{"/chance/seed_paths/0"}},
	} {
		t.Run(name, func(t *testing.T) {
			s, faults, isJSON := readStudy(studyOf(t, c.base, c.members))
			require.True(t, isJSON)
			if len(faults) == 0 {
				faults = s.check(t.Context(), func() *lane { return newLane(s, Cases{}) })
			}
			var got []string
			for _, f := range faults {
				got = append(got, f.Pointer)
				assert.NotEmpty(t, f.Message)
			}
			if c.want == nil {
				assert.Empty(t, faults)
				return
			}
			for _, want := range c.want {
				assert.Contains(t, got, want, "%v", faults)
			}
		})
	}
}

// The runs to be checked are spread over candidates and members.
func TestStudy_ToCheck(t *testing.T) {
	for _, c := range []struct {
		members string
		want    int
	}{
		{`{"kind":"sweep","axes":[{"path":"bank.modules","numbers":[1,2,3]}]}`, 3},
		{`{"kind":"ensemble","chance":{"seed_paths":["bank.link_faults.seed"],"per_year":50}}`, 50},
		{`{"kind":"sweep","axes":[{"path":"bank.cable_ohm","range":{"start":0.001,"end":0.01,"step":0.000001}},{"path":"bank.modules","range":{"start":1,"end":16,"step":1}}],"chance":{"seed_paths":["bank.link_faults.seed"],"per_year":50}}`, 10_000},
	} {
		s := readOf(t, studyOf(t, station(t), c.members))
		runs := s.toCheck()
		assert.InDelta(t, c.want, len(runs), 60)
		assert.Equal(t, 0, runs[0])
		assert.Less(t, runs[len(runs)-1], s.Plan.Runs())
		assert.Greater(t, runs[len(runs)-1], s.Plan.Runs()*9/10-1)
	}
}

func FuzzOpenBundle(f *testing.F) {
	f.Add([]byte(bundleMagic + "\x02{}"))
	f.Add([]byte(bundleMagic))
	f.Add(appendPiece(appendPiece([]byte(bundleMagic), []byte(`{"kind":"sweep","base":{},"axes":[{"path":"bank.modules","numbers":[1]}]}`)), []byte("w-0"), []byte("head"), []byte("body")))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, content, err := openBundle(data)
		if err != nil {
			assert.ErrorIs(t, err, errBundle)
			return
		}
		again, err := s.bundle(content)
		require.NoError(t, err)
		back, _, err := openBundle(again)
		require.NoError(t, err)
		assert.Equal(t, s.Plan.Runs(), back.Plan.Runs())
	})
}
