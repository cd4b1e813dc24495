package api

import (
	"net/http"
	"strconv"
	"strings"

	"bankyear/api/media"
	"bankyear/sim"
	"bankyear/sim/fault"
)

// postComparison compares candidates on a base.
func (s *Service) postComparison(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	want, p := readComparing(r.URL.Query())
	if p != nil {
		return nil, p
	}
	offers := []string{media.JSON, media.Workbook, media.PDF}
	mediaType, ok := media.Choose(field(r, "Accept"), offers...)
	if !ok {
		return nil, notAcceptable.problem("Accept " + strconv.Quote(field(r, "Accept")) + " leaves none of " + strings.Join(offers, ", ") + ".")
	}
	if mediaType == media.Workbook {
		want = want.inWorkbook(r.URL.Query().Has("detail"))
		want.brief = false // its sheets show the verdict and the ranges
	}
	raw, leave, p := s.admit(w, r)
	if p != nil {
		return nil, p
	}
	defer leave()
	cases := s.cases()
	x, faults, isJSON := cases.readComparison(raw)
	if p := refused(faults, isJSON); p != nil {
		return nil, p
	}
	if mediaType == media.Workbook {
		if p := want.tooMany(len(x.candidates)); p != nil {
			return nil, p
		}
	}
	if mediaType == media.PDF {
		return s.printComparison(s.crew(r.Context()), x, want)
	}
	c := compare(s.crew(r.Context()), x, want, s.answers)
	if c == nil {
		return nil, gone()
	}
	if mediaType == media.Workbook {
		return workbookOf(x, c), nil
	}
	body, err := encodeJSON(c)
	if err != nil {
		panic(err) // an answer that is not finite is a mistake of the engine
	}
	return &reply{mediaType: media.JSON, body: body}, nil
}

// Compare takes the JSON of a comparison and runs it.
func (cs *Cases) Compare(raw []byte, details ...Detail) (*Comparison, fault.Faults) {
	x, faults, _ := cs.readComparison(raw)
	if len(faults) > 0 {
		return nil, faults
	}
	return compare(alone(), x, telling{details: details}, newAnswers(len(x.candidates))), nil
}

// compare simulates the candidates, tells them and puts them side by side. What
// was simulated is kept. It is nil when nobody waits for it any more.
func compare(by *crew, x *comparison, want telling, known answers) *Comparison {
	subjects := make([]*subject, len(x.candidates))
	var missing []*subject
	for i, c := range x.candidates {
		k, _ := known.get(c.c.Hash)
		subjects[i] = &subject{c: c.c, year: k.year, more: k.more}
		if k.more == nil {
			subjects[i].more = &more{}
		}
		if subjects[i].year == nil || want.needsHours() {
			missing = append(missing, subjects[i])
		}
	}
	// The first plan is made before the others, which take over what it has.
	if len(missing) > 0 {
		missing[0].prepare(by)
	}
	if !by.each(len(missing), func(i int) { missing[i].run(by, want.needsHours(), nil, missing[0].plan) }) {
		return nil
	}
	if !want.brief {
		want.details = append([]Detail{WithBands, WithEndurance}, want.details...)
		if !deepen(by, subjects, want.deep()...) {
			return nil
		}
	}
	out := &Comparison{Engine: Engine(), Name: x.name, Reference: x.candidates[0].name, Notes: append(orEmpty(x.notes), notes...), Cautions: Cautions}
	var all []judged
	var names []string
	for i, c := range x.candidates {
		answer := want.answer(c.c, subjects[i].year, subjects[i].more)
		out.Candidates = append(out.Candidates, Candidate{c.name, answer})
		j := judged{name: c.name, s: &c.c.System, f: &answer.Figures, more: subjects[i].more, weather: c.c.Weather, load: c.c.Load}
		if answer.Money != nil {
			j.present = &answer.Money.PresentValue
		}
		if want.brief {
			j.more = &more{bands: bandsOf([]*sim.Year{subjects[i].year})}
		}
		all, names = append(all, j), append(names, c.name)
		known.put(kept{c.c, withoutHours(subjects[i].year), subjects[i].more})
	}
	out.Figures = sideBySide(all)
	if !want.brief {
		out.Figures = append(out.Figures, furtherRows(subjects, names, want.details)...)
	}
	if len(x.years) > 0 {
		if out.ManyYears = manyYears(by, x); out.ManyYears == nil {
			return nil
		}
	}
	if !want.brief {
		overYears(all, out.ManyYears)
		out.Verdict = verdictOf(all)
	}
	return out
}
