package api

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/gorilla/mux"

	"bankyear/api/media"
	"bankyear/api/tabular"
	"bankyear/sim/queue"
)

// getStudyRuns streams the table of runs.
func (s *Service) getStudyRuns(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	var q runsParameter
	if p := readParameters(r.URL.Query(), &q); p != nil {
		return nil, p
	}
	offers := []string{media.Parquet, media.Lines, media.CSV, parquetAlias, linesAlias}
	mediaType, ok := media.Choose(field(r, "Accept"), offers...)
	if !ok && q.Partition == "" {
		return nil, notAcceptable.problem("Accept " + strconv.Quote(field(r, "Accept")) + " leaves none of " + strings.Join(offers, ", ") + ".")
	}
	status, x, p := s.askedStudy(r)
	if p != nil {
		return nil, p
	}
	columns, p := x.chosen(q.Columns)
	if p != nil {
		return nil, p
	}
	if q.Partition != "" {
		return s.runsPartitioned(r, q.Partition, x, status.ID, columns)
	}
	out := &reply{mediaType: mediaType, filename: status.ID + map[string]string{media.CSV: ".csv", media.Lines: ".jsonl", linesAlias: ".jsonl"}[mediaType]}
	if coded(mediaType) {
		out.filename += ".parquet"
	}
	out.stream = func(to *streamed) error {
		w := NewRunsWriter(to, mediaType, columns, x.Metadata(status.ID))
		for b, err := range s.desk().blocks(r.Context(), status.ID, x, columns, 0) {
			if err != nil {
				return err
			}
			if err := w.Write(b); err != nil {
				return err
			}
		}
		return w.Close()
	}
	return out, nil
}

// RunsWriter writes a table of runs.
type RunsWriter interface {
	Write(*tabular.Block) error
	Close() error
}

// NewRunsWriter writes a table in a media type.
func NewRunsWriter(w io.Writer, mediaType string, columns []tabular.Column, metadata map[string]string) RunsWriter {
	switch mediaType {
	case media.CSV:
		return tabular.NewCSV(w, columns)
	case media.Lines, linesAlias:
		return tabular.NewLines(w)
	}
	return tabular.NewParquet(w, columns, metadata)
}

// chosen are the columns that a list names, all for an empty one.
func (s *Study) chosen(list string) ([]tabular.Column, *Problem) {
	all := s.Columns()
	if list == "" {
		return all, nil
	}
	var known []string
	for _, c := range all {
		known = append(known, c.Name)
	}
	names, faults := named("columns", list, known)
	if p := parameterProblem(faults); p != nil {
		return nil, p
	}
	var columns []tabular.Column
	for _, name := range names {
		if tabular.Find(columns, name) < 0 {
			columns = append(columns, all[tabular.Find(all, name)])
		}
	}
	return columns, nil
}

// heartbeat is how long a stream of events is silent at most.
const heartbeat = 15 * time.Second

// quietest is how fast events follow each other at most.
const quietest = 200 * time.Millisecond

// getStudyEvents streams how far a study is.
func (s *Service) getStudyEvents(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	if p := readParameters(r.URL.Query(), &struct{}{}); p != nil {
		return nil, p
	}
	if p := only(r, media.Events); p != nil {
		return nil, p
	}
	if p := s.noStudies(); p != nil {
		return nil, p
	}
	id := mux.Vars(r)["id"]
	status, err := s.desk().queue.Status(id)
	if err != nil {
		return nil, s.studyProblem(err)
	}
	last := field(r, "Last-Event-ID")
	if status.Final() && last == eventID(&status) {
		return &reply{status: http.StatusNoContent}, nil // a browser stops asking
	}
	return &reply{mediaType: media.Events, keep: "no-store", stream: func(to *streamed) error { return s.events(to, r, id, last) }}, nil
}

// eventID names what an event tells.
func eventID(s *queue.Status) string { return fmt.Sprintf("%d-%s", s.Done, s.State) }

// events writes events until the study is over, the client goes or the service
// closes.
func (s *Service) events(to *streamed, r *http.Request, id, last string) error {
	states, ended := make(chan queue.Status), make(chan struct{})
	go func() {
		defer close(ended)
		for state, err := range s.desk().queue.Watch(r.Context(), id) {
			if err != nil {
				return // deleted, or nobody listens
			}
			select {
			case states <- state:
			case <-r.Context().Done():
				return
			}
			if !state.Final() {
				time.Sleep(quietest)
			}
		}
	}()
	if _, err := io.WriteString(to, "retry: 2000\n\n"); err != nil {
		return err
	}
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	for {
		if err := to.Flush(); err != nil {
			return err
		}
		var text string
		select {
		case <-ended:
			return nil
		case <-s.ending:
			return nil
		case <-beat.C:
			text = ": still here\n\n"
		case state := <-states:
			now := eventID(&state)
			if now == last {
				continue
			}
			last = now
			data, err := json.Marshal(progressOf(&state))
			if err != nil {
				return err
			}
			text = "event: progress\nid: " + now + "\ndata: " + string(data) + "\n\n"
		}
		if _, err := io.WriteString(to, text); err != nil {
			return err
		}
	}
}
