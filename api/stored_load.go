package api

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"bankyear/api/document"
	"bankyear/api/store"
	"bankyear/profiles"
	"bankyear/sim/fault"
	"bankyear/weather"
)

// StoredLoad is a load that was uploaded.
type StoredLoad struct {
	ID         string                `json:"id" doc:"Content id: a request refers to it by this, and the same upload has the same."`
	KWhPerDay  float64               `json:"kwh_per_day,omitzero" required:"false" doc:"Mean daily energy; left out when it depends on the air temperature of the weather."`
	HighestW   float64               `json:"highest_w,omitzero" required:"false" doc:"Highest mean power of an interval, AC and DC together; left out likewise."`
	Series     []string              `json:"series" doc:"Series that are given row by row."`
	Rows       int                   `json:"rows,omitzero" required:"false" doc:"Rows of the longest series."`
	Appliances []string              `json:"appliances" doc:"Names of its appliances."`
	Key        string                `json:"key,omitzero" required:"false" doc:"Catalogue entry that it builds on."`
	Meter      *profiles.MeterReport `json:"meter,omitzero" required:"false" doc:"What was found in metered data and what was done to it."`
	Assumed    []document.Assumption `json:"assumed" doc:"Every value that nobody stated, with its basis."`
	Load       json.RawMessage       `json:"load,omitzero" required:"false" doc:"The load as it was given, in canonical form (RFC 8785)."`
	Stored     string                `json:"stored_at,omitzero" required:"false" doc:"When it was stored, UTC; in lists."`
}

// describeLoad checks a load by itself and says what it is. What depends on the
// weather of a request is checked with it. Pointers of the faults start at the
// load.
func describeLoad(tree *document.Node, parsed fault.Faults) (*StoredLoad, fault.Faults) {
	faults := slices.Clone(parsed)
	var load Load
	expanded, expansions, more := document.Expand(mustSet(nil, "load", tree), requestType, catalogue())
	faults = append(faults, document.Beyond(faults, upward(more))...)
	decoded, more := document.Decode(expanded.Get("load"), &load)
	faults = append(faults, document.Beyond(faults, more)...)
	ranges := fault.New()
	fault.CheckTags(ranges, &load)
	faults = append(faults, decoded.Beyond(faults, ranges.Faults())...)
	if load.ID != "" {
		c := fault.New().At("id")
		c.Add(load.ID, "the load itself", "", "names a load that is stored already")
		faults = append(faults, c.Faults()...)
	}
	grid := gridOf(&load.Spec)
	built, problems := load.Spec.Build(grid.CalendarYear, grid.StepS, grid.AmbientC)
	if !slices.ContainsFunc(faults, func(f fault.Fault) bool { return slices.Contains([]string{"", "/key", "/id"}, f.Pointer) }) {
		faults = append(faults, decoded.Beyond(faults, upward(loadFaults(problems)))...)
	}
	if len(faults) > 0 {
		return nil, condense(faults)
	}
	var err error
	s := &StoredLoad{Series: []string{}, Appliances: slices.AppendSeq([]string{}, maps.Keys(load.Appliances)), Meter: built.Meter, Assumed: orEmpty(decoded.Assumed)}
	if s.Load, err = document.Encode(tree); err != nil {
		panic("api: load that passed its checks: " + err.Error())
	}
	s.ID = shortHash(loadKind, s.Load)
	slices.Sort(s.Appliances)
	slices.SortFunc(s.Assumed, func(a, b document.Assumption) int { return strings.Compare(a.Pointer, b.Pointer) })
	if len(expansions) > 0 {
		s.Key = expansions[0].Key
	}
	for _, x := range seriesOf(&load.Spec) {
		if x.values != nil {
			s.Series, s.Rows = append(s.Series, x.name), max(s.Rows, len(x.values))
		}
	}
	if !feelsWeather(&load.Spec) {
		s.KWhPerDay, s.HighestW = built.MeanKWhPerDay(), highest(built)
	}
	return s, nil
}

// upward takes /load off pointers.
func upward(faults fault.Faults) fault.Faults {
	for i := range faults {
		faults[i].Pointer = strings.TrimPrefix(faults[i].Pointer, "/load")
	}
	return faults
}

func seriesOf(s *profiles.Spec) []namedColumn {
	return []namedColumn{{"ac_essential_w", s.ACEssentialW}, {"ac_flexible_w", s.ACFlexibleW}, {"dc_essential_w", s.DCEssentialW}, {"dc_flexible_w", s.DCFlexibleW}}
}

// feelsWeather tells whether an appliance runs by the air temperature.
func feelsWeather(s *profiles.Spec) bool {
	for _, a := range s.Appliances {
		if a.Temperature != nil {
			return true
		}
	}
	return false
}

// gridOf is a year on which a load can be built: that which its longest series
// fits, or else one of hours, with air of 0 °C.
func gridOf(s *profiles.Spec) *weather.Year {
	const common, leap = 2025, 2024
	rows := 0
	for _, x := range seriesOf(s) {
		rows = max(rows, len(x.values))
	}
	grid := &weather.Year{CalendarYear: common, StepS: defaultStepS}
	for _, year := range []int{common, leap} {
		for _, step := range []int{3600, 1800, 900, 600, 300, 60} {
			if y := (&weather.Year{CalendarYear: year, StepS: step}); y.Len() == rows {
				grid = y
			}
		}
	}
	grid.AmbientC = make([]float64, grid.Len())
	return grid
}

func highest(l *profiles.Load) float64 {
	most := 0.0
	for i := range max(len(l.ACEssentialW), len(l.ACFlexibleW), len(l.DCEssentialW), len(l.DCFlexibleW)) {
		sum := 0.0
		for _, c := range [][]float64{l.ACEssentialW, l.ACFlexibleW, l.DCEssentialW, l.DCFlexibleW} {
			if c != nil {
				sum += c[i]
			}
		}
		most = max(most, sum)
	}
	return most
}

// putLoad adds a load to what is to be stored.
func putLoad(b *store.Batch, s *StoredLoad) error {
	summary := *s
	summary.Load = nil
	head, err := json.Marshal(&summary)
	if err != nil {
		panic("api: stored load: " + err.Error())
	}
	return b.Put(s.ID, head, s.Load)
}

// loadHead reads what putLoad wrote beside the load.
func loadHead(head []byte) (*StoredLoad, error) {
	var s StoredLoad
	if err := json.Unmarshal(head, &s); err != nil {
		return nil, fmt.Errorf("%w: %w", store.ErrDamaged, err)
	}
	return &s, nil
}

// storedLoad is a stored load as a tree.
type storedLoad struct {
	tree *document.Node
	text int64 // bytes of its JSON
}

// load finds a stored load. Errors are those of the store.
func (c *content) load(id string) (*document.Node, error) {
	l, err := found(c, c.loads, id, func(_, body []byte) (*storedLoad, error) {
		tree, faults := document.Parse(body)
		if len(faults) > 0 {
			return nil, fmt.Errorf("%w: %w", store.ErrDamaged, faults)
		}
		return &storedLoad{tree, int64(len(body))}, nil
	})
	if err != nil {
		return nil, err
	}
	return l.tree, nil
}
