package client

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"bankyear/api"
	"bankyear/api/media"
)

// CheckStudy checks a study and says how many runs it has and about how long they
// will take; nothing is started.
func (c *Client) CheckStudy(ctx context.Context, body []byte) (*api.StudyAnswer, error) {
	return ask[api.StudyAnswer](ctx, c, request{method: http.MethodPost, path: "v1/studies", query: url.Values{"start": {"false"}}, mediaType: media.JSON, body: body})
}

// SubmitStudy starts a study. The same study again has the same id, and is not
// computed again.
func (c *Client) SubmitStudy(ctx context.Context, body []byte) (*api.StudyAnswer, error) {
	return ask[api.StudyAnswer](ctx, c, request{method: http.MethodPost, path: "v1/studies", mediaType: media.JSON, body: body})
}

// Study is a study as it stands, with what its runs say so far.
func (c *Client) Study(ctx context.Context, id string) (*api.StudyAnswer, error) {
	return ask[api.StudyAnswer](ctx, c, request{method: http.MethodGet, path: studyPath(id)})
}

// CancelStudy stops a study; what is done can still be read.
func (c *Client) CancelStudy(ctx context.Context, id string) (*api.StudyAnswer, error) {
	return ask[api.StudyAnswer](ctx, c, request{method: http.MethodPost, path: studyPath(id) + "/cancel"})
}

// DeleteStudy removes a study with its runs.
func (c *Client) DeleteStudy(ctx context.Context, id string) error {
	_, _, err := c.do(ctx, request{method: http.MethodDelete, path: studyPath(id), accept: media.JSON})
	return err
}

func studyPath(id string) string { return "v1/studies/" + url.PathEscape(id) }

// StudyRuns writes the table of runs as it arrives: media.Parquet, media.CSV or
// media.Lines.
func (c *Client) StudyRuns(ctx context.Context, id, mediaType string, to io.Writer) error {
	response, err := c.stream(ctx, studyPath(id)+"/runs", mediaType, "")
	if err != nil {
		return err
	}
	_, err = io.Copy(to, response.Body)
	return errors.Join(err, response.Body.Close())
}

// StudyRun opens one run of a study: the request that it is, and its row.
func (c *Client) StudyRun(ctx context.Context, id string, run int) (*api.StudyRun, error) {
	return ask[api.StudyRun](ctx, c, request{method: http.MethodGet, path: studyPath(id) + "/runs/" + strconv.Itoa(run)})
}

// mostBreaks is how often in a row a stream of events may break off without a
// word.
const mostBreaks = 5

// FollowStudy gives how far a study is, now and after every change, until it is
// over. A stream that breaks off is taken up where it was.
func (c *Client) FollowStudy(ctx context.Context, id string, each func(api.StudyProgress)) error {
	last := ""
	for breaks := 0; ; breaks++ {
		response, err := c.stream(ctx, studyPath(id)+"/events", media.Events, last)
		var p *Problem
		if errors.As(err, &p) || ctx.Err() != nil {
			return errors.Join(err, ctx.Err())
		}
		if err == nil {
			if response.StatusCode == http.StatusNoContent {
				return response.Body.Close()
			}
			over, heard, readErr := readEvents(response.Body, &last, each)
			err = errors.Join(readErr, response.Body.Close())
			if over {
				return nil
			}
			if heard {
				breaks = 0
			}
		}
		if breaks == mostBreaks {
			return fmt.Errorf("client: the events of study %s break off: %w", id, err)
		}
		if err := c.wait(ctx, time.Second); err != nil {
			return err
		}
	}
}

// readEvents reads server-sent events until the stream ends; over tells that the
// study is.
func readEvents(from io.Reader, last *string, each func(api.StudyProgress)) (over, heard bool, err error) {
	lines := bufio.NewScanner(from)
	var data strings.Builder
	id := *last // of an event that has not come whole
	for lines.Scan() {
		name, value, _ := strings.Cut(lines.Text(), ":")
		value = strings.TrimPrefix(value, " ")
		switch name {
		case "id":
			id = value
		case "data":
			data.WriteString(value)
		}
		if lines.Text() != "" || data.Len() == 0 {
			continue // within an event, or a heartbeat
		}
		var progress api.StudyProgress
		if err := json.Unmarshal([]byte(data.String()), &progress); err != nil {
			return false, heard, fmt.Errorf("client: an event cannot be read: %w", err)
		}
		data.Reset()
		*last = id
		each(progress)
		heard, over = true, progress.State == "done" || progress.State == "cancelled"
	}
	return over, heard, lines.Err()
}

// stream asks for an answer that is read while it is made.
func (c *Client) stream(ctx context.Context, path, accept, last string) (*http.Response, error) {
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, c.base.JoinPath(path).String(), nil)
	if err != nil {
		return nil, err
	}
	r.Header.Set("Accept", accept)
	if last != "" {
		r.Header.Set("Last-Event-ID", last)
	}
	response, err := c.http.Do(r)
	if err != nil {
		return nil, err
	}
	if response.StatusCode/100 != 2 {
		body, err := io.ReadAll(io.LimitReader(response.Body, 1<<20))
		if err = errors.Join(err, response.Body.Close()); err != nil {
			return nil, err
		}
		return nil, problemOf("GET "+path, response, body)
	}
	return response, nil
}
