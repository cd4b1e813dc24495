package client

import (
	"context"
	"net/http"
	"net/url"
	"strings"

	"bankyear/api"
	"bankyear/api/media"
)

// Simulate simulates a request, and tells its year in some details beside the
// figures.
func (c *Client) Simulate(ctx context.Context, body []byte, details ...api.Detail) (*api.Answer, error) {
	return ask[api.Answer](ctx, c, request{method: http.MethodPost, path: "v1/simulations", query: inDetail(details), mediaType: media.JSON, body: body})
}

// SimulateHours simulates a request, and gives its year interval by interval as
// a file of a media type: media.CSV or media.Parquet, or JSON with the hours.
func (c *Client) SimulateHours(ctx context.Context, body []byte, mediaType string) ([]byte, error) {
	_, file, err := c.do(ctx, request{method: http.MethodPost, path: "v1/simulations", query: inDetail([]api.Detail{api.Hours}), mediaType: media.JSON, body: body, accept: mediaType})
	return file, err
}

// Answer tells a simulation again, by its content hash.
func (c *Client) Answer(ctx context.Context, hash string, details ...api.Detail) (*api.Answer, error) {
	return ask[api.Answer](ctx, c, request{method: http.MethodGet, path: "v1/simulations/" + url.PathEscape(hash), query: inDetail(details)})
}

// Compare compares candidates on a base.
func (c *Client) Compare(ctx context.Context, body []byte, details ...api.Detail) (*api.Comparison, error) {
	return ask[api.Comparison](ctx, c, request{method: http.MethodPost, path: "v1/comparisons", query: inDetail(details), mediaType: media.JSON, body: body})
}

// CompareWorkbook compares candidates on a base, and gives the answer as a
// workbook (Office Open XML) with months and hours.
func (c *Client) CompareWorkbook(ctx context.Context, body []byte) ([]byte, error) {
	_, file, err := c.do(ctx, request{method: http.MethodPost, path: "v1/comparisons", mediaType: media.JSON, body: body, accept: media.Workbook})
	return file, err
}

// Sheet reads the settings sheet and the fit check off a system.
func (c *Client) Sheet(ctx context.Context, body []byte) (*api.SettingsSheet, error) {
	return ask[api.SettingsSheet](ctx, c, request{method: http.MethodPost, path: "v1/sheets", mediaType: media.JSON, body: body})
}

// Backtest holds the model against a log.
func (c *Client) Backtest(ctx context.Context, body []byte) (*api.BacktestAnswer, error) {
	return ask[api.BacktestAnswer](ctx, c, request{method: http.MethodPost, path: "v1/backtests", mediaType: media.JSON, body: body})
}

// History reads a log of battery-management systems.
func (c *Client) History(ctx context.Context, body []byte) (*api.HistoryAnswer, error) {
	return ask[api.HistoryAnswer](ctx, c, request{method: http.MethodPost, path: "v1/histories", mediaType: media.JSON, body: body})
}

// Catalogue lists the generic entries of a kind, "" for all.
func (c *Client) Catalogue(ctx context.Context, kind string) (*api.Catalogue, error) {
	query := url.Values{}
	if kind != "" {
		query.Set("kind", kind)
	}
	return ask[api.Catalogue](ctx, c, request{method: http.MethodGet, path: "v1/catalogue", query: query})
}

func inDetail(details []api.Detail) url.Values {
	if len(details) == 0 {
		return nil
	}
	names := make([]string, len(details))
	for i, d := range details {
		names[i] = string(d)
	}
	return url.Values{"detail": {strings.Join(names, ",")}}
}
