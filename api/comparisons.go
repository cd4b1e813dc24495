package api

import (
	"net/http"

	"bankyear/api/media"
	"bankyear/sim"
	"bankyear/sim/fault"
)

// postComparison compares candidates on a base.
func (s *Service) postComparison(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	want, p := readTelling(r.URL.Query())
	if p != nil {
		return nil, p
	}
	if p := only(r, media.JSON); p != nil {
		return nil, p
	}
	raw, free, p := s.readBody(w, r)
	if p != nil {
		return nil, p
	}
	defer free()
	leave, p := s.slots.take(r.Context())
	if p != nil {
		return nil, p
	}
	defer leave()
	cases := Cases{content: s.content}
	x, faults, isJSON := cases.readComparison(raw)
	if p := refused(faults, isJSON); p != nil {
		return nil, p
	}
	body, err := encodeJSON(compare(x, func(c *Case) *Answer { return want.answer(c, s.year(c, want.needsHours())) }))
	if err != nil {
		panic(err) // an answer that is not finite is a mistake of the engine
	}
	return &reply{mediaType: media.JSON, body: body}, nil
}

// year is the year of a case, kept or simulated now; then it is kept.
func (s *Service) year(c *Case, hours bool) *sim.Year {
	if known, ok := s.answers.get(c.Hash); ok && !hours {
		return known.year
	}
	year := c.Plan().Run(hours)
	s.metrics.runs.Add(1)
	s.answers.put(kept{c, withoutHours(year)})
	return year
}

// Compare takes the JSON of a comparison and runs it.
func (cs *Cases) Compare(raw []byte) (*Comparison, fault.Faults) {
	x, faults, _ := cs.readComparison(raw)
	if len(faults) > 0 {
		return nil, faults
	}
	return compare(x, func(c *Case) *Answer { return NewAnswer(c, c.Plan().Run(false)) }), nil
}
