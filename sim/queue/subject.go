package queue

import (
	"regexp"
	"strconv"
	"strings"
)

// A place is what a subject of the work or result stream says.
type place struct {
	engine, study, life string
	first               int // run
}

// token makes any text a part of a subject.
func token(text string) string { return notToken.ReplaceAllString(text, "_") }

var (
	notToken = regexp.MustCompile(`[^A-Za-z0-9_-]`)
	isToken  = regexp.MustCompile(`^[A-Za-z0-9_-]{1,64}$`)
)

// on is the subject of the place in a stream, "work" or "result".
func (p place) on(stream string) string { return p.prefix(stream) + strconv.Itoa(p.first) }

// all is the filter for every chunk of the study's life.
func (p place) all(stream string) string { return p.prefix(stream) + "*" }

func (p place) prefix(stream string) string {
	return strings.Join([]string{stream, p.engine, p.study, p.life, ""}, ".")
}

// parsePlace reads a subject; ok is false for one that is none of ours.
func parsePlace(subject string) (p place, ok bool) {
	parts := strings.Split(subject, ".")
	if len(parts) != 5 {
		return place{}, false
	}
	first, err := strconv.Atoi(parts[4])
	return place{parts[1], parts[2], parts[3], first}, err == nil
}
