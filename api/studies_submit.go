package api

import (
	"context"
	"errors"
	"net/http"
	"time"

	"bankyear/api/media"
	"bankyear/api/tabular"
	"bankyear/sim/queue"
)

// postStudy checks a study and submits it.
func (s *Service) postStudy(w http.ResponseWriter, r *http.Request) (out *reply, p *Problem) {
	var q submitParameter
	if p := readParameters(r.URL.Query(), &q); p != nil {
		return nil, p
	}
	if p := only(r, media.JSON); p != nil {
		return nil, p
	}
	if p := s.noStudies(); p != nil {
		return nil, p
	}
	raw, free, p := s.readBody(w, r)
	if p != nil {
		return nil, p
	}
	defer free()
	known, end, p := s.desk().keys.begin(field(r, "Idempotency-Key"), raw)
	if p != nil {
		return nil, p
	}
	id := ""
	defer func() {
		if err := end(id); err != nil {
			s.log.Error("studies", "error", err)
		}
	}()
	if known != "" && q.Start {
		if status, err := s.desk().queue.Status(known); err == nil && status.State != queue.Cancelled {
			id = known
			return told(answerOf(&status, s.desk().cfg.Keep)), nil
		}
	}
	leave, p := s.slots.take(r.Context())
	if p != nil {
		return nil, p
	}
	defer leave()
	a, fresh, p := s.submit(r.Context(), raw, q.Start)
	if p != nil {
		return nil, p
	}
	if q.Start {
		id = a.ID
	}
	out = told(a)
	if fresh {
		out.created = "/v1/studies/" + a.ID
	}
	return out, nil
}

// submit checks a study and, if it is to start, submits it. fresh is false for one
// that is there already.
func (s *Service) submit(ctx context.Context, raw []byte, start bool) (a *StudyAnswer, fresh bool, p *Problem) {
	x, faults, isJSON := readStudy(raw)
	if p := refused(faults, isJSON); p != nil {
		return nil, false, p
	}
	newLane := func() *lane { return newLane(x, *s.cases()) }
	if p := refused(x.check(ctx, newLane), true); p != nil {
		return nil, false, p
	}
	if ctx.Err() != nil {
		return nil, false, gone()
	}
	a, fresh, err := s.desk().submit(ctx, x, newLane(), s.pieces(), start)
	if err != nil {
		return nil, false, s.studyProblem(err)
	}
	return a, fresh, nil
}

// pieces is what is stored here, nil when nothing is.
func (s *Service) pieces() pieces {
	if s.content == nil {
		return nil
	}
	return s.content.pieces
}

// submit puts a study that passed its checks into the queue, unless it is there.
func (d *Studies) submit(ctx context.Context, x *Study, l *lane, from pieces, start bool) (*StudyAnswer, bool, error) {
	bundle, err := x.bundle(from)
	if err != nil {
		return nil, false, err
	}
	id := studyID(bundle)
	if status, err := d.queue.Status(id); err == nil && (status.State != queue.Cancelled || !start) {
		a := answerOf(&status, d.cfg.Keep)
		return &a, false, nil
	}
	estimate := x.estimate(l, d.cfg.Workers)
	if !start {
		return &StudyAnswer{ID: id, Name: x.Name, Kind: x.request.Kind, Engine: StudyEngine(), State: stateChecked,
			Progress:   StudyProgress{State: stateChecked, Runs: estimate.Runs},
			Candidates: estimate.Candidates, Members: estimate.Members, Estimate: &estimate}, false, nil
	}
	if _, err := d.queue.Status(id); err == nil { // cancelled, and wanted again
		if err := d.remove(ctx, id); err != nil && !errors.Is(err, queue.ErrUnknown) {
			return nil, false, err
		}
	}
	run := time.Duration(estimate.RunS * float64(time.Second))
	status, err := d.queue.Submit(ctx, queue.Submission{ID: id, Label: labelOf(x), Input: bundle,
		Runs: estimate.Runs, ChunkRuns: min(queue.ChunkRuns(estimate.Runs, run), x.mostChunkRuns()), RunBytes: x.runBytes()})
	if errors.Is(err, queue.ErrDiffers) { // somebody submitted it at the same time, with other chunks
		status, err = d.queue.Status(id)
	}
	if err != nil {
		return nil, false, err
	}
	d.mind(id)
	a := answerOf(&status, d.cfg.Keep)
	a.Estimate = &estimate
	return &a, true, nil
}

// stateChecked is the state of a study that was not started.
const stateChecked = "checked"

// runBytes is about what the result of a run takes; mostChunkRuns how many of them
// fit into a part, however badly they compress.
func (s *Study) runBytes() int { return 4*len(s.computed()) + 64 }

func (s *Study) mostChunkRuns() int {
	worst := 64 + mostFaultBytes/4
	for _, c := range s.computed() {
		worst += 8
		if c.Kind == tabular.Text {
			worst += 16
		}
	}
	return queue.MostPartBytes / worst
}
