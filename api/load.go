package api

import (
	"slices"

	"bankyear/api/document"
	"bankyear/profiles"
	"bankyear/sim"
	"bankyear/sim/fault"
	"bankyear/weather"
)

// Load is what the site asks for: stored, or given here; what is given beside an
// id replaces its members, as beside a key.
type Load struct {
	ID string `json:"id,omitzero" required:"false" doc:"Content id of a load that was uploaded (POST /v1/loads); members beside it replace its members (JSON Merge Patch)."`
	profiles.Spec
}

// demand is a load that passed its checks.
type demand struct {
	load *sim.Load
	hash string
}

func (d *demand) bytes() int64 {
	n := 8 * (len(d.load.ACEssentialW) + len(d.load.ACFlexibleW) + len(d.load.DCEssentialW) + len(d.load.DCFlexibleW))
	for _, s := range d.load.Starts {
		n += len(s.On)
	}
	for _, s := range d.load.Shifts {
		n += 8 * len(s.On)
	}
	return int64(n)
}

// withStoredLoad puts a stored load in the place of the id that names it.
func (cs *Cases) withStoredLoad(tree *document.Node) (*document.Node, fault.Faults) {
	given := tree.Get("load")
	id, isText := given.Get("id").Text()
	if !isText {
		return tree, nil // Decode says what is wrong with anything else
	}
	c := fault.New().At("load", "id")
	if cs.content == nil {
		c.Add(id, "appliances, series such as ac_essential_w, or a meter", "", "can only be used at a service that stores it")
		return tree, c.Faults()
	}
	stored, err := cs.content.load(id)
	if err != nil {
		notStored(c, id, "load", err)
		return tree, c.Faults()
	}
	if cs.loadOf != given || cs.loadFrom != stored { // else the same node as before, for what is known of it
		withoutID := document.Merge(given, mustSet(nil, "id", &document.Node{}))
		cs.loadOf, cs.loadFrom, cs.loadNode = given, stored, document.Merge(stored, withoutID)
	}
	return mustSet(tree, "load", cs.loadNode), nil
}

// mustSet is document.Set on a path that is there.
func mustSet(n *document.Node, path string, value *document.Node) *document.Node {
	out, err := document.Set(n, path, value)
	if err != nil {
		panic("api: " + err.Error())
	}
	return out
}

// build makes the load's columns on the grid of the weather, or finds them among
// those that were made last: a brief one by its text, before it is made.
func (cs *Cases) build(given *document.Node, spec *profiles.Spec, s *sky) (*demand, fault.Faults) {
	key := ""
	if cs.known != nil && isBrief(given) {
		if text, err := document.Encode(given); err == nil { // else buildLoad says what is wrong with it
			key = s.hash + "\n" + string(text)
		}
	}
	if d := cs.known.load(key); d != nil {
		return d, nil
	}
	d, faults := buildLoad(spec, s.year)
	if d == nil {
		return nil, faults
	}
	if key == "" {
		key = d.hash
	}
	return cs.known.sameLoad(key, d), nil
}

// isBrief tells whether a part of a request is short, so that looking it up is
// quicker than building it: no long lists and texts.
func isBrief(n *document.Node) bool {
	text, _ := n.Text()
	if n.Len() > 1000 || len(text) > 1000 {
		return false
	}
	for _, m := range n.Members() {
		if !isBrief(m.Value) {
			return false
		}
	}
	return true
}

// buildLoad makes the load's columns on the grid of the weather.
func buildLoad(spec *profiles.Spec, w *weather.Year) (*demand, fault.Faults) {
	load, problems := spec.Build(w.CalendarYear, w.StepS, w.AmbientC)
	if len(problems) > 0 {
		return nil, loadFaults(problems)
	}
	return &demand{
		load: siteLoad(load),
		hash: load.Hash(),
	}, nil
}

// siteLoad is a built load as the simulation takes it.
func siteLoad(l *profiles.Load) *sim.Load {
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

// loadFaults turns problems of a load into faults of the request.
func loadFaults(problems []profiles.Problem) fault.Faults {
	var faults fault.Faults
	for _, p := range problems {
		faults = append(faults, fault.Fault{Pointer: p.Pointer, Value: p.Value, Allowed: p.Allowed, Unit: p.Unit, Message: p.Message})
	}
	return below(faults, "load")
}

// loadFaultsAlone is what can be said of a load while its weather is at fault:
// everything but the length of its columns beside weather whose interval is not
// known.
func loadFaultsAlone(r *Request) fault.Faults {
	grid := &weather.Year{CalendarYear: r.CalendarYear, StepS: r.Weather.StepS}
	if !slices.Contains([]int{1800, 900, 600, 300, 60}, grid.StepS) {
		grid.StepS = defaultStepS
	}
	if grid.CalendarYear < 1950 || grid.CalendarYear > 2050 {
		return nil
	}
	grid.AmbientC = make([]float64, grid.Len())
	_, faults := buildLoad(&r.Load.Spec, grid)
	if r.Weather.Text != "" || r.Weather.File != "" || r.Weather.ID != "" {
		faults = slices.DeleteFunc(faults, func(f fault.Fault) bool { return f.Unit == "rows" })
	}
	return faults
}
