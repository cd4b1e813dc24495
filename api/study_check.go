package api

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"bankyear/api/document"
	"bankyear/sim/fault"
	"bankyear/sim/study"
)

// mostChecked is how many runs are taken through all checks before a study starts:
// every candidate with the first member, and every member with the first
// candidate, unless there are more; then those are spread evenly. What is found
// wrong with a run later stands in its row.
const mostChecked = 10_000

// mostStudyFaults is how many faults of runs are reported.
const mostStudyFaults = 100

// check takes runs through all checks, and tells what is wrong with the study.
// lanes makes the lanes that do it, as many at once as there are processors.
func (s *Study) check(ctx context.Context, newLane func() *lane) fault.Faults {
	if len(s.unread) > 0 {
		return condense(append(s.unread, s.checkLevels(newLane())...))
	}
	runs := s.toCheck()
	found := make([]fault.Faults, len(runs))
	var wait sync.WaitGroup
	workers := min(runtime.GOMAXPROCS(0), (len(runs)+99)/100)
	for w := range workers {
		wait.Go(func() {
			l := newLane()
			for i := w; i < len(runs) && ctx.Err() == nil; i += workers {
				_, found[i] = l.check(runs[i])
			}
		})
	}
	wait.Wait()
	lists := make([][]study.Assignment, len(runs))
	for i, faults := range found {
		if len(faults) > 0 {
			lists[i] = s.Plan.Run(runs[i]).Assignments
		}
	}
	return s.attribute(lists, found, newLane())
}

// mostLevelsChecked is how many values are checked one by one.
const mostLevelsChecked = 1000

// checkLevels checks the values of the axes that could be read one at a time, where
// others could not: so that all that can be said of a study is said at once.
func (s *Study) checkLevels(l *lane) fault.Faults {
	var lists [][]study.Assignment
	var found []fault.Faults
	try := func(list []study.Assignment) {
		_, faults := l.cases.prepare(document.Merge(s.base, s.patch(list)), nil)
		lists, found = append(lists, list), append(found, faults)
	}
	try(nil)
	for _, a := range s.request.AllAxes() {
		for _, v := range a.Levels() {
			if s.nodes[levelKey{a.Path, v.String()}] != nil && len(lists) < mostLevelsChecked {
				try([]study.Assignment{{Path: a.Path, Value: v}})
			}
		}
	}
	return s.attribute(lists, found, l)
}

// toCheck are the runs to be taken through all checks, ascending.
func (s *Study) toCheck() []int {
	p := s.Plan
	runs := []int{}
	members := min(p.Members(), max(mostChecked-p.Candidates(), mostChecked/10))
	for i := range members {
		runs = append(runs, i*p.Members()/members)
	}
	candidates := min(p.Candidates(), mostChecked-members)
	for i := range candidates {
		runs = append(runs, i*p.Candidates()/candidates*p.Members())
	}
	slices.Sort(runs)
	return slices.Compact(runs)
}

// attribute says where in the study the faults of runs with these assignments come
// from: at the axis that sets the member, or in the base.
func (s *Study) attribute(lists [][]study.Assignment, found []fault.Faults, l *lane) fault.Faults {
	ofBase := sync.OnceValue(func() map[string]bool {
		_, faults := l.cases.prepare(s.base, nil)
		all := map[string]bool{}
		for _, f := range faults {
			all[f.Pointer+"\n"+f.Message] = true
		}
		return all
	})
	seen := map[string]bool{}
	var faults fault.Faults
	for i, of := range found {
		for _, f := range of {
			f = s.origin(f, lists[i], ofBase)
			if key := f.Pointer + "\n" + f.Message; !seen[key] && len(faults) < mostStudyFaults {
				seen[key] = true
				faults = append(faults, f)
			}
		}
	}
	return faults
}

// origin moves a fault of a run's request to where in the study it comes from.
func (s *Study) origin(f fault.Fault, list []study.Assignment, ofBase func() map[string]bool) fault.Fault {
	for _, a := range list {
		at := fault.New().At(strings.Split(a.Path, ".")...).Pointer()
		if f.Pointer != at && !strings.HasPrefix(f.Pointer, at+"/") && !strings.HasPrefix(at, f.Pointer+"/") {
			continue
		}
		v := s.varied[slices.IndexFunc(s.varied, func(v variable) bool { return v.path == a.Path })]
		inside := strings.TrimPrefix(f.Pointer, at)
		if inside != "" && inside != f.Pointer {
			f.Message = "at " + inside + " " + f.Message
		}
		f.Pointer, f.Message = v.pointer, f.Message+" ("+a.Path+" "+clip(a.Value.String(), 60)+")"
		return f
	}
	if ofBase()[f.Pointer+"\n"+f.Message] || len(list) == 0 {
		f.Pointer = "/base" + f.Pointer
		return f
	}
	f.Pointer, f.Message = "/base"+f.Pointer, f.Message+" in the run with "+describe(list)
	return f
}

func describe(list []study.Assignment) string {
	parts := make([]string, len(list))
	for i, a := range list {
		parts[i] = a.Path + " " + clip(a.Value.String(), 60)
	}
	return strings.Join(parts, ", ")
}

// Estimate is what a study will take.
type Estimate struct {
	Runs       int     `json:"runs" doc:"Years to be simulated: candidates × members."`
	Candidates int     `json:"candidates" doc:"Systems."`
	Members    int     `json:"members" doc:"Years that each of them meets: weather years × draws of chance."`
	RunS       float64 `json:"seconds_per_run" doc:"Time that one takes on one processor, as tried just now."`
	Seconds    float64 `json:"estimated_s" doc:"Time that the study takes on the processors that work for it here, if they have nothing else to do."`
}

// tried is how many runs are timed for an estimate, and for how long at most.
const (
	tried    = 4
	mostTime = 100 * time.Millisecond
)

// estimate times some runs, spread over the study.
func (s *Study) estimate(l *lane, workers int) Estimate {
	p := s.Plan
	e := Estimate{Runs: p.Runs(), Candidates: p.Candidates(), Members: p.Members()}
	n := min(tried, p.Runs())
	begin, done := time.Now(), 0
	for i := range n {
		run := (2*i + 1) * p.Runs() / (2 * n)
		c, faults := l.prepare(run)
		if len(faults) > 0 {
			continue
		}
		if done == 0 { // what is shared is no part of what a run takes
			l.compile(c)
			begin = time.Now()
			c, _ = l.prepare(run)
		}
		l.subject(c)
		done++
		if time.Since(begin) > mostTime {
			break
		}
	}
	e.RunS = time.Since(begin).Seconds() / float64(max(done, 1))
	e.Seconds = e.RunS * float64(e.Runs) / float64(max(workers, 1))
	return e
}

// String says the size of a study.
func (e *Estimate) String() string {
	return fmt.Sprintf("%d runs (%d candidates × %d members)", e.Runs, e.Candidates, e.Members)
}
