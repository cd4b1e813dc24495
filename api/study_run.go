package api

import (
	"bytes"
	"context"
	"encoding/json"
	"net/http"
	"strconv"

	"github.com/gorilla/mux"

	"bankyear/api/document"
	"bankyear/api/media"
	"bankyear/api/tabular"
	"bankyear/sim/fault"
	"bankyear/sim/study"
)

// StudyRun is one run of a study, opened.
type StudyRun struct {
	Study       string          `json:"study" doc:"Id of the study."`
	Run         int             `json:"run" doc:"Number of the run, from 0."`
	Candidate   int             `json:"candidate" doc:"Number of the candidate: what is built."`
	Member      int             `json:"member" doc:"Number of the member: what happens."`
	Assignments []RunAssignment `json:"assignments" doc:"What the run sets in the base: its axes, its weather year and what is left to chance."`
	Request     json.RawMessage `json:"request" is:"request" doc:"The request that the run is: the base with the assignments made. POST /v1/simulations takes it as it stands, and answers the hash and the figures of the run."`
	Row         json.RawMessage `json:"row,omitzero" required:"false" doc:"The run's row in the table of runs, each column under its name and without columns that have no value; left out until the run is done."`
}

// RunAssignment is a member of the base that a run sets.
type RunAssignment struct {
	Path  string          `json:"path" doc:"Dotted path of the member."`
	Value json.RawMessage `json:"value" doc:"Its value, as the request has it: a number, a text, true, false, null, a list or an object."`
}

// ReadStudy takes the JSON of a study whose runs are to be looked at, not computed: whether
// each of them can be simulated is not checked.
func ReadStudy(raw []byte) (*Study, fault.Faults) {
	s, faults, _ := readStudy(raw)
	if len(faults) == 0 {
		faults = s.unread
	}
	if len(faults) > 0 {
		return nil, faults
	}
	return s, nil
}

// Document is the request of a run as canonical JSON, ready to be simulated. It panics for a
// run that the study has not.
func (s *Study) Document(run int) []byte { return encoded(s.Request(run)) }

// written is the value of an assignment as the request has it.
func (s *Study) written(a study.Assignment) any { return encoded(s.node(a)) }

// encoded is what was read from a study as canonical JSON.
func encoded(n *document.Node) json.RawMessage {
	out, err := document.Encode(n)
	if err != nil {
		panic("api: a part of a study that was read: " + err.Error())
	}
	return out
}

// open tells a run, without its row.
func (s *Study) open(id string, run int) *StudyRun {
	r := s.Plan.Run(run)
	out := &StudyRun{Study: id, Run: run, Candidate: r.Candidate, Member: r.Member, Assignments: []RunAssignment{}, Request: s.Document(run)}
	for _, a := range r.Assignments {
		out.Assignments = append(out.Assignments, RunAssignment{a.Path, encoded(s.node(a))})
	}
	return out
}

// getStudyRun opens one run.
func (s *Service) getStudyRun(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	if p := readParameters(r.URL.Query(), &struct{}{}); p != nil {
		return nil, p
	}
	if p := only(r, media.JSON); p != nil {
		return nil, p
	}
	status, x, p := s.askedStudy(r)
	if p != nil {
		return nil, p
	}
	run, err := strconv.Atoi(mux.Vars(r)["run"])
	if last := x.Plan.Runs() - 1; err != nil || run < 0 || run > last {
		return nil, notFound.problem("The study has the runs 0 to " + itoa(last) + ".")
	}
	out := x.open(status.ID, run)
	if out.Row, err = s.desk().row(r.Context(), status.ID, x, run); err != nil {
		return nil, s.studyProblem(err)
	}
	return told(out), nil
}

// row is the row of a run as JSON, nil until it is done.
func (d *Studies) row(ctx context.Context, id string, s *Study, run int) (json.RawMessage, error) {
	for b, err := range d.blocks(ctx, id, s, s.Columns(), run) {
		if err != nil {
			return nil, err
		}
		var out bytes.Buffer
		err := tabular.NewLines(&out).Write(b.Pick([]int{0}))
		return out.Bytes(), err
	}
	return nil, nil
}
