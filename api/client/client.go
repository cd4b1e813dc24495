// Package client asks a bankyear service over HTTP. Requests are the same JSON
// that files hold and the command line takes; answers are the types of package
// api. The command line uses it for --server.
package client

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"bankyear/api"
	"bankyear/api/media"
	"bankyear/sim/fault"
)

// Client asks one service. It may be used by several goroutines at once.
type Client struct {
	base *url.URL
	http *http.Client
	wait func(ctx context.Context, d time.Duration) error
}

// New makes a client of the service at a base address such as
// http://127.0.0.1:8080. A nil h is http.DefaultClient; timeouts are the
// context's.
func New(base string, h *http.Client) (*Client, error) {
	u, err := url.Parse(base)
	if err != nil {
		return nil, fmt.Errorf("client: address of the service: %w", err)
	}
	if u.Scheme != "http" && u.Scheme != "https" || u.Host == "" || u.RawQuery != "" || u.Fragment != "" {
		return nil, fmt.Errorf("client: address of the service %q is not like http://127.0.0.1:8080", base)
	}
	if h == nil {
		h = http.DefaultClient
	}
	return &Client{base: u, http: h, wait: wait}, nil
}

// Problem is what the service says is wrong, with every fault of the input.
type Problem struct{ api.Problem }

// Error writes the title and each fault on a line of its own.
func (p *Problem) Error() string {
	text := fmt.Sprintf("%s (%d)", p.Title, p.Status)
	if p.Detail != "" {
		text += ": " + p.Detail
	}
	if len(p.Faults) > 0 {
		text += "\n" + p.All().Error()
	}
	return text
}

// All are the faults of the input; their pointers may be lines and parameters.
func (p *Problem) All() fault.Faults {
	var list fault.Faults
	for _, f := range p.Faults {
		place := f.Pointer
		switch {
		case f.Line > 0 && f.Column > 0:
			place = fmt.Sprintf("line %d, column %d", f.Line, f.Column)
		case f.Line > 0:
			place = fmt.Sprintf("line %d", f.Line)
		case f.Parameter != "":
			place = f.Parameter
		}
		list = append(list, fault.Fault{Pointer: place, Value: f.Value, Allowed: f.Allowed, Unit: f.Unit, Message: f.Message})
	}
	return list
}

// request is one question to the service.
type request struct {
	method, path string
	query        url.Values
	mediaType    string // of body
	body         []byte // nil for none
	accept       string
	header       http.Header
}

// Limits of what the client does by itself.
const (
	mostTries    = 4
	mostWait     = 30 * time.Second // longer Retry-After is told, not waited for
	mostAnswer   = 1 << 30          // bytes
	compressFrom = 16 << 10         // bytes of a body
)

// do asks, again while the service says that it is busy and when to come back,
// and gives the body of an answer. An answer that is no success is a *Problem.
func (c *Client) do(ctx context.Context, q request) (*http.Response, []byte, error) {
	for try := 1; ; try++ {
		response, body, err := c.once(ctx, q)
		var p *Problem
		if err == nil || !errors.As(err, &p) || try == mostTries || response == nil {
			return response, body, err
		}
		after, asked := strconv.Atoi(response.Header.Get("Retry-After"))
		if asked != nil || p.Status != http.StatusTooManyRequests && p.Status != http.StatusServiceUnavailable || time.Duration(after)*time.Second > mostWait {
			return response, body, err
		}
		if err := c.wait(ctx, time.Duration(after)*time.Second); err != nil {
			return response, nil, err
		}
	}
}

func wait(ctx context.Context, d time.Duration) error {
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-time.After(d):
		return nil
	}
}

func (c *Client) once(ctx context.Context, q request) (*http.Response, []byte, error) {
	u := c.base.JoinPath(q.path)
	u.RawQuery = q.query.Encode()
	body, coding := q.body, ""
	if len(body) >= compressFrom && media.CodingOf(body) == media.Identity {
		body, coding = media.Encode(body, media.Gzip), media.Gzip
	}
	r, err := http.NewRequestWithContext(ctx, q.method, u.String(), bytes.NewReader(body))
	if err != nil {
		return nil, nil, err
	}
	for name, values := range q.header {
		r.Header[name] = values
	}
	r.Header.Set("Accept", q.accept)
	if q.body != nil && q.mediaType != "" {
		r.Header.Set("Content-Type", q.mediaType)
	}
	if coding != "" {
		r.Header.Set("Content-Encoding", coding)
	}
	response, err := c.http.Do(r)
	if err != nil {
		return nil, nil, err
	}
	answer, err := io.ReadAll(io.LimitReader(response.Body, mostAnswer+1))
	err = errors.Join(err, response.Body.Close())
	switch {
	case err != nil:
		return nil, nil, fmt.Errorf("client: %s %s: %w", q.method, u.Path, err)
	case len(answer) > mostAnswer:
		return nil, nil, fmt.Errorf("client: %s %s: the answer is larger than %d bytes", q.method, u.Path, mostAnswer)
	case response.StatusCode/100 != 2:
		return response, nil, problemOf(q.method+" "+u.Path, response, answer)
	}
	return response, answer, nil
}

// problemOf reads a problem (RFC 9457); what stands before the service may answer
// something else.
func problemOf(asked string, response *http.Response, body []byte) error {
	p := &Problem{}
	if err := json.Unmarshal(body, &p.Problem); err != nil || p.Title == "" {
		return fmt.Errorf("client: %s: %s, and no problem that this client knows", asked, response.Status)
	}
	p.Status = response.StatusCode
	return p
}

// ask asks for JSON.
func ask[T any](ctx context.Context, c *Client, q request) (*T, error) {
	q.accept = media.JSON
	_, body, err := c.do(ctx, q)
	if err != nil {
		return nil, err
	}
	out := new(T)
	if err := json.Unmarshal(body, out); err != nil {
		return nil, fmt.Errorf("client: %s %s: the answer cannot be read: %w", q.method, q.path, err)
	}
	return out, nil
}
