package api

import (
	"context"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/gorilla/mux"

	"bankyear/api/media"
	"bankyear/sim"
	"bankyear/sim/fault"
)

// parquetAlias is a name under which some clients ask for Parquet.
const parquetAlias = "application/x-parquet"

// postSimulation simulates one year.
func (s *Service) postSimulation(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	want, p := wanted(r)
	if p != nil {
		return nil, p
	}
	raw, leave, p := s.admit(w, r)
	if p != nil {
		return nil, p
	}
	defer leave()
	cases := s.cases()
	c, faults, isJSON := cases.Read(raw)
	if p := refused(faults, isJSON); p != nil {
		return nil, p
	}
	known, _ := s.answers.get(c.Hash)
	return s.tell(r.Context(), kept{c, known.year, known.more}, want)
}

// getSimulation tells a simulation again, in any detail and type.
func (s *Service) getSimulation(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	want, p := wanted(r)
	if p != nil {
		return nil, p
	}
	k, ok := s.answers.get(mux.Vars(r)["hash"])
	if !ok {
		return nil, notFound.problem("No answer with this hash is kept here.")
	}
	leave, p := s.slots.take(r.Context())
	if p != nil {
		return nil, p
	}
	defer leave()
	return s.tell(r.Context(), k, want)
}

// asked is how a client wants a simulation told.
type asked struct {
	mediaType string
	telling
}

// wanted reads Accept and the query before any work is done.
func wanted(r *http.Request) (asked, *Problem) {
	t, p := readTelling(r.URL.Query())
	if p != nil {
		return asked{}, p
	}
	offers := []string{media.JSON, media.CSV, media.Parquet, parquetAlias, media.Arrow}
	mediaType, ok := media.Choose(field(r, "Accept"), offers...)
	if !ok {
		return asked{}, notAcceptable.problem("Accept " + strconv.Quote(field(r, "Accept")) + " leaves none of " + strings.Join(offers, ", ") + ".")
	}
	return asked{mediaType, t}, nil
}

// refused is the problem of a body with faults, nil when there are none.
func refused(faults fault.Faults, isJSON bool) *Problem {
	switch {
	case len(faults) == 0:
		return nil
	case !isJSON:
		return notJSON.faults(faults)
	}
	return faultyInput.faults(faults)
}

// tell runs what has not been run, keeps it, and encodes it.
func (s *Service) tell(ctx context.Context, k kept, want asked) (*reply, *Problem) {
	asJSON := want.mediaType == media.JSON
	deep := want.deep()
	if !asJSON {
		deep = nil
	}
	x, p := s.simulated(ctx, k, !asJSON || want.needsHours(), deep...)
	if p != nil {
		return nil, p
	}
	out := &reply{mediaType: want.mediaType, location: "/v1/simulations/" + k.c.Hash}
	var err error
	if asJSON {
		out.location += want.query()
		out.body, err = encodeJSON(want.answer(k.c, x.year, x.more))
	} else {
		out.body, err = Encode(k.c, x.year, want.mediaType, Hours)
	}
	if err != nil {
		panic(err) // an answer that is not finite is a mistake of the engine
	}
	switch want.mediaType {
	case media.CSV:
		out.filename = k.c.Hash[:12] + ".csv"
	case media.Parquet, parquetAlias:
		out.filename = k.c.Hash[:12] + ".parquet"
	case media.Arrow:
		out.filename = k.c.Hash[:12] + ".arrows"
	}
	return out, nil
}

// simulated runs what has not been run of a simulation, and keeps it.
func (s *Service) simulated(ctx context.Context, k kept, hours bool, deep ...Detail) (*subject, *Problem) {
	by := s.crew(ctx)
	x := &subject{c: k.c, year: k.year, more: k.more}
	if x.more == nil {
		x.more = &more{}
	}
	switch {
	case x.year == nil && !hours && slices.Contains(deep, WithPeople):
		x.runWithPeople(by)
	case x.year == nil || hours:
		x.run(by, hours, nil)
	}
	if !deepen(by, []*subject{x}, deep...) {
		return nil, gone()
	}
	s.answers.put(kept{k.c, withoutHours(x.year), x.more})
	return x, nil
}

// withoutHours is a year as it is kept: the hours are large and quick to make
// again.
func withoutHours(y *sim.Year) *sim.Year {
	short := *y
	short.Hours = nil
	return &short
}

// Encode writes a year in a media type: JSON in any detail, the hours as CSV,
// Parquet or an Arrow stream. The year must hold its hours where they are told.
func Encode(c *Case, y *sim.Year, mediaType string, d Detail) ([]byte, error) {
	switch mediaType {
	case media.CSV:
		return EncodeCSV(y.Hours), nil
	case media.Parquet, parquetAlias:
		return EncodeParquet(y.Hours, c.Hash)
	case media.Arrow:
		return EncodeArrow(y.Hours, c.Hash)
	}
	return encodeJSON(NewAnswer(c, y, d))
}

// year is the year of a case, kept or simulated now; then it is kept.
func (s *Service) year(c *Case, hours bool) *sim.Year {
	k, ok := s.answers.get(c.Hash)
	if ok && !hours {
		return k.year
	}
	year := s.lastPlans.compile(c).Run(hours)
	s.metrics.runs.Add(1)
	s.answers.put(kept{c, withoutHours(year), k.more})
	return year
}
