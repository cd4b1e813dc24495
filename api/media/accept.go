// Package media chooses what a client can read: the media type by Accept and
// the content coding by Accept-Encoding (RFC 9110 §12.5), and codes and decodes
// bodies with gzip and zstd.
package media

import (
	"strconv"
	"strings"
)

// Media types that the service speaks.
const (
	JSON    = "application/json"
	Problem = "application/problem+json"
	CSV     = "text/csv"
	Parquet = "application/vnd.apache.parquet"
	HTML    = "text/html"
	Plain   = "text/plain"
	Lines   = "application/x-ndjson"
	Events  = "text/event-stream"
	OpenAPI = "application/vnd.oai.openapi+json"
	Arrow   = "application/vnd.apache.arrow.stream"
	Zip     = "application/zip"
	// A spreadsheet as flat OpenDocument, and as Office Open XML.
	FlatSheet = "application/vnd.oasis.opendocument.spreadsheet-flat-xml"
	Workbook  = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
	PDF       = "application/pdf"
)

// choice is one element of an Accept or Accept-Encoding field.
type choice struct {
	name string // lower case, without parameters
	q    float64
}

// choices reads the elements of a field. One whose weight cannot be read is
// left out, as if it had not been sent.
func choices(field string) []choice {
	var list []choice
	for element := range strings.SplitSeq(field, ",") {
		name, parameters, _ := strings.Cut(element, ";")
		c := choice{name: strings.ToLower(strings.TrimSpace(name)), q: 1}
		ok := c.name != ""
		for p := range strings.SplitSeq(parameters, ";") {
			key, value, _ := strings.Cut(p, "=")
			if strings.EqualFold(strings.TrimSpace(key), "q") {
				q, err := strconv.ParseFloat(strings.TrimSpace(value), 64)
				ok = ok && err == nil && q >= 0 && q <= 1
				c.q = q
			}
		}
		if ok {
			list = append(list, c)
		}
	}
	return list
}

// Choose picks the offer that the client wants most: for each offer the most
// specific range that fits gives the weight, the highest weight wins, and the
// first of equals. Parameters other than q are passed over. An empty field
// accepts anything. ok is false when the client accepts none of the offers.
func Choose(accept string, offers ...string) (offer string, ok bool) {
	if strings.TrimSpace(accept) == "" {
		return offers[0], true
	}
	list := choices(accept)
	best := 0.0
	for _, o := range offers {
		if q := weight(list, o); q > best {
			best, offer = q, o
		}
	}
	return offer, best > 0
}

// weight is that of the most specific range that fits a media type, the highest
// of equally specific ones.
func weight(list []choice, offer string) float64 {
	kind, _, _ := strings.Cut(offer, "/")
	q, specific := 0.0, 0
	for _, c := range list {
		s := 0
		switch c.name {
		case offer:
			s = 3
		case kind + "/*":
			s = 2
		case "*/*", "*": // a lone star is what some clients send for */*
			s = 1
		}
		if s > specific || s == specific && s > 0 && c.q > q {
			q, specific = c.q, s
		}
	}
	return q
}
