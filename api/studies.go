package api

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"net/http"
	"strings"
	"time"

	"github.com/gorilla/mux"

	"bankyear/api/media"
	"bankyear/api/tabular"
	"bankyear/sim/queue"
)

// studyOperations are those of studies.
func (s *Service) studyOperations() []operation {
	id := map[string]string{"id": "Content id of a study (s-…)."}
	submitting := append([]kindOfProblem{keyInFlight, keyReused, studiesFull, noStudies}, posting...)
	getting := append([]kindOfProblem{noStudies}, reading...)
	one := map[string]any{media.JSON: StudyAnswer{}}
	return []operation{
		{method: http.MethodPost, path: "/v1/studies", id: "submitStudy", summary: "Run many years: a sweep, a sizing, an ensemble or a ranking",
			description: "The whole study is checked before it starts; the answer says how many runs it has and about how long it will take. It runs on its own: follow it by its events. The same study again has the same id, and nothing of it is computed again.",
			query:       submitParameter{}, headers: map[string]string{"Idempotency-Key": "The same request with the same key is answered as the first was; another request with it is refused."},
			body: StudyRequest{}, answers: one, creates: true, problems: submitting, handle: s.postStudy},
		{method: http.MethodGet, path: "/v1/studies", id: "listStudies", summary: "Studies that there are, the latest first",
			query: listParameter{}, answers: map[string]any{media.JSON: StudyList{}}, problems: getting, handle: s.getStudies},
		{method: http.MethodGet, path: "/v1/studies/{id}", id: "study", summary: "A study as it stands, with what its runs say so far",
			pathValues: id, query: summaryParameter{}, answers: one, problems: append([]kindOfProblem{busy}, getting...), handle: s.getStudy},
		{method: http.MethodGet, path: "/v1/studies/{id}/events", id: "studyEvents", summary: "How far a study is, as server-sent events",
			description: "An event progress, whose data is a StudyProgress, now and after every change, until the study is over; then the stream ends, and 204 answers whoever comes back with the last id.",
			pathValues:  id, headers: map[string]string{"Last-Event-ID": "Id of the last event that was seen."},
			answers: map[string]any{media.Events: nil}, streams: true, problems: getting, handle: s.getStudyEvents},
		{method: http.MethodGet, path: "/v1/studies/{id}/runs", id: "studyRuns", summary: "The table of runs: one column for each axis and each figure",
			description: "In the order of runs, also while the study is running: then as far as it is.",
			pathValues:  id, query: runsParameter{}, answers: map[string]any{media.Parquet: nil, media.Lines: nil, media.CSV: nil, parquetAlias: nil, linesAlias: nil, media.Zip: nil}, streams: true, problems: getting, handle: s.getStudyRuns},
		{method: http.MethodGet, path: "/v1/studies/{id}/runs/{run}", id: "studyRun", summary: "One run opened: the request that it is, and its row",
			description: "The request is whole, and is simulated as it stands by POST /v1/simulations while the weather and the load that it names by id are stored.",
			pathValues:  map[string]string{"id": id["id"], "run": "Number of the run, from 0."}, answers: map[string]any{media.JSON: StudyRun{}}, problems: getting, handle: s.getStudyRun},
		{method: http.MethodPost, path: "/v1/studies/{id}/cancel", id: "cancelStudy", summary: "Stop a study; what is done can still be read",
			pathValues: id, answers: one, problems: getting, handle: s.cancelStudy},
		{method: http.MethodDelete, path: "/v1/studies/{id}", id: "deleteStudy", summary: "Stop a study if need be, and remove it with its runs",
			pathValues: id, removes: true, problems: []kindOfProblem{badParameter, noStudies}, handle: s.deleteStudy},
	}
}

// submitParameter is the query of a submission.
type submitParameter struct {
	Start bool `json:"start" query:"start" default:"true" doc:"false: only check the study, and say how many runs it has and how long they will take."`
}

// summaryParameter is the query of a study.
type summaryParameter struct {
	Figures string `json:"figures,omitzero" query:"figures" required:"false" doc:"Figures that the summary tells, separated by commas, at most 24; the usual ones and the numbers among the further ones when left out."`
}

// runsParameter is the query of a table of runs.
type runsParameter struct {
	Columns   string `json:"columns,omitzero" query:"columns" required:"false" doc:"Columns of the table, separated by commas; all of them when left out."`
	Partition string `json:"partition,omitzero" query:"partition" required:"false" doc:"Path of an axis with at most 256 values: the answer is then a ZIP of Parquet files, one for each value, such as bank.modules=2/runs.parquet. The axis is no column of them."`
}

// linesAlias is a name under which some clients ask for JSON lines.
const linesAlias = "application/jsonl"

// studyProblem is the problem of an error of the queue.
func (s *Service) studyProblem(err error) *Problem {
	var full *queue.FullError
	switch {
	case errors.Is(err, queue.ErrUnknown):
		return notFound.problem("No study has this id; it may have been deleted, or was too old.")
	case errors.As(err, &full):
		return studiesFull.problem("There is no room for more "+full.Bound+".").with("Retry-After", itoa(int(full.RetryAfter/time.Second)))
	case errors.Is(err, context.Canceled):
		return gone()
	}
	s.log.Error("studies", "error", err)
	if s.desk().queue.Ready() != nil {
		return noStudies.problem("The queue cannot be reached.").with("Retry-After", "5")
	}
	return internal.problem("The log of the service says more.")
}

func (s *Service) noStudies() *Problem {
	switch {
	case s.desk() != nil:
		return nil
	case s.config.StudiesFollow:
		return noStudies.problem("The servers that keep the studies have not been reached yet.").with("Retry-After", "5")
	}
	return noStudies.problem("")
}

// getStudies lists studies.
func (s *Service) getStudies(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	var q listParameter
	if p := readParameters(r.URL.Query(), &q); p != nil {
		return nil, p
	}
	if p := only(r, media.JSON); p != nil {
		return nil, p
	}
	if p := s.noStudies(); p != nil {
		return nil, p
	}
	out := StudyList{Studies: []StudyAnswer{}}
	all := s.desk().queue.List()
	passed := q.After == ""
	for i := len(all) - 1; i >= 0; i-- {
		if !passed {
			passed = all[i].ID == q.After
			continue
		}
		if len(out.Studies) == q.Limit {
			out.Next = out.Studies[q.Limit-1].ID
			break
		}
		out.Studies = append(out.Studies, answerOf(&all[i], s.desk().cfg.Keep))
	}
	return told(out), nil
}

// asked finds the study that a path names.
func (s *Service) askedStudy(r *http.Request) (*queue.Status, *Study, *Problem) {
	if p := s.noStudies(); p != nil {
		return nil, nil, p
	}
	status, err := s.desk().queue.Status(mux.Vars(r)["id"])
	if err != nil {
		return nil, nil, s.studyProblem(err)
	}
	x, err := s.desk().study(r.Context(), status.ID)
	if err != nil {
		return nil, nil, s.studyProblem(err)
	}
	return &status, x, nil
}

// getStudy tells a study.
func (s *Service) getStudy(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	var q summaryParameter
	if p := readParameters(r.URL.Query(), &q); p != nil {
		return nil, p
	}
	if p := only(r, media.JSON); p != nil {
		return nil, p
	}
	status, x, p := s.askedStudy(r)
	if p != nil {
		return nil, p
	}
	figures, p := x.summaryFigures(q.Figures)
	if p != nil {
		return nil, p
	}
	leave, p := s.slots.take(r.Context())
	if p != nil {
		return nil, p
	}
	defer leave()
	a := answerOf(status, s.desk().cfg.Keep)
	a.describe(x)
	var err error
	if a.Summary, err = s.desk().summary(r.Context(), status, x, figures); err != nil {
		return nil, s.studyProblem(err)
	}
	return told(a), nil
}

func (s *Study) summaryFigures(list string) ([]string, *Problem) {
	if list == "" {
		return s.usual(), nil
	}
	known, _ := s.numbers()
	names, faults := named("figures", list, known)
	if len(names) > mostSummaryFigures {
		faults = append(faults, Fault{Parameter: "figures", Value: len(names), Allowed: fmt.Sprintf("at most %d", mostSummaryFigures), Unit: "items", Message: "asks for too many figures"})
	}
	return names, parameterProblem(faults)
}

// parameterProblem is the problem of faults in parameters, nil when there are none.
func parameterProblem(faults []Fault) *Problem {
	if len(faults) == 0 {
		return nil
	}
	p := badParameter.problem(count(len(faults), "fault") + ", each with its parameter, value and what is allowed.")
	p.Faults = faults
	return p
}

// toldSummary is a summary as it was told last.
type toldSummary struct {
	done    int
	state   queue.State
	summary *RunsSummary
	at      time.Time
	took    time.Duration
}

// summary is what a study says about some figures. While it runs, one is told again
// as long as making another would take most of the time.
func (d *Studies) summary(ctx context.Context, status *queue.Status, x *Study, figures []string) (*RunsSummary, error) {
	key := status.ID + "\n" + strings.Join(figures, ",")
	fresh := func() *RunsSummary {
		t, ok := d.told.get(key)
		if ok && (t.done == status.Done && t.state == status.State || !status.Final() && time.Since(t.at) < 10*t.took) {
			return t.summary
		}
		return nil
	}
	if s := fresh(); s != nil {
		return s, nil
	}
	d.summing.Lock() // one at a time: each holds some megabytes
	defer d.summing.Unlock()
	if s := fresh(); s != nil {
		return s, nil
	}
	begin := time.Now()
	s, err := x.summary(figures, status.State == queue.Done, func(columns []tabular.Column) iter.Seq2[*tabular.Block, error] {
		return d.blocks(ctx, status.ID, x, columns, 0)
	})
	if err != nil {
		return nil, err
	}
	d.told.put(key, &toldSummary{status.Done, status.State, s, begin, time.Since(begin)})
	return s, nil
}

// cancelStudy stops a study.
func (s *Service) cancelStudy(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	if p := readParameters(r.URL.Query(), &struct{}{}); p != nil {
		return nil, p
	}
	if p := only(r, media.JSON); p != nil {
		return nil, p
	}
	if p := s.noStudies(); p != nil {
		return nil, p
	}
	status, err := s.desk().queue.Cancel(r.Context(), mux.Vars(r)["id"])
	if err != nil {
		return nil, s.studyProblem(err)
	}
	return told(answerOf(&status, s.desk().cfg.Keep)), nil
}

// deleteStudy removes a study.
func (s *Service) deleteStudy(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	if p := readParameters(r.URL.Query(), &struct{}{}); p != nil {
		return nil, p
	}
	if p := s.noStudies(); p != nil {
		return nil, p
	}
	if err := s.desk().remove(r.Context(), mux.Vars(r)["id"]); err != nil {
		return nil, s.studyProblem(err)
	}
	return &reply{status: http.StatusNoContent}, nil
}
