package client

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api"
	"bankyear/api/media"
)

func TestClient_Studies(t *testing.T) {
	studies, err := api.OpenStudies(t.Context(), api.StudiesConfig{Dir: t.TempDir(), Workers: 1})
	require.NoError(t, err)
	t.Cleanup(studies.Close)
	server := httptest.NewServer(api.New(api.Config{Studies: studies}))
	t.Cleanup(server.Close)
	c, err := New(server.URL, nil)
	require.NoError(t, err)
	ctx := t.Context()
	body, err := c.WithFiles(ctx, []byte(`{"kind":"sweep","axes":[{"path":"bank.modules","numbers":[1,2,3]}],"base":`+hut+`}`), openWeather)
	require.NoError(t, err)
	checked, err := c.CheckStudy(ctx, body)
	require.NoError(t, err)
	assert.Equal(t, 3, checked.Estimate.Runs)
	_, err = c.Study(ctx, checked.ID)
	var p *Problem
	require.ErrorAs(t, err, &p)
	study, err := c.SubmitStudy(ctx, body)
	require.NoError(t, err)
	assert.Equal(t, checked.ID, study.ID)
	var last api.StudyProgress
	require.NoError(t, c.FollowStudy(ctx, study.ID, func(p api.StudyProgress) { last = p }))
	assert.Equal(t, "done", last.State)
	assert.Equal(t, 3, last.Done)
	require.NoError(t, c.FollowStudy(ctx, study.ID, func(api.StudyProgress) {}), "of one that is over")
	var runs bytes.Buffer
	require.NoError(t, c.StudyRuns(ctx, study.ID, media.CSV, &runs))
	assert.Equal(t, 4, strings.Count(runs.String(), "\n"))
	done, err := c.Study(ctx, study.ID)
	require.NoError(t, err)
	assert.Equal(t, 3, done.Summary.Runs)
	run, err := c.StudyRun(ctx, study.ID, 2)
	require.NoError(t, err)
	answer, err := c.Simulate(ctx, run.Request)
	require.NoError(t, err)
	assert.Contains(t, string(run.Row), answer.Hash)
	_, err = c.CancelStudy(ctx, study.ID)
	require.NoError(t, err)
	require.NoError(t, c.DeleteStudy(ctx, study.ID))
	require.ErrorAs(t, c.FollowStudy(ctx, study.ID, nil), &p)
	require.ErrorAs(t, c.StudyRuns(ctx, study.ID, media.CSV, &runs), &p)
	assert.Equal(t, 404, p.Status)
}

// A stream that breaks off is taken up with the id of its last event; one that
// says nothing is given up.
func TestClient_FollowBroken(t *testing.T) {
	asked, deaf := 0, false
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		asked++
		if deaf {
			return
		}
		if asked > 1 {
			assert.Equal(t, fmt.Sprint(asked-1), r.Header.Get("Last-Event-ID"))
		}
		if asked == 4 {
			w.WriteHeader(http.StatusNoContent)
			return
		}
		fmt.Fprintf(w, ": heartbeat\n\nid: %d\nevent: progress\ndata: {\"state\":\"running\",\n", asked)
		fmt.Fprintf(w, "data: \"runs\":9,\"done\":%d}\n\nid: half\nda", asked)
	}))
	defer server.Close()
	c, err := New(server.URL, nil)
	require.NoError(t, err)
	c.wait = func(context.Context, time.Duration) error { return nil }
	var done []int
	err = c.FollowStudy(t.Context(), "s-1", func(p api.StudyProgress) { done = append(done, p.Done) })
	require.NoError(t, err)
	assert.Equal(t, []int{1, 2, 3}, done)
	asked, deaf = 0, true
	require.ErrorContains(t, c.FollowStudy(t.Context(), "s-1", nil), "break off")
	assert.Equal(t, mostBreaks+1, asked)
}
