package api

import (
	"encoding/json"
	"time"

	"bankyear/sim/queue"
	"bankyear/sim/study"
)

// StudyAnswer is a study as it stands.
type StudyAnswer struct {
	ID         string        `json:"id" doc:"Content id: made of all that the answer depends on. The same study has the same id, and is not computed again."`
	Name       string        `json:"name,omitzero" required:"false" doc:"Name given in the request that submitted it first."`
	Kind       string        `json:"kind" enum:"sweep,sizing,ensemble,ranking" doc:"What it asks."`
	Engine     string        `json:"engine" doc:"What computes it: version of the engine, processor architecture and its level, and the figures that it knows."`
	State      string        `json:"state" enum:"checked,submitting,queued,running,done,cancelled" doc:"checked: only checked, with start=false. submitting: being taken down. queued: no run is done yet. cancelled: no further runs; those that are done can be read."`
	Progress   StudyProgress `json:"progress" doc:"How far it is."`
	Candidates int           `json:"candidates" doc:"Systems."`
	Members    int           `json:"members" doc:"Years that each of them meets: weather years × draws of chance."`
	Estimate   *Estimate     `json:"estimate,omitzero" required:"false" doc:"What it was estimated to take; in the answer to its submission."`
	Created    string        `json:"created_at,omitzero" required:"false" doc:"When it was submitted, UTC."`
	Finished   string        `json:"finished_at,omitzero" required:"false" doc:"When it was done or cancelled, UTC."`
	Expires    string        `json:"expires_at,omitzero" required:"false" doc:"When it will be deleted, UTC."`
	Columns    []StudyColumn `json:"columns,omitzero" required:"false" doc:"Columns of the table of runs; not in lists."`
	Summary    *RunsSummary  `json:"summary,omitzero" required:"false" doc:"What its runs say so far; not in lists."`
	Cautions   []string      `json:"cautions,omitzero" required:"false" doc:"What a simulation does not settle; not in lists."`
}

// StudyProgress is how far a study is; server-sent events carry it too.
type StudyProgress struct {
	State      string   `json:"state" enum:"checked,submitting,queued,running,done,cancelled" doc:"As that of the study."`
	Runs       int      `json:"runs" doc:"Years to be simulated in all."`
	Done       int      `json:"done" doc:"Of these, done."`
	Failed     int      `json:"failed" doc:"Of the done ones, given up with an error of the service; their rows say why."`
	RatePerS   *float64 `json:"rate_per_s,omitzero" required:"false" doc:"Runs a second of late; left out when it is not running."`
	RemainingS *float64 `json:"remaining_s,omitzero" required:"false" doc:"Time left at that rate; left out likewise."`
}

// StudyColumn is a column of the table of runs.
type StudyColumn struct {
	Name string `json:"name" doc:"Its name: of an axis, the dotted path; of a figure, as in an answer."`
	Unit string `json:"unit,omitzero" required:"false" doc:"Its unit."`
	Doc  string `json:"doc" doc:"What it is."`
}

// StudyList is the studies that there are.
type StudyList struct {
	Studies []StudyAnswer `json:"studies" doc:"Studies, the latest first, without columns, summary and cautions."`
	Next    string        `json:"next,omitzero" required:"false" doc:"Where the next list begins: give it as after. Left out when this is all."`
}

// studyLabel is what the queue keeps with a study for lists.
type studyLabel struct {
	Name       string `json:"name,omitempty"`
	Kind       string `json:"kind"`
	Candidates int    `json:"candidates"`
	Members    int    `json:"members"`
}

func labelOf(s *Study) string {
	text, err := json.Marshal(studyLabel{s.Name, s.request.Kind, s.Plan.Candidates(), s.Plan.Members()})
	if err != nil {
		panic("api: label of a study: " + err.Error())
	}
	return string(text)
}

// answerOf tells the state of a study. keep is how long it stays once it is over.
func answerOf(s *queue.Status, keep time.Duration) StudyAnswer {
	var l studyLabel
	_ = json.Unmarshal([]byte(s.Label), &l) // written by labelOf
	a := StudyAnswer{ID: s.ID, Name: l.Name, Kind: l.Kind, Engine: s.Engine, State: string(s.State), Progress: progressOf(s),
		Candidates: l.Candidates, Members: l.Members, Created: storedAt(s.Created)}
	if s.Final() {
		a.Finished = storedAt(s.Finished)
		if keep > 0 {
			a.Expires = storedAt(s.Finished.Add(keep))
		}
	}
	return a
}

func progressOf(s *queue.Status) StudyProgress {
	p := StudyProgress{State: string(s.State), Runs: s.Runs, Done: s.Done, Failed: s.Failed}
	if s.RatePerS > 0 {
		rate, left := sixDigits(s.RatePerS), sixDigits(s.Remaining.Seconds())
		p.RatePerS, p.RemainingS = &rate, &left
	}
	return p
}

func (a *StudyAnswer) describe(s *Study) {
	for _, c := range s.Columns() {
		a.Columns = append(a.Columns, StudyColumn{c.Name, c.Unit, c.Doc})
	}
	a.Cautions = Cautions
}

// RunsSummary is what the runs of a study say so far.
type RunsSummary struct {
	Runs       int                 `json:"runs" doc:"Runs behind it."`
	Faulty     int                 `json:"faulty_runs" doc:"Of these, runs that could not be simulated: the column fault of the table says why."`
	Figures    []FigureExtremes    `json:"figures" doc:"Lowest, highest and mean of the figures asked for, over all runs."`
	Candidates []CandidateYears    `json:"candidates,omitzero" required:"false" doc:"Percentiles over the members of each candidate, where there are several members: of the first 64 candidates."`
	Sizing     *study.SizingAnswer `json:"sizing,omitzero" required:"false" doc:"Of a sizing: the frontier of what meets the limits, and the border around it."`
	Ranking    []FigureRanking     `json:"ranking,omitzero" required:"false" doc:"Of a ranking that is done: what each figure depends on most."`
	Notes      []string            `json:"notes" doc:"How to read it."`
}

// FigureExtremes is where a figure is lowest and highest.
type FigureExtremes struct {
	Figure     string  `json:"figure" doc:"Name of the figure."`
	Unit       string  `json:"unit,omitzero" required:"false" doc:"Its unit."`
	Lowest     float64 `json:"lowest" doc:"Lowest value."`
	LowestRun  int     `json:"lowest_run" doc:"Run that has it, the first of equals."`
	Highest    float64 `json:"highest" doc:"Highest value."`
	HighestRun int     `json:"highest_run" doc:"Run that has it, the first of equals."`
	Mean       float64 `json:"mean" doc:"Mean of all runs."`
}

// CandidateYears is a candidate over its members.
type CandidateYears struct {
	Candidate int            `json:"candidate" doc:"Number of the candidate."`
	Values    []any          `json:"values" doc:"Its values, one an axis, as the request has them: numbers as numbers."`
	Figures   []FigureSpread `json:"figures" doc:"The figures asked for."`
	DarkFree  string         `json:"dark_free" doc:"In how many of its years there is no dark hour, in words."`
}

// FigureSpread is a figure over the members of a candidate.
type FigureSpread struct {
	Figure string `json:"figure" doc:"Name of the figure."`
	Unit   string `json:"unit,omitzero" required:"false" doc:"Its unit."`
	Words  string `json:"words" doc:"The figure as a quote should say it, without false decimals: the median, and what eight members of ten lie in."`
	study.Summary
}

// FigureRanking is what a figure depends on.
type FigureRanking struct {
	Figure        string              `json:"figure" doc:"Name of the figure; the mean over the members."`
	Unit          string              `json:"unit,omitzero" required:"false" doc:"Its unit."`
	Swings        []study.Swing       `json:"one_at_a_time" doc:"How far the figure moves when one axis alone goes through its values, the widest first."`
	Sensitivities []study.Sensitivity `json:"variance,omitzero" required:"false" doc:"Shares in the variance (Sobol indices), the largest total first; with samples."`
}
