package api

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"reflect"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/media"
	"bankyear/api/store"
	"bankyear/api/tabular"
	"bankyear/sim/queue"
)

func quiet() *slog.Logger { return slog.New(slog.DiscardHandler) }

// studying is a service that stores and runs studies.
func studying(t testing.TB, dir string, spoil ...func(*StudiesConfig)) *Service {
	t.Helper()
	disk, err := store.Open(dir, 1<<30)
	require.NoError(t, err)
	c := StudiesConfig{Dir: dir + "/studies", Workers: 2}
	for _, s := range spoil {
		s(&c)
	}
	studies, err := OpenStudies(t.Context(), c)
	require.NoError(t, err)
	t.Cleanup(studies.Close)
	return New(Config{Store: disk, Studies: studies})
}

func studyAnswer(t testing.TB, w *httptest.ResponseRecorder, status int) *StudyAnswer {
	t.Helper()
	require.Equal(t, status, w.Code, w.Body.String())
	var a StudyAnswer
	d := json.NewDecoder(bytes.NewReader(w.Body.Bytes()))
	d.DisallowUnknownFields()
	require.NoError(t, d.Decode(&a))
	return &a
}

// finished waits until a study is over, and its table is in its file.
func finished(t testing.TB, s *Service, id string) *StudyAnswer {
	t.Helper()
	for range 3000 {
		status, err := s.desk().queue.Status(id)
		require.NoError(t, err)
		if status.Compacted || status.State == queue.Cancelled {
			return studyAnswer(t, call(t, s, "GET", "/v1/studies/"+id, nil), 200)
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatal("the study does not end")
	return nil
}

const smallSweep = `{"name":"Two axes","kind":"sweep","axes":[{"path":"bank.modules","numbers":[1,2,3,4]},{"path":"bank.operation","choices":["data_linked","voltage_only"]}]}`

func TestStudies_Sweep(t *testing.T) {
	s := studying(t, t.TempDir())
	raw := studyOf(t, complete(t), smallSweep)
	checked := studyAnswer(t, call(t, s, "POST", "/v1/studies?start=false", raw), 200)
	assert.Equal(t, "checked", checked.State)
	assert.Equal(t, 8, checked.Estimate.Runs)
	assert.Positive(t, checked.Estimate.Seconds)
	assert.Equal(t, 404, call(t, s, "GET", "/v1/studies/"+checked.ID, nil).Code)

	w := call(t, s, "POST", "/v1/studies", raw)
	a := studyAnswer(t, w, 201)
	assert.Equal(t, "/v1/studies/"+a.ID, w.Header().Get("Location"))
	assert.Equal(t, checked.ID, a.ID)
	assert.Equal(t, []int{8, 8, 1}, []int{a.Progress.Runs, a.Candidates, a.Members})

	done := finished(t, s, a.ID)
	assert.Equal(t, "done", done.State)
	assert.Equal(t, "Two axes", done.Name)
	assert.Equal(t, 8, done.Progress.Done)
	assert.Equal(t, 8, done.Summary.Runs)
	assert.Zero(t, done.Summary.Faulty)
	assert.NotEmpty(t, done.Cautions)
	assert.Equal(t, []string{"run", "candidate", "member", "weather_year", "bank.modules", "bank.operation", "hash", "fault", "downtime_h"}, columnNamesOf(done)[:9])
	extremes := map[string]FigureExtremes{}
	for _, f := range done.Summary.Figures {
		extremes[f.Figure] = f
	}

	rows, err := csv.NewReader(call(t, s, "GET", "/v1/studies/"+a.ID+"/runs", nil, "Accept", "text/csv").Body).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 9)
	assert.Equal(t, columnNamesOf(done), rows[0])
	lowest, column := 1e9, 0
	for i, name := range rows[0] {
		if name == "generator_h" {
			column = i
		}
	}
	for i, row := range rows[1:] {
		assert.Equal(t, strconv.Itoa(i), row[0])
		assert.Equal(t, strconv.Itoa(1+i/2), row[4])
		assert.Equal(t, []string{"data_linked", "voltage_only"}[i%2], row[5])
		x, err := strconv.ParseFloat(row[column], 64)
		require.NoError(t, err)
		lowest = min(lowest, x)
	}
	assert.Equal(t, lowest, extremes["generator_h"].Lowest)

	t.Run("as JSON lines and Parquet", func(t *testing.T) {
		lines := strings.Split(strings.TrimSpace(call(t, s, "GET", "/v1/studies/"+a.ID+"/runs?columns=run,downtime_h,hash", nil, "Accept", "application/x-ndjson").Body.String()), "\n")
		require.Len(t, lines, 8)
		assert.Regexp(t, `^\{"run":3,"downtime_h":[0-9.]+,"hash":"[0-9a-f]{64}"\}$`, lines[3])
		file := call(t, s, "GET", "/v1/studies/"+a.ID+"/runs", nil)
		assert.Equal(t, media.Parquet, file.Header().Get("Content-Type"))
		n := 0
		for b, err := range tabular.ReadParquet(bytes.NewReader(file.Body.Bytes()), int64(file.Body.Len()), []tabular.Column{{Name: "run", Kind: tabular.Whole}}, 0) {
			require.NoError(t, err)
			n += b.Rows
		}
		assert.Equal(t, 8, n)
		zipped := call(t, s, "GET", "/v1/studies/"+a.ID+"/runs", nil, "Accept", "text/csv", "Accept-Encoding", "gzip")
		assert.Equal(t, "gzip", zipped.Header().Get("Content-Encoding"))
		problemOf(t, call(t, s, "GET", "/v1/studies/"+a.ID+"/runs?columns=x", nil), 400)
		problemOf(t, call(t, s, "GET", "/v1/studies/"+a.ID+"/runs", nil, "Accept", "image/png"), 406)
	})
	t.Run("one run opened", func(t *testing.T) {
		for _, run := range []int{0, 5, 7} {
			w := call(t, s, "GET", "/v1/studies/"+a.ID+"/runs/"+strconv.Itoa(run), nil)
			require.Equal(t, 200, w.Code, w.Body.String())
			var opened StudyRun
			require.NoError(t, json.Unmarshal(w.Body.Bytes(), &opened))
			assert.Equal(t, []int{run, run, 0}, []int{opened.Run, opened.Candidate, opened.Member})
			assert.Equal(t, []RunAssignment{{"bank.modules", json.RawMessage(strconv.Itoa(1 + run/2))}, {"bank.operation", json.RawMessage([]string{`"data_linked"`, `"voltage_only"`}[run%2])}}, opened.Assignments)
			w = call(t, s, "POST", "/v1/simulations", opened.Request)
			require.Equal(t, 200, w.Code, w.Body.String())
			var single Answer
			require.NoError(t, json.Unmarshal(w.Body.Bytes(), &single))
			var row map[string]any
			require.NoError(t, json.Unmarshal(opened.Row, &row))
			assert.Equal(t, single.Hash, row["hash"])
			figures := everyFigure(&single.Figures)
			require.Greater(t, len(figures), 60)
			for _, f := range figures {
				got := row[f.Name]
				if got == nil { // a figure that there is not
					assert.Zero(t, f.Value, f.Name)
					continue
				}
				assert.EqualValues(t, fmt.Sprint(f.Value), fmt.Sprint(got), "%s of run %d", f.Name, run)
			}
		}
		for _, none := range []string{"8", "-1", "x", "1e0"} {
			problemOf(t, call(t, s, "GET", "/v1/studies/"+a.ID+"/runs/"+none, nil), 404)
		}
	})
	t.Run("asked again", func(t *testing.T) {
		before := s.desk().worker.runs.Load()
		again := studyAnswer(t, call(t, s, "POST", "/v1/studies", reversed(t, raw)), 200)
		assert.Equal(t, a.ID, again.ID)
		assert.Equal(t, "done", again.State)
		assert.Equal(t, before, s.desk().worker.runs.Load(), "nothing is computed again")
	})
	t.Run("other figures", func(t *testing.T) {
		other := studyAnswer(t, call(t, s, "GET", "/v1/studies/"+a.ID+"?figures=trips_by_kind.over_voltage,curtailed_kwh", nil), 200)
		require.Len(t, other.Summary.Figures, 2)
		assert.Equal(t, "curtailed_kwh", other.Summary.Figures[1].Figure)
		problemOf(t, call(t, s, "GET", "/v1/studies/"+a.ID+"?figures=downtime", nil), 400)
	})
	t.Run("counted", func(t *testing.T) {
		text := call(t, s, "GET", "/metrics", nil).Body.String()
		assert.Contains(t, text, "\nbankyear_study_runs_computed_total 8\n")
		assert.Contains(t, text, "\nbankyear_studies_running 0\n")
	})
	t.Run("listed", func(t *testing.T) {
		var list StudyList
		require.NoError(t, json.Unmarshal(call(t, s, "GET", "/v1/studies", nil).Body.Bytes(), &list))
		require.Len(t, list.Studies, 1)
		assert.Equal(t, "sweep", list.Studies[0].Kind)
	})
	t.Run("deleted", func(t *testing.T) {
		assert.Equal(t, 204, call(t, s, "DELETE", "/v1/studies/"+a.ID, nil).Code)
		problemOf(t, call(t, s, "GET", "/v1/studies/"+a.ID, nil), 404)
		problemOf(t, call(t, s, "GET", "/v1/studies/"+a.ID+"/runs", nil), 404)
		problemOf(t, call(t, s, "DELETE", "/v1/studies/"+a.ID, nil), 404)
		left, err := os.ReadDir(s.desk().path())
		require.NoError(t, err)
		assert.Empty(t, left)
	})
}

func columnNamesOf(a *StudyAnswer) (names []string) {
	for _, c := range a.Columns {
		names = append(names, c.Name)
	}
	return names
}

// The table and the summary never depend on how many workers there are.
func TestStudies_WorkersDoNotMatter(t *testing.T) {
	raw := studyOf(t, complete(t), `{"kind":"ensemble","axes":[{"path":"bank.modules","numbers":[2,4]}],"chance":{"seed_paths":["bank.link_faults.seed"],"per_year":6}}`)
	var tables [][]byte
	var summaries []*RunsSummary
	for workers := 1; workers <= 2; workers++ {
		s := studying(t, t.TempDir(), func(c *StudiesConfig) { c.Workers = workers })
		a := finished(t, s, studyAnswer(t, call(t, s, "POST", "/v1/studies", raw), 201).ID)
		summaries = append(summaries, a.Summary)
		tables = append(tables, call(t, s, "GET", "/v1/studies/"+a.ID+"/runs", nil, "Accept", "text/csv").Body.Bytes())
	}
	assert.Equal(t, string(tables[0]), string(tables[1]))
	assert.Equal(t, summaries[0], summaries[1])
	require.Len(t, summaries[0].Candidates, 2)
	c := summaries[0].Candidates[0]
	assert.Equal(t, []any{2.}, c.Values)
	assert.Equal(t, 6, c.Figures[0].Members)
	assert.Len(t, c.Figures[0].Percentiles, 4)
	assert.NotEmpty(t, c.Figures[0].Words)
	assert.NotEmpty(t, c.DarkFree)
	assert.Contains(t, strings.Join(summaries[0].Notes, " "), "one weather year")
}

func TestStudies_SizingAndRanking(t *testing.T) {
	s := studying(t, t.TempDir())
	raw := studyOf(t, complete(t), `{"kind":"sizing","axes":[{"path":"bank.modules","numbers":[1,2,3]},{"path":"array.planes.roof.rated_kw","numbers":[4,8]}],
		"sizing":{"limits":[{"figure":"generator_h","at_most":300}],"prices":{"bank.modules":2000,"array.planes.roof.rated_kw":900}}}`)
	a := finished(t, s, studyAnswer(t, call(t, s, "POST", "/v1/studies", raw), 201).ID)
	z := a.Summary.Sizing
	require.NotNil(t, z)
	assert.Equal(t, 6, z.Judged)
	require.NotEmpty(t, z.Frontier)
	for _, k := range z.Frontier {
		modules, kw := numberIn(t, k.Values[0]), numberIn(t, k.Values[1])
		assert.InDelta(t, 2000*modules+900*kw, *k.Price, 1e-9, "the values are numbers")
	}
	raw = studyOf(t, complete(t), `{"kind":"ranking","axes":[{"path":"bank.modules","range":{"start":1,"end":3,"step":1}},{"path":"array.planes.roof.rated_kw","range":{"start":3,"end":9}}],"samples":4}`)
	a = finished(t, s, studyAnswer(t, call(t, s, "POST", "/v1/studies", raw), 201).ID)
	require.NotEmpty(t, a.Summary.Ranking)
	r := a.Summary.Ranking[0]
	assert.Equal(t, "downtime_h", r.Figure)
	require.Len(t, r.Swings, 2)
	for _, swing := range r.Swings {
		assert.Equal(t, swing.Swing, swing.Highest-swing.Lowest)
		for _, at := range []any{swing.LowestAt, swing.HighestAt} {
			if at != nil { // else it is the base's own
				assert.Positive(t, numberIn(t, at))
			}
		}
	}
	assert.Len(t, r.Sensitivities, 2)
}

func numberIn(t *testing.T, v any) float64 {
	t.Helper()
	x, isNumber := v.(float64)
	require.True(t, isNumber, "%v", v)
	return x
}

// A summary tells the values of its candidates as the request has them: a text that is
// given for a choice is read by its member's type.
func TestStudies_SummaryTellsValues(t *testing.T) {
	s := studying(t, t.TempDir())
	raw := studyOf(t, complete(t), `{"kind":"ensemble","points":"listed","axes":[{"path":"bank.modules","choices":["2","3"]},{"path":"bank.operation","choices":["voltage_only","data_linked"]},
		{"path":"inverter.passes_through_without_bank","choices":["true","false"]},{"path":"generators","choices":["{\"main\":{\"key\":\"diesel_8kw\"}}","null"]},{"path":"notes","choices":["7","null"]}],"chance":{"seed_paths":["bank.link_faults.seed"],"per_year":2}}`)
	a := finished(t, s, studyAnswer(t, call(t, s, "POST", "/v1/studies", raw), 201).ID)
	var told [][]any
	for _, c := range a.Summary.Candidates {
		told = append(told, c.Values)
	}
	assert.Equal(t, [][]any{{2., "voltage_only", true, map[string]any{"main": map[string]any{"key": "diesel_8kw"}}, "7"}, {3., "data_linked", false, nil, nil}}, told)
}

// A study that is stopped keeps what is done, and begins again when it is wanted
// again.
func TestStudies_Cancel(t *testing.T) {
	s := studying(t, t.TempDir())
	raw := studyOf(t, complete(t), `{"kind":"ensemble","chance":{"seed_paths":["bank.link_faults.seed"],"per_year":500}}`)
	a := studyAnswer(t, call(t, s, "POST", "/v1/studies", raw), 201)
	for {
		status, err := s.desk().queue.Status(a.ID)
		require.NoError(t, err)
		if status.Done > 0 {
			break
		}
		time.Sleep(5 * time.Millisecond)
	}
	running := studyAnswer(t, call(t, s, "GET", "/v1/studies/"+a.ID, nil), 200)
	assert.Contains(t, strings.Join(running.Summary.Notes, " "), "Not all runs are done")
	stopped := studyAnswer(t, call(t, s, "POST", "/v1/studies/"+a.ID+"/cancel", nil), 200)
	assert.Equal(t, "cancelled", stopped.State)
	assert.NotEmpty(t, stopped.Finished)
	lines := strings.Count(call(t, s, "GET", "/v1/studies/"+a.ID+"/runs", nil, "Accept", "application/jsonl").Body.String(), "\n")
	assert.Positive(t, lines)
	assert.Less(t, lines, 500)
	again := studyAnswer(t, call(t, s, "POST", "/v1/studies", raw), 201)
	assert.Equal(t, a.ID, again.ID)
	assert.NotEqual(t, "cancelled", again.State)
	assert.Equal(t, 204, call(t, s, "DELETE", "/v1/studies/"+a.ID, nil).Code)
}

func TestStudies_Events(t *testing.T) {
	s := studying(t, t.TempDir())
	server := httptest.NewServer(s)
	defer server.Close()
	a := studyAnswer(t, call(t, s, "POST", "/v1/studies", studyOf(t, complete(t), smallSweep)), 201)
	r, err := http.Get(server.URL + "/v1/studies/" + a.ID + "/events")
	require.NoError(t, err)
	defer r.Body.Close()
	assert.Equal(t, "text/event-stream", r.Header.Get("Content-Type"))
	var last StudyProgress
	id, events := "", 0
	for lines := bufio.NewScanner(r.Body); lines.Scan(); { // ends with the study
		if data, ok := strings.CutPrefix(lines.Text(), "data: "); ok {
			was := last.Done
			last = StudyProgress{}
			require.NoError(t, json.Unmarshal([]byte(data), &last))
			assert.GreaterOrEqual(t, last.Done, was)
			events++
		}
		if text, ok := strings.CutPrefix(lines.Text(), "id: "); ok {
			id = text
		}
	}
	assert.Positive(t, events)
	assert.Equal(t, StudyProgress{State: "done", Runs: 8, Done: 8}, last)
	assert.Equal(t, 204, call(t, s, "GET", "/v1/studies/"+a.ID+"/events", nil, "Last-Event-ID", id).Code, "nothing more to say")
	again := call(t, s, "GET", "/v1/studies/"+a.ID+"/events", nil, "Last-Event-ID", "3-running")
	assert.Contains(t, again.Body.String(), `"done":8`)
	problemOf(t, call(t, s, "GET", "/v1/studies/s-0/events", nil), 404)
}

func TestStudies_IdempotencyKey(t *testing.T) {
	dir := t.TempDir()
	s := studying(t, dir)
	raw, other := studyOf(t, complete(t), smallSweep), studyOf(t, complete(t), strings.Replace(smallSweep, "[1,2,3,4]", "[1,2]", 1))
	a := studyAnswer(t, call(t, s, "POST", "/v1/studies", raw, "Idempotency-Key", "k1"), 201)
	assert.Equal(t, a.ID, studyAnswer(t, call(t, s, "POST", "/v1/studies", raw, "Idempotency-Key", "k1"), 200).ID)
	p := problemOf(t, call(t, s, "POST", "/v1/studies", other, "Idempotency-Key", "k1"), 422)
	assert.Equal(t, "/docs#problem-key-reused", p.Type)
	problemOf(t, call(t, s, "POST", "/v1/studies", raw, "Idempotency-Key", strings.Repeat("k", 300)), 400)
	_, end, p := s.desk().keys.begin("k2", raw)
	require.Nil(t, p)
	w := call(t, s, "POST", "/v1/studies", raw, "Idempotency-Key", "k2")
	assert.Equal(t, "/docs#problem-key-in-flight", problemOf(t, w, 409).Type)
	assert.NotEmpty(t, w.Header().Get("Retry-After"))
	require.NoError(t, end(""))
	assert.Equal(t, 200, call(t, s, "POST", "/v1/studies", raw, "Idempotency-Key", "k2").Code)
	finished(t, s, a.ID)
	s.desk().Close()

	s = studying(t, dir) // and after it was started again
	assert.Equal(t, "done", studyAnswer(t, call(t, s, "POST", "/v1/studies", raw, "Idempotency-Key", "k1"), 200).State)
	problemOf(t, call(t, s, "POST", "/v1/studies", other, "Idempotency-Key", "k1"), 422)
	assert.Equal(t, 8, strings.Count(call(t, s, "GET", "/v1/studies/"+a.ID+"/runs", nil, "Accept", "application/jsonl").Body.String(), "\n"))
	require.NoError(t, s.desk().expireBefore(time.Now().Add(time.Minute)))
	problemOf(t, call(t, s, "GET", "/v1/studies/"+a.ID, nil), 404)
	files, err := os.ReadDir(dir + "/studies/tables")
	require.NoError(t, err)
	assert.Empty(t, files)
	assert.Equal(t, 201, call(t, s, "POST", "/v1/studies", other, "Idempotency-Key", "k1").Code, "the key is as old")
}

func TestStudies_Full(t *testing.T) {
	s := studying(t, t.TempDir(), func(c *StudiesConfig) { c.Workers, c.Bounds = -1, queue.Bounds{Studies: 1} })
	require.Equal(t, 201, call(t, s, "POST", "/v1/studies", studyOf(t, complete(t), smallSweep)).Code)
	w := call(t, s, "POST", "/v1/studies", studyOf(t, complete(t), strings.Replace(smallSweep, "[1,2,3,4]", "[1,2]", 1)))
	assert.Equal(t, "/docs#problem-studies-full", problemOf(t, w, 503).Type)
	seconds, err := strconv.Atoi(w.Header().Get("Retry-After"))
	require.NoError(t, err)
	assert.Positive(t, seconds)
	none := New(Config{})
	for _, target := range []string{"/v1/studies", "/v1/studies/s-0", "/v1/studies/s-0/runs", "/v1/studies/s-0/events"} {
		accept := "*/*"
		assert.Equal(t, "/docs#problem-no-studies", problemOf(t, call(t, none, "GET", target, nil, "Accept", accept), 503).Type, target)
	}
}

// What studies take and answer is what the OpenAPI document says.
func TestStudies_Conformance(t *testing.T) {
	doc := document31(t)
	s := studying(t, t.TempDir())
	check := func(name string, body []byte) {
		t.Helper()
		var v any
		require.NoError(t, json.Unmarshal(body, &v))
		wrong := conforms(doc, map[string]any{"$ref": schemaPath + name}, v, "")
		assert.Empty(t, wrong[:min(len(wrong), 5)], name)
	}
	for kind, members := range map[string]string{
		"sweep":    `{"kind":"sweep","axes":[{"path":"bank.modules","numbers":[2]}]}`,
		"sizing":   `{"kind":"sizing","axes":[{"path":"bank.modules","numbers":[2,3]}],"sizing":{"limits":[{"figure":"downtime_h","at_most":9000}],"prices":{"bank.modules":2}}}`,
		"ensemble": `{"kind":"ensemble","chance":{"seed_paths":["bank.link_faults.seed"],"per_year":3}}`,
		"ranking":  `{"kind":"ranking","axes":[{"path":"bank.cable_ohm","log_range":{"start":0.001,"end":0.01}}],"samples":1}`,
	} {
		raw := studyOf(t, complete(t), members)
		check("StudyRequest", raw)
		w := call(t, s, "POST", "/v1/studies", raw)
		check("StudyAnswer", w.Body.Bytes())
		a := finished(t, s, studyAnswer(t, w, 201).ID)
		assert.Equal(t, kind, a.Kind)
		check("StudyAnswer", text(t, a))
	}
	check("StudyList", call(t, s, "GET", "/v1/studies", nil).Body.Bytes())
	for _, in := range append(inputs(reflect.TypeFor[StudyRequest](), "", nil), inputs(reflect.TypeFor[StudyAnswer](), "", nil)...) {
		assert.NotEmpty(t, in.Doc, in.Path)
	}
	for _, c := range readOf(t, studyOf(t, complete(t), smallSweep)).Columns() {
		assert.NotEmpty(t, c.Doc, c.Name)
	}
}
