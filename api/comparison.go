package api

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"

	"bankyear/api/document"
	"bankyear/sim/fault"
)

// ComparisonRequest is a base and what the candidates change in it.
type ComparisonRequest struct {
	Name       string                    `json:"name,omitzero" required:"false" doc:"What the customer calls it; repeated in the answer."`
	Notes      string                    `json:"notes,omitzero" required:"false" doc:"For people; not repeated."`
	Base       *document.Node            `json:"base" doc:"A request, as for a simulation."`
	Years      []*document.Node          `json:"years,omitzero" required:"false" doc:"Further years of weather that every candidate meets: each a JSON Merge Patch of weather and calendar_year alone, such as {\"weather\": {\"member\": 3}} or {\"calendar_year\": 2011}. From two on the verdict is of them. Up to 64; with the candidates up to 512 runs."`
	Candidates map[string]*document.Node `json:"candidates" keys:"name" doc:"What each candidate changes in the base, by name: a JSON Merge Patch (RFC 7396), {} for the base itself. 1 to 64."`
}

const mostCandidates = 64

// baseName is what the base is called when no candidate is the base itself.
const baseName = "base"

// Comparison is several systems on the same year, side by side.
type Comparison struct {
	Engine     string      `json:"engine" doc:"Version of the engine, processor architecture and its level."`
	Name       string      `json:"name,omitzero" required:"false" doc:"Name given in the request."`
	Reference  string      `json:"reference" doc:"Candidate that the differences are against: the base itself."`
	Candidates []Candidate `json:"candidates" doc:"The reference first, the others by name."`
	Verdict    *Verdict    `json:"verdict,omitzero" required:"false" doc:"Which bank, what it costs in dark hours and generator hours, and what decides it, in words built from the figures."`
	Figures    []FigureRow `json:"figures" doc:"Every figure, side by side; last those of other runs that are told: of endurance and, with detail=headroom, of headroom."`
	ManyYears  *ManyYears  `json:"many_years,omitzero" required:"false" doc:"The candidates in further years; with years."`
	Notes      []string    `json:"notes" doc:"How to read this answer."`
	Cautions   []string    `json:"cautions" doc:"What a simulation does not settle."`
}

// Candidate is one system of a comparison.
type Candidate struct {
	Candidate string  `json:"candidate" doc:"Name of the candidate."`
	Answer    *Answer `json:"answer" doc:"Its own answer, as for a simulation."`
}

// candidate is one system, prepared.
type candidate struct {
	name  string
	c     *Case
	base  bool           // is the base itself
	patch *document.Node // nil: nothing is changed
}

// comparison is a request that passed every check, the reference first.
type comparison struct {
	name       string
	candidates []candidate
	years      [][]*Case // by year, then by candidate
	notes      []string
}

// readComparison takes the JSON of a comparison. Faults of all candidates come
// at once; what is wrong with the base is said once, at the base. isJSON is
// false when the faults are that it is no JSON.
func (cs *Cases) readComparison(raw []byte) (read *comparison, faults fault.Faults, isJSON bool) {
	tree, faults := document.Parse(raw)
	if tree == nil {
		return nil, faults, false
	}
	var r ComparisonRequest
	_, more := document.Decode(tree, &r)
	faults = beyond(faults, more)
	faults = append(faults, r.check()...)
	out := &comparison{name: r.Name}
	if r.Base != nil && len(r.Candidates) <= mostCandidates {
		faults = cs.candidates(&r, out, faults)
	}
	if len(faults) > 0 {
		return nil, condense(faults), true
	}
	if !slices.ContainsFunc(out.candidates, func(c candidate) bool { return c.base }) {
		if c, found := cs.Prepare(r.Base, nil); len(found) == 0 {
			out.candidates = append(out.candidates, candidate{baseName, c, true, nil})
		} else {
			out.notes = append(out.notes, "The base alone is no complete system: the differences are against the first candidate.")
		}
	}
	slices.SortFunc(out.candidates, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(a.name, b.name))
	})
	if faults = cs.years(&r, out); len(faults) > 0 {
		return nil, condense(faults), true
	}
	return out, nil, true
}

func (r *ComparisonRequest) check() fault.Faults {
	c := fault.New().At("candidates")
	if n := len(r.Candidates); r.Candidates != nil && (n == 0 || n > mostCandidates) {
		c.Add(n, "1 to "+strconv.Itoa(mostCandidates), "items", "has a wrong number of candidates")
	}
	if patch, ok := r.Candidates[baseName]; ok && !isBase(patch) {
		c.At(baseName).Addf(nil, "is what the base itself is called: give it another name, or {}")
	}
	above := fault.New()
	checkYears(above, r)
	return append(c.Faults(), above.Faults()...)
}

// candidates prepares each candidate and adds its faults to those of the
// request.
func (cs *Cases) candidates(r *ComparisonRequest, out *comparison, faults fault.Faults) fault.Faults {
	known := faults
	seen := map[string]bool{}
	ofBase := sync.OnceValue(func() map[string]bool {
		_, found := cs.Prepare(r.Base, nil)
		all := map[string]bool{}
		for _, f := range found {
			all[f.Pointer+"\n"+f.Message] = true
		}
		return all
	})
	for _, name := range slices.Sorted(maps.Keys(r.Candidates)) {
		patch := r.Candidates[name]
		c, found := cs.Prepare(document.Merge(r.Base, patch), nil)
		for _, f := range document.Beyond(known, origin(found, name, patch, ofBase)) {
			if key := f.Pointer + "\n" + f.Message; !seen[key] {
				seen[key] = true
				faults = append(faults, f)
			}
		}
		out.candidates = append(out.candidates, candidate{name, c, isBase(patch), patch})
	}
	return faults
}

// isBase is true for a patch that changes nothing.
func isBase(patch *document.Node) bool {
	return patch.Kind() == document.Object && len(patch.Members()) == 0
}

func rank(c candidate) int {
	if c.base {
		return 0
	}
	return 1
}

// origin moves the faults of a merged document to where each came from: the
// candidate when its patch sets the value or the base alone has no such fault (a
// module by another key does not suit the inverter), else the base.
func origin(faults fault.Faults, name string, patch *document.Node, ofBase func() map[string]bool) fault.Faults {
	out := slices.Clone(faults)
	for i, f := range out {
		tokens := []string{"base"}
		if changes(patch, f.Pointer) || !ofBase()[f.Pointer+"\n"+f.Message] {
			tokens = []string{"candidates", name}
		}
		out[i].Pointer = fault.New().At(tokens...).Pointer() + f.Pointer
	}
	return out
}

// changes tells whether a merge patch sets the value at a pointer.
func changes(patch *document.Node, pointer string) bool {
	for token := range strings.SplitSeq(strings.TrimPrefix(pointer, "/"), "/") {
		if patch.Kind() != document.Object {
			break
		}
		patch = patch.Get(strings.NewReplacer("~1", "/", "~0", "~").Replace(token))
		if patch == nil {
			return false
		}
	}
	return true
}
