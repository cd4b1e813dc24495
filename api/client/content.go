package client

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"unicode/utf8"

	"bankyear/api"
	"bankyear/api/document"
	"bankyear/api/media"
)

// UploadWeather stores a weather file as it is; query says what the file does not
// say of itself, such as site.latitude_deg. The id of the answer serves wherever
// weather is given.
func (c *Client) UploadWeather(ctx context.Context, file []byte, query url.Values) (*api.WeatherResource, error) {
	return ask[api.WeatherResource](ctx, c, request{method: http.MethodPost, path: "v1/weather", query: query, mediaType: "application/octet-stream", body: file})
}

// UploadLoad stores a load: JSON, or a table of metered data with the parameters
// that say how to read it.
func (c *Client) UploadLoad(ctx context.Context, body []byte, mediaType string, query url.Values) (*api.StoredLoad, error) {
	return ask[api.StoredLoad](ctx, c, request{method: http.MethodPost, path: "v1/loads", query: query, mediaType: mediaType, body: body})
}

// mostInline is the size from which a weather file is uploaded instead of being
// put into the request.
const mostInline = 8 << 20

// WithFiles makes a request that a service can take of one that names weather
// files: each is put into the request as text, or uploaded when it is large or no
// text. The places are those of a simulation, of a comparison's or a study's base
// and candidates, and of a history's system. A body that is no JSON, or has
// faults, is given back as it is: the service says what is wrong.
func (c *Client) WithFiles(ctx context.Context, body []byte, open func(name string) (io.ReadCloser, error)) ([]byte, error) {
	tree, faults := document.Parse(body)
	if tree == nil || len(faults) > 0 {
		return body, nil
	}
	places := []string{"weather", "base.weather", "system.weather"}
	for _, m := range tree.Get("candidates").Members() {
		places = append(places, "candidates."+m.Name+".weather")
	}
	changed := false
	for _, place := range places {
		at := tree
		for name := range strings.SplitSeq(place, ".") {
			at = at.Get(name)
		}
		name, isText := at.Get("file").Text()
		if !isText {
			continue
		}
		member, value, err := c.file(ctx, name, open)
		if err != nil {
			return nil, err
		}
		instead, err := document.Set(withoutMember(at, "file"), member, document.TextOf(value))
		if err == nil {
			tree, err = document.Set(tree, place, instead)
		}
		if err != nil {
			return nil, fmt.Errorf("client: %s: %w", place, err)
		}
		changed = true
	}
	if !changed {
		return body, nil
	}
	return document.Encode(tree)
}

// withoutMember leaves a member out.
func withoutMember(n *document.Node, name string) *document.Node {
	patch, err := document.Set(nil, name, &document.Node{}) // null removes
	if err != nil {
		panic("client: " + err.Error())
	}
	return document.Merge(n, patch)
}

// file reads a weather file, and says by which member of weather a request has
// it.
func (c *Client) file(ctx context.Context, name string, open func(name string) (io.ReadCloser, error)) (member, value string, err error) {
	f, err := open(name)
	if err != nil {
		return "", "", err
	}
	raw, err := io.ReadAll(f)
	if err = errors.Join(err, f.Close()); err != nil {
		return "", "", err
	}
	if text, ok := asText(raw); ok {
		return "text", text, nil
	}
	stored, err := c.UploadWeather(ctx, raw, nil)
	if err != nil {
		return "", "", fmt.Errorf("client: upload of %s: %w", name, err)
	}
	return "id", stored.ID, nil
}

// asText undoes the compression of a file, when it is a text that fits into a
// request.
func asText(raw []byte) (string, bool) {
	if len(raw) > mostInline {
		return "", false
	}
	if coding := media.CodingOf(raw); coding != media.Identity {
		z, err := media.NewReader(strings.NewReader(string(raw)), coding)
		if err != nil {
			return "", false
		}
		defer z.Close()
		if raw, err = io.ReadAll(io.LimitReader(z, mostInline+1)); err != nil || len(raw) > mostInline {
			return "", false
		}
	}
	return string(raw), utf8.Valid(raw)
}
