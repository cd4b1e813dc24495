package api

import (
	"bytes"
	"cmp"
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strconv"
	"sync"
	"sync/atomic"
	"time"

	"bankyear/api/media"
)

// metrics counts what the service does, told in the text exposition format,
// version 0.0.4.
type metrics struct {
	inFlight atomic.Int64
	runs     atomic.Int64 // years simulated

	mu       sync.Mutex
	requests map[requestKind]*latency
}

type requestKind struct {
	route, method string
	status        int
}

// latency is a histogram of durations.
type latency struct {
	counts [len(bucketsS) + 1]int64
	sumS   float64
}

var bucketsS = [...]float64{0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 1, 5}

func newMetrics() *metrics { return &metrics{requests: map[requestKind]*latency{}} }

func (m *metrics) count(route, method string, status int, took time.Duration) {
	if !slices.Contains([]string{http.MethodGet, http.MethodHead, http.MethodPost, http.MethodPut, http.MethodDelete, http.MethodPatch, http.MethodOptions}, method) {
		method = "other" // a client may send any word, and must not make a series of each
	}
	s := took.Seconds()
	i, _ := slices.BinarySearch(bucketsS[:], s)
	m.mu.Lock()
	defer m.mu.Unlock()
	k := requestKind{route, method, status}
	l := m.requests[k]
	if l == nil {
		l = &latency{}
		m.requests[k] = l
	}
	l.counts[i]++
	l.sumS += s
}

// gauges are what the metrics tell beside what they count themselves.
type gauges struct {
	answersKept, heldBytes, storedBytes int64
	studies                             *studyGauges // nil when there are none
}

// studyGauges are those of studies.
type studyGauges struct{ waiting, running, runsLeft, runsComputed int64 }

func (m *metrics) write(g gauges) []byte {
	var out bytes.Buffer
	gauge := func(name, kind, help string, value int64) {
		fmt.Fprintf(&out, "# HELP %s %s\n# TYPE %s %s\n%s %d\n", name, help, name, kind, name, value)
	}
	gauge("bankyear_requests_in_flight", "gauge", "Requests being answered.", m.inFlight.Load())
	gauge("bankyear_years_simulated_total", "counter", "Years simulated.", m.runs.Load())
	gauge("bankyear_answers_kept", "gauge", "Answers kept for GET.", g.answersKept)
	gauge("bankyear_held_bytes", "gauge", "Memory of the bodies that are read or wait.", g.heldBytes)
	gauge("bankyear_stored_bytes", "gauge", "What is uploaded, on disk.", g.storedBytes)
	if st := g.studies; st != nil {
		gauge("bankyear_studies_queued", "gauge", "Studies of which no run is done yet.", st.waiting)
		gauge("bankyear_studies_running", "gauge", "Studies that are running.", st.running)
		gauge("bankyear_study_runs_left", "gauge", "Runs that studies have still to do.", st.runsLeft)
		gauge("bankyear_study_runs_computed_total", "counter", "Runs of studies that were computed in this process.", st.runsComputed)
	}
	const name = "bankyear_request_duration_seconds"
	fmt.Fprintf(&out, "# HELP %s Time to answer a request.\n# TYPE %s histogram\n", name, name)
	m.mu.Lock()
	defer m.mu.Unlock()
	kinds := slices.SortedFunc(maps.Keys(m.requests), func(a, b requestKind) int {
		return cmp.Or(cmp.Compare(a.route, b.route), cmp.Compare(a.method, b.method), cmp.Compare(a.status, b.status))
	})
	for _, k := range kinds {
		l := m.requests[k]
		labels := fmt.Sprintf("route=%q,method=%q,status=\"%d\"", k.route, k.method, k.status)
		total := int64(0)
		for i, n := range l.counts {
			total += n
			le := "+Inf"
			if i < len(bucketsS) {
				le = strconv.FormatFloat(bucketsS[i], 'g', -1, 64)
			}
			fmt.Fprintf(&out, "%s_bucket{%s,le=%q} %d\n", name, labels, le, total)
		}
		fmt.Fprintf(&out, "%s_sum{%s} %g\n%s_count{%s} %d\n", name, labels, l.sumS, name, labels, total)
	}
	return out.Bytes()
}

// getMetrics tells the counts.
func (s *Service) getMetrics(http.ResponseWriter, *http.Request) (*reply, *Problem) {
	g := gauges{answersKept: int64(s.answers.len()), heldBytes: s.memory.used.Load()}
	if s.content != nil {
		g.storedBytes = s.content.disk.Used()
	}
	if s.desk() != nil {
		g.studies = s.desk().gauges()
	}
	return &reply{mediaType: media.Plain, body: s.metrics.write(g), keep: "no-store"}, nil
}

// getHealth tells that the process answers.
func (s *Service) getHealth(http.ResponseWriter, *http.Request) (*reply, *Problem) {
	return &reply{mediaType: media.Plain, body: []byte("ok\n"), keep: "no-store"}, nil
}

// getReady tells whether new work is taken.
func (s *Service) getReady(http.ResponseWriter, *http.Request) (*reply, *Problem) {
	if s.closing.Load() {
		return &reply{status: http.StatusServiceUnavailable, mediaType: media.Plain, body: []byte("closing\n"), keep: "no-store"}, nil
	}
	return &reply{mediaType: media.Plain, body: []byte("ready\n"), keep: "no-store"}, nil
}
