package api

import (
	"io"
	"maps"
	"path"
	"slices"
	"strings"

	"bankyear/api/document"
	"bankyear/sim"
	"bankyear/sim/cost"
	"bankyear/sim/fault"
	"bankyear/weather"
)

// Case is a request that passed every check, ready to be simulated.
type Case struct {
	Name    string
	Hash    string // content hash, see contentHash
	System  sim.System
	Given   sim.System // as it was before sim.System.Complete, for reliefs
	Weather *weather.Year
	Load    *sim.Load
	Prices  *cost.Prices // nil when none were given
	// Assumed lists what nobody stated, Catalogue what came from the catalogue,
	// Notes what the reader of the answer should know.
	Assumed   []document.Assumption
	Catalogue []document.Expansion
	Notes     []string
	// Stated lists what the request states, by dotted path, as text for people.
	Stated map[string]string
}

// Plan compiles the case.
func (c *Case) Plan() *sim.Plan { return sim.Compile(&c.System, c.Weather, c.Load) }

// Need is what the array and the load of the case ask of a store.
func (c *Case) Need() weather.Need { return c.Weather.Need(c.Plan().Supply()) }

// Cases turns requests into cases. Weather and loads that several requests share
// (the candidates of one comparison) are read once. Not for concurrent use.
type Cases struct {
	// Open reads a file that a request names; nil where files cannot be named.
	Open func(name string) (io.ReadCloser, error)

	content  *content // what was uploaded; nil where nothing is stored
	known    *known   // what requests brought along
	keepsSun bool     // the sun is computed once a weather year: where many systems meet it
	// reader reads requests of which most share their parts and nobody reads what was
	// assumed; nil where each is told.
	reader  *document.Reader
	skies   map[skyKey]skyResult
	demands map[demandKey]demandResult
	heldSky int64 // bytes of the skies
	parts   [4]partKey
	// loadNode is what a stored load came to last, with what is given beside its id.
	loadOf, loadFrom, loadNode *document.Node
}

// mostHeldSky is how many bytes of weather one Cases keeps beyond the latest.
const mostHeldSky = 64 << 20

// A tree is never changed, and candidates share the parts of it that their
// patches leave alone: the same node is the same input. A brief part is known by
// its text, so that it is the same input also where it was made anew.
type skyKey struct{ weather, site, calendarYear any }

type skyResult struct {
	sky    *sky
	faults fault.Faults
}

type demandKey struct {
	load any
	sky  *sky
}

type demandResult struct {
	demand *demand
	faults fault.Faults
}

// partKey is by what a part of a request was known last.
type partKey struct {
	node *document.Node
	key  any
}

// Parts of a request that are known by a key.
const (
	weatherPart = iota
	sitePart
	yearPart
	loadPart
)

// key is what a part of a request is known by: its canonical text when it is
// brief, else the node itself.
func (cs *Cases) key(part int, n *document.Node) any {
	known := &cs.parts[part]
	if known.key == nil || known.node != n {
		known.node, known.key = n, n
		if n != nil && isBrief(n) {
			if text, err := document.Encode(n); err == nil {
				known.key = string(text)
			}
		}
	}
	return known.key
}

// Read takes the JSON of one request. Its faults come all at once; isJSON is
// false when they are that it is no JSON.
func (cs *Cases) Read(raw []byte) (c *Case, faults fault.Faults, isJSON bool) {
	tree, faults := document.Parse(raw)
	if tree == nil {
		return nil, faults, false
	}
	c, faults = cs.Prepare(tree, faults)
	return c, faults, true
}

// Prepare takes a request's tree and the faults found while it was parsed.
func (cs *Cases) Prepare(tree *document.Node, parsed fault.Faults) (*Case, fault.Faults) {
	p, faults := cs.prepare(tree, parsed)
	if p == nil {
		return nil, faults
	}
	c := p.named()
	c.Assumed, c.Catalogue, c.Notes = assumed(p.draft.decoded.Assumed, p.sky.assumed, p.filled), inOrder(p.draft.catalogue), slices.Concat(p.sky.notes, systemNotes(&c.System))
	c.Stated = statedInputs(tree)
	return c, nil
}

// prepared is a case without what only a reader of its answer needs, and without its
// hash, which who only wants it checked does not.
type prepared struct {
	c      Case
	draft  *draft
	sky    *sky
	demand *demand
	filled []sim.Filled
}

// named is the case with its hash.
func (p *prepared) named() *Case {
	p.c.Hash = contentHash(&p.c.System, p.sky.hash, p.demand.hash, p.c.Prices)
	return &p.c
}

// prepare is Prepare up to what an answer tells beside its figures. It is the one
// way from a request to what is computed: one simulation goes it, and every run of
// a study.
func (cs *Cases) prepare(tree *document.Node, parsed fault.Faults) (*prepared, fault.Faults) {
	given := tree.Get("load")
	tree, missing := cs.withStoredLoad(tree)
	x := cs.draft(tree, append(slices.Clone(parsed), missing...))
	r := x.request
	sky, faults := cs.sky(r, tree)
	x.add(faults)
	demand, faults := cs.demand(r, given, sky)
	if !slices.ContainsFunc(x.structure, func(f fault.Fault) bool { return f.Pointer == "/load/key" || f.Pointer == "/load/id" }) {
		x.add(faults)
	}
	if sky != nil {
		r.Site, r.CalendarYear = sky.year.Site, sky.year.CalendarYear
	}
	filled := completeSettings(tree, &r.System)
	asGiven := r.System
	r.Array.Planes, r.Generators = maps.Clone(r.Array.Planes), maps.Clone(r.Generators)
	filled = append(filled, r.System.Complete()...)
	meaning := fault.New()
	r.System.Check(meaning)
	x.add(x.meaningful(meaning.Faults()))
	if len(x.faults) > 0 {
		return nil, condense(x.faults)
	}
	return &prepared{c: Case{
		Name: r.Name, System: r.System, Given: asGiven, Weather: sky.year, Load: demand.load, Prices: r.Prices,
	}, draft: x, sky: sky, demand: demand, filled: filled}, nil
}

// draft reads a request's tree: where there is a reader and nothing is wrong, by it.
func (cs *Cases) draft(tree *document.Node, parsed fault.Faults) *draft {
	if cs.reader != nil && len(parsed) == 0 {
		x := &draft{request: &Request{}}
		faults := cs.reader.Read(tree, x.request)
		if siteFromFile(tree) {
			faults = without(faults, "/site")
		}
		if len(faults) == 0 {
			return x
		}
	}
	return decode(tree, parsed)
}

// sky reads the weather.
func (cs *Cases) sky(r *Request, tree *document.Node) (*sky, fault.Faults) {
	key := skyKey{cs.key(weatherPart, tree.Get("weather")), cs.key(sitePart, tree.Get("site")), cs.key(yearPart, tree.Get("calendar_year"))}
	if known, ok := cs.skies[key]; ok {
		return known.sky, known.faults
	}
	s, faults := r.Weather.read(placeOf(tree, r.Site, r.CalendarYear), sources{cs.Open, cs.content, cs.known})
	if s != nil {
		if cs.keepsSun {
			s.year.KeepSun()
		}
		cs.heldSky += yearBytes(s.year) + sunBytes*int64(s.year.Len())
	}
	if cs.skies == nil || cs.heldSky > mostHeldSky {
		cs.skies, cs.demands, cs.heldSky = map[skyKey]skyResult{}, nil, 0
	}
	cs.skies[key] = skyResult{s, faults}
	return s, faults
}

// demand builds the load; without weather it only tells what is wrong with it.
func (cs *Cases) demand(r *Request, given *document.Node, s *sky) (*demand, fault.Faults) {
	if s == nil {
		return nil, loadFaultsAlone(r)
	}
	key := demandKey{cs.key(loadPart, given), s}
	if known, ok := cs.demands[key]; ok {
		return known.demand, known.faults
	}
	d, faults := cs.build(given, &r.Load.Spec, s)
	if cs.demands == nil || len(cs.demands) >= mostDemands {
		cs.demands = map[demandKey]demandResult{}
	}
	cs.demands[key] = demandResult{d, faults}
	return d, faults
}

// mostDemands is how many loads one Cases keeps.
const mostDemands = 200

// assumed puts the defaults that were used, what the weather file left open and
// what follows from other members into one list. What a later one settles
// replaces the default of the same member.
func assumed(defaults, fromWeather []document.Assumption, filled []sim.Filled) []document.Assumption {
	later := slices.Clone(fromWeather)
	for _, f := range filled {
		later = append(later, document.Assumption{Pointer: f.Pointer, Value: f.Value, Unit: fault.UnitOf(path.Base(f.Pointer)), Basis: f.Basis})
	}
	settled := map[string]bool{}
	for _, a := range later {
		settled[a.Pointer] = true
	}
	all := slices.DeleteFunc(slices.Clone(defaults), func(a document.Assumption) bool { return settled[a.Pointer] })
	all = append(all, later...)
	// In an order that does not follow the request's: the same bytes whatever
	// order its members come in.
	slices.SortStableFunc(all, func(a, b document.Assumption) int { return strings.Compare(a.Pointer, b.Pointer) })
	return all
}

// inOrder sorts what came from the catalogue likewise.
func inOrder(expansions []document.Expansion) []document.Expansion {
	out := slices.Clone(expansions)
	for i := range out {
		out[i].Overrides = slices.Sorted(slices.Values(out[i].Overrides))
	}
	slices.SortFunc(out, func(a, b document.Expansion) int { return strings.Compare(a.Pointer, b.Pointer) })
	return out
}
