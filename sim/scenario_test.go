package sim_test

import (
	"os"
	"path/filepath"
	"reflect"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"bankyear/api/document"
	"bankyear/profiles"
	"bankyear/sim"
	"bankyear/sim/fault"
	"bankyear/weather"
)

// scenario is a request as far as these tests need it: a system, and its
// weather and load.
type scenario struct {
	Name string `json:"name" default:"" hash:"-"`
	sim.System
	Weather *document.Node `json:"weather" required:"false"`
	Load    profiles.Spec  `json:"load" default:"{}"`
}

// system decodes the base scenario with merge patches on it, and completes it.
func system(t testing.TB, patches ...string) *scenario {
	t.Helper()
	s := given(t, patches...)
	s.Complete()
	c := fault.New()
	fault.CheckTags(c, &s.System)
	s.Check(c)
	require.NoError(t, c.Err())
	return s
}

// given is that scenario as it is before Complete.
func given(t testing.TB, patches ...string) *scenario {
	t.Helper()
	raw, err := os.ReadFile("../testdata/scenarios/field-station.json")
	require.NoError(t, err)
	node, faults := document.Parse(raw)
	require.Empty(t, faults)
	for _, p := range patches {
		patch, faults := document.Parse([]byte(p))
		require.Empty(t, faults, p)
		node = document.Merge(node, patch)
	}
	return decoded(t, node)
}

// decoded is a scenario as it is before Complete.
func decoded(t testing.TB, node *document.Node) *scenario {
	t.Helper()
	var s scenario
	node, _, faults := document.Expand(node, typeOf(&s), catalogue(t))
	require.Empty(t, faults)
	_, faults = document.Decode(node, &s)
	require.Empty(t, faults)
	return &s
}

// burlington is the weather of the base scenario.
var burlington = sync.OnceValues(func() (*weather.Year, error) {
	f, err := os.Open(filepath.Join("..", "testdata", "weather", "burlington_vt_tmy3.csv.gz"))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	r, err := weather.Read(f, weather.ReadOptions{CalendarYear: 2025})
	if err != nil {
		return nil, err
	}
	return r.Year, nil
})

// plan compiles the base scenario with merge patches on it.
func plan(t testing.TB, patches ...string) *sim.Plan {
	t.Helper()
	s := system(t, patches...)
	w, err := burlington()
	require.NoError(t, err)
	return sim.Compile(&s.System, w, load(t, &s.Load, w))
}

// catalogue is every catalogue entry as a document.
func catalogue(t testing.TB) document.Catalogue {
	all := document.Catalogue{}
	for _, e := range profiles.List() {
		node, faults := document.Parse(e.Values)
		require.Empty(t, faults)
		if all[e.Kind] == nil {
			all[e.Kind] = map[string]*document.Node{}
		}
		all[e.Kind][e.Key] = node
	}
	return all
}

func load(t testing.TB, s *profiles.Spec, w *weather.Year) *sim.Load {
	l, problems := s.Build(w.CalendarYear, w.StepS, w.AmbientC)
	require.Empty(t, problems)
	out := &sim.Load{ACEssentialW: l.ACEssentialW, ACFlexibleW: l.ACFlexibleW, DCEssentialW: l.DCEssentialW, DCFlexibleW: l.DCFlexibleW}
	for _, s := range l.Starts {
		out.Starts = append(out.Starts, sim.Start{
			Appliance: s.Appliance, DC: s.DC, Flexible: s.Flexible, Count: s.Count, RunningW: s.RunningW, MeanFraction: s.MeanFraction,
			PowerFactor: s.PowerFactor, InrushMultiple: s.InrushMultiple, InrushS: s.InrushS, StartsPerH: s.StartsPerH, On: s.On,
		})
	}
	for _, s := range l.Shifts {
		out.Shifts = append(out.Shifts, sim.Shift{Appliance: s.Appliance, DC: s.DC, W: s.W, MeanFraction: s.MeanFraction, On: s.On})
	}
	return out
}

func typeOf(v any) reflect.Type { return reflect.TypeOf(v).Elem() }
