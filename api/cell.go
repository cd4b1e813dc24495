package api

import (
	"context"
	"maps"
	"net/http"
	"net/url"
	"reflect"
	"slices"
	"strconv"

	"bankyear/api/document"
	"bankyear/sim"
	"bankyear/sim/cost"
	"bankyear/sim/fault"
)

// cell is what a question of a spreadsheet comes to: a stored system with some
// values changed, and the figures of its year.
type cell struct {
	version int
	hash    string
	figures []Figure
	weight  int64
}

// question is a stored system with changes, on the way to a cell.
type question struct {
	name   string
	number int
	tree   *document.Node // the system as it is stored
	patch  *document.Node // what the query changes in it
}

// mostCells is how many cells, and years of figures, are kept: a few kilobytes
// each.
const mostCells = 4096

// mostWaitingCells is how many questions may wait: a spreadsheet asks for all of
// its cells at once, and does not ask again when it is told to.
const mostWaitingCells = 2048

// ask reads a question: what is not among the reserved parameters changes the
// stored system. Faults of the reserved ones come together with it.
func (s *Service) ask(name string, version *int, query url.Values, faults fault.Faults) (*question, *Problem) {
	patch, more := parametersOf(query, requestType)
	if faults = append(faults, more...); len(faults) > 0 {
		return nil, badParameters(faults)
	}
	found, p := s.systemTree(name, version)
	if p != nil {
		return nil, p
	}
	found.patch = patch
	return found, nil
}

// split parts the reserved parameters of a query from those that change the
// system.
func split(query url.Values, reserved any) (own, changes url.Values) {
	own, changes = url.Values{}, maps.Clone(query)
	for _, f := range reflect.VisibleFields(reflect.TypeOf(reserved)) {
		if name := memberName(f); query.Has(name) {
			own[name] = query[name]
			delete(changes, name)
		}
	}
	return own, changes
}

// systemTree is a stored version as a tree.
func (s *Service) systemTree(name string, version *int) (*question, *Problem) {
	if p := s.noStore(); p != nil {
		return nil, p
	}
	number := 0
	if version != nil {
		number = *version
	} else if last, err := s.content.disk.Last(systemNames, name); err == nil {
		number = last
	}
	key := name + "\n" + strconv.Itoa(number)
	if tree, ok := s.trees.get(key); ok && s.content.disk.HasVersion(systemNames, name, number) {
		return &question{name: name, number: number, tree: tree}, nil
	}
	found, p := s.systemOf(name, version)
	if p != nil {
		return nil, p
	}
	tree, faults := document.Parse(found.body)
	if len(faults) > 0 {
		return nil, damagedContent.problem("PUT the system again.")
	}
	s.trees.put(name+"\n"+strconv.Itoa(found.number), tree)
	return &question{name: name, number: found.number, tree: tree}, nil
}

// answer simulates what a question asks, unless that is known. Its faults lie in
// the query where the query changes the value.
func (s *Service) answer(ctx context.Context, q *question) (*cell, *Problem) {
	changes, err := document.Encode(q.patch)
	if err != nil {
		panic("api: a patch of texts: " + err.Error())
	}
	key := q.name + "\n" + strconv.Itoa(q.number) + "\n" + string(changes)
	if known, ok := s.cells.get(key); ok {
		return known, nil
	}
	leave, p := s.cellSlots.take(ctx)
	if p != nil {
		return nil, p
	}
	defer leave()
	c, p := s.caseOf(q)
	if p != nil {
		return nil, p
	}
	out := &cell{version: q.number, hash: c.Hash, figures: s.figuresOf(c), weight: 1 + int64(len(key))/1024}
	s.cells.put(key, out)
	return out, nil
}

// caseOf prepares a question.
func (s *Service) caseOf(q *question) (*Case, *Problem) {
	cases := s.cases()
	c, faults := cases.Prepare(document.Merge(q.tree, q.patch), nil)
	if len(faults) == 0 {
		return c, nil
	}
	p := faultyInput.faults(faults)
	for i := range p.Faults {
		if changes(q.patch, p.Faults[i].Pointer) {
			p.Faults[i].asParameter()
		}
	}
	return nil, p
}

// figuresOf are the figures of a case, in the order of the answer. Those who ask
// for the same at the same time wait for one run.
func (s *Service) figuresOf(c *Case) []Figure {
	if known, ok := s.figures.get(c.Hash); ok {
		return known
	}
	list, _, _ := s.once.Do(c.Hash, func() (any, error) {
		if known, ok := s.figures.get(c.Hash); ok { // while this one waited for a processor
			return known, nil
		}
		var y *sim.Year
		if known, ok := s.answers.get(c.Hash); ok {
			y = known.year
		} else {
			y = s.lastPlans.compile(c).Run(false)
			s.metrics.runs.Add(1)
		}
		list := append(everyFigure(&y.Figures), moneyFigures(c, y)...)
		s.figures.put(c.Hash, list)
		return list, nil
	})
	return list.([]Figure)
}

// everyFigure lists the figures of a year, also those of causes that it does not
// have, so that a cell or a column is there whatever happened.
func everyFigure(f *sim.Figures) []Figure {
	whole := *f
	v := reflect.ValueOf(&whole).Elem()
	for i := range v.NumField() {
		keys := figureKeys[memberName(v.Type().Field(i))]
		if keys == nil {
			continue
		}
		filled := reflect.MakeMap(v.Field(i).Type())
		for _, key := range keys() {
			filled.SetMapIndex(reflect.ValueOf(key), reflect.Zero(v.Field(i).Type().Elem()))
		}
		for m := v.Field(i).MapRange(); m.Next(); {
			filled.SetMapIndex(m.Key(), m.Value())
		}
		v.Field(i).Set(filled)
	}
	return FiguresOf(&whole)
}

// moneyFigures are the numbers of the bill, under money and left out without
// prices. A cost of a kWh of which none is served is left out too.
func moneyFigures(c *Case, y *sim.Year) []Figure {
	bill, priced := &cost.Bill{}, c != nil && c.Prices != nil
	if priced {
		bill = cost.Of(c.Prices, &c.System, y)
	}
	var list []Figure
	v := reflect.ValueOf(bill).Elem()
	for i := range v.NumField() {
		tag := v.Type().Field(i).Tag
		f := Figure{Name: "money." + memberName(v.Type().Field(i)), Unit: bill.Currency, Doc: tag.Get("doc"), Value: 0., LeftOut: !priced}
		x := v.Field(i)
		if f.LeftOut = !priced || x.Kind() == reflect.Pointer && x.IsNil(); x.Kind() == reflect.Pointer && !x.IsNil() {
			x = x.Elem()
		}
		switch {
		case x.CanFloat():
			f.Value = x.Float()
		case x.CanInt():
			f.Value = float64(x.Int())
		case x.Kind() != reflect.Pointer:
			continue // words, and the list of parts
		}
		if unit := fault.UnitOf(memberName(v.Type().Field(i))); slices.Contains([]string{"annuity_factor", "discount_rate_fraction", "horizon_y", "served_kwh"}, memberName(v.Type().Field(i))) {
			f.Unit = unit
		}
		list = append(list, f)
	}
	return list
}

// figureKeys are the members that the figures of more than one number have.
var figureKeys = map[string]func() []string{
	"downtime_by_cause_h":    func() []string { return causeNames(sim.DowntimeCauses()) },
	"curtailed_by_cause_kwh": func() []string { return causeNames(sim.CurtailmentCauses()) },
	"trips_by_kind":          sim.TripKinds,
	"cell_h_by_window":       sim.CellWindows,

	"decisions_otherwise_by_kind": sim.Decisions,
}

func causeNames(causes []sim.Cause) []string {
	names := make([]string, len(causes))
	for i, c := range causes {
		names[i] = c.String()
	}
	return names
}

// find is a figure of a cell by its name.
func (c *cell) find(name string) (Figure, *Problem) {
	i := slices.IndexFunc(c.figures, func(f Figure) bool { return f.Name == name })
	if i < 0 {
		return Figure{}, noFigure(name, c.figures)
	}
	if f := c.figures[i]; !f.LeftOut {
		return f, nil
	}
	return Figure{}, notFound.problem("The answer leaves " + name + " out: it does not apply to this system. " + c.figures[i].Doc)
}

// noFigure is the problem of a name that no figure has.
func noFigure(name string, figures []Figure) *Problem {
	names := make([]string, len(figures))
	for i, f := range figures {
		names[i] = f.Name
	}
	message := "There is no figure " + strconv.Quote(name)
	if near := document.Nearest(name, names); near != "" {
		return notFound.problem(message + "; did you mean " + near + "?")
	}
	return notFound.problem(message + "; /docs#figures lists them.")
}

// mark tells which system and simulation an answer is of.
func (c *cell) mark(w http.ResponseWriter) {
	w.Header().Set(versionHeader, strconv.Itoa(c.version))
	w.Header().Set(hashHeader, c.hash)
}

// hashHeader tells the content hash of the simulation that a figure is of.
const hashHeader = "Simulation-Hash"
