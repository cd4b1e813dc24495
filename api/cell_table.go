package api

import (
	"bytes"
	"encoding/csv"
	"errors"
	"net/http"
	"net/url"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/gorilla/mux"
	"golang.org/x/sync/errgroup"

	"bankyear/api/document"
	"bankyear/api/media"
	"bankyear/sim"
	"bankyear/sim/fault"
	"bankyear/sim/study"
)

// tableParameter is what the query of a table says beside the values that it
// changes.
type tableParameter struct {
	Version *int     `json:"version,omitzero" query:"version" required:"false" minimum:"1" doc:"Number of a version of the system; the latest when left out."`
	Errors  string   `json:"errors" query:"errors" enum:"status,as_text" default:"status" doc:"As for one figure." basis:"the status of HTTP"`
	Vary    []string `json:"vary,omitzero" query:"vary" required:"false" maxItems:"8" doc:"A member and the values that it takes, such as bank.modules:2..10/2 or bank.operation:data_linked,voltage_only; may be given several times. There is a row for every combination, the last member changes fastest, at most 1000."`
	Figures string   `json:"figures,omitzero" query:"figures" required:"false" doc:"Names of figures, separated by commas; all of them when left out."`
}

// mostRows and mostVaried bound a table; more is a study.
const (
	mostRows   = 1000
	mostVaried = 8
)

// table is a query of a table, read.
type table struct {
	asked   *question
	columns []string
	plan    *study.Plan // nil without anything varied
}

// readTable reads the query of a table; all faults come at once.
func (s *Service) readTable(name string, query url.Values) (*table, *Problem) {
	var q tableParameter
	own, rest := split(query, q)
	vary := own["vary"]
	delete(own, "vary")
	faults := parameterFaults(own, &q)
	var x table
	columns, wrong := named("figures", q.Figures, figureNames())
	for _, f := range wrong {
		faults = append(faults, fault.Fault{Pointer: "/figures", Value: f.Value, Allowed: "a figure of /docs#figures", Message: nearFigure(f.Value.(string))})
	}
	x.columns = columns
	plan, more := planOf(vary)
	x.plan, faults = plan, append(faults, more...)
	var p *Problem
	if x.asked, p = s.ask(name, q.Version, rest, faults); p != nil {
		return nil, p
	}
	if faults := x.check(); len(faults) > 0 {
		return nil, badParameters(faults)
	}
	return &x, nil
}

func nearFigure(name string) string {
	if near := document.Nearest(name, figureNames()); near != "" {
		return "is not a figure; did you mean " + near + "?"
	}
	return "is not a figure"
}

// figureNames are the names of all figures.
func figureNames() []string {
	var names []string
	for _, f := range append(everyFigure(&sim.Figures{}), moneyFigures(nil, nil)...) {
		names = append(names, f.Name)
	}
	return names
}

// planOf makes the rows of what is varied.
func planOf(vary []string) (*study.Plan, fault.Faults) {
	if len(vary) == 0 {
		return nil, nil
	}
	if len(vary) > mostVaried {
		return nil, fault.Faults{{Pointer: "/vary", Value: len(vary), Allowed: "at most " + strconv.Itoa(mostVaried), Message: "is given too many times; a study takes more"}}
	}
	var faults fault.Faults
	var spec study.Spec
	sweep, none := document.Parse([]byte(`{"kind":"sweep"}`))
	_, more := document.Decode(sweep, &spec)
	if len(none)+len(more) > 0 {
		panic("api: a sweep: " + more.Error())
	}
	for _, text := range vary {
		axis, err := study.ParseAxis(text)
		var wrong fault.Faults
		errors.As(err, &wrong)
		for _, f := range wrong {
			f.Pointer, f.Message = "/vary", strconv.Quote(text)+" "+f.Message
			faults = append(faults, f)
		}
		spec.Axes = append(spec.Axes, axis)
	}
	if len(faults) > 0 {
		return nil, faults
	}
	plan, faults := spec.Plan()
	for i := range faults {
		faults[i].Pointer = "/vary"
	}
	if len(faults) == 0 && plan.Runs() > mostRows {
		faults = fault.Faults{{Pointer: "/vary", Value: plan.Runs(), Allowed: "at most " + strconv.Itoa(mostRows), Unit: "rows", Message: "makes too many rows; a study takes more"}}
	}
	return plan, faults
}

// check holds every value that is varied against the type of its member.
func (x *table) check() (faults fault.Faults) {
	if x.plan == nil {
		return nil
	}
	seen := map[string]bool{}
	for i := range x.plan.Runs() {
		for _, a := range x.plan.Candidate(i) {
			key := a.Path + "\n" + a.Value.String()
			if seen[key] {
				continue
			}
			seen[key] = true
			_, wrong := document.SetText(nil, requestType, a.Path, a.Value.String())
			if changes(x.asked.patch, fault.New().At(strings.Split(a.Path, ".")...).Pointer()) && !isBase(x.asked.patch) {
				wrong = fault.Faults{{Message: "is also given as a parameter of its own"}}
			}
			for _, f := range wrong {
				f.Pointer, f.Message = "/vary", a.Path+" "+f.Message
				if !slices.ContainsFunc(faults, func(g fault.Fault) bool { return reflect.DeepEqual(f, g) }) {
					faults = append(faults, f)
				}
			}
		}
	}
	return condense(faults)
}

// rows are the questions of the rows, and what each varies.
func (x *table) rows() (list []*question, values [][]string) {
	if x.plan == nil {
		return []*question{x.asked}, [][]string{nil}
	}
	for i := range x.plan.Runs() {
		row, patch := []string{}, x.asked.patch
		for _, a := range x.plan.Candidate(i) {
			patch, _ = document.SetText(patch, requestType, a.Path, a.Value.String()) // check has read it
			row = append(row, a.Value.String())
		}
		q := *x.asked
		q.patch = patch
		list, values = append(list, &q), append(values, row)
	}
	return list, values
}

// getTable answers figures of a stored system, a row for every combination of
// what is varied. A combination that does not go together has its fault in a
// last column.
func (s *Service) getTable(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	if p := only(r, media.CSV); p != nil {
		return nil, p
	}
	x, p := s.readTable(mux.Vars(r)["name"], r.URL.Query())
	if p != nil {
		return nil, p
	}
	asked, values := x.rows()
	cells, problems := make([]*cell, len(asked)), make([]*Problem, len(asked))
	var all errgroup.Group
	all.SetLimit(cap(s.cellSlots.running)) // so that no table takes every place to wait
	for i, q := range asked {
		all.Go(func() error {
			cells[i], problems[i] = s.answer(r.Context(), q)
			return nil
		})
	}
	_ = all.Wait()
	first := slices.IndexFunc(cells, func(c *cell) bool { return c != nil })
	for _, p := range problems {
		if p != nil && (p.Status != http.StatusUnprocessableEntity || first < 0) {
			return nil, p
		}
	}
	if x.columns == nil {
		for _, f := range cells[first].figures {
			x.columns = append(x.columns, f.Name)
		}
	}
	w.Header().Set(versionHeader, strconv.Itoa(x.asked.number))
	return &reply{mediaType: media.CSV, body: writeCSV(x.lines(values, cells, problems)), filename: mux.Vars(r)["name"] + "-table.csv"}, nil
}

// lines are the table as text.
func (x *table) lines(values [][]string, cells []*cell, problems []*Problem) [][]string {
	faulty := slices.ContainsFunc(problems, func(p *Problem) bool { return p != nil })
	head := []string{}
	if x.plan != nil {
		head = append(head, x.plan.Paths()...)
	}
	head = append(head, x.columns...)
	if faulty {
		head = append(head, "error")
	}
	lines := [][]string{head}
	for i, line := range values {
		if cells[i] == nil {
			line = append(append(line, make([]string, len(x.columns))...), problems[i].line())
			lines = append(lines, line)
			continue
		}
		by := map[string]Figure{}
		for _, f := range cells[i].figures {
			by[f.Name] = f
		}
		for _, name := range x.columns {
			text := ""
			if f := by[name]; f.Value != nil && !f.LeftOut {
				text = number(f.Value)
			}
			line = append(line, text)
		}
		if faulty {
			line = append(line, "")
		}
		lines = append(lines, line)
	}
	return lines
}

// writeCSV writes lines with commas, ended with CRLF (RFC 4180).
func writeCSV(lines [][]string) []byte {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.UseCRLF = true
	if err := w.WriteAll(lines); err != nil {
		panic("api: csv: " + err.Error()) // a buffer takes everything
	}
	return out.Bytes()
}
