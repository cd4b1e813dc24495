package api

import (
	"fmt"
	"maps"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"

	"github.com/gorilla/mux"

	"bankyear/api/document"
	"bankyear/api/media"
	"bankyear/api/report"
	"bankyear/sim"
	"bankyear/sim/advice"
	"bankyear/sim/fault"
	"bankyear/weather"
)

// reportParameter is the query of a printed report.
type reportParameter struct {
	Against string `json:"against,omitzero" query:"against" required:"false" doc:"Content hashes of one to three other answers on the same calendar and step, separated by commas: they stand beside this one."`
	Printed
}

// getReport prints a simulation, or several side by side.
func (s *Service) getReport(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	var q reportParameter
	if p := readParameters(r.URL.Query(), &q); p != nil {
		return nil, p
	}
	if p := only(r, media.PDF); p != nil {
		return nil, p
	}
	hashes := []string{mux.Vars(r)["hash"]}
	if q.Against != "" {
		hashes = append(hashes, strings.Split(q.Against, ",")...)
	}
	if len(hashes) > report.MostBanks {
		return nil, badParameters(fault.Faults{{Pointer: "/against", Value: q.Against, Allowed: fmt.Sprintf("1 to %d hashes", report.MostBanks-1), Message: "has too many"}})
	}
	var cases []*Case
	for _, hash := range hashes {
		k, ok := s.answers.get(hash)
		if !ok {
			return nil, notFound.problem("No answer with the hash " + shorten(hash) + " is kept here.")
		}
		cases = append(cases, k.c)
	}
	for _, c := range cases[1:] {
		if c.Weather.CalendarYear != cases[0].Weather.CalendarYear || c.Weather.StepS != cases[0].Weather.StepS {
			return nil, badParameters(fault.Faults{{Pointer: "/against", Value: q.Against, Allowed: "answers on the same calendar year and step", Message: "is on another calendar"}})
		}
	}
	leave, p := s.slots.take(r.Context())
	if p != nil {
		return nil, p
	}
	defer leave()
	return s.print(s.crew(r.Context()), cases, nil, q.Printed)
}

// print puts cases on paper; names are those of candidates, if they have any.
func (s *Service) print(by *crew, cases []*Case, names []string, on Printed) (*reply, *Problem) {
	out := s.reportOf(by, cases)
	if out == nil {
		return nil, gone()
	}
	for i, name := range names {
		out.Banks[i].Title = name + ": " + out.Banks[i].Title
	}
	out.Paper, out.Units = report.Paper(on.Paper), report.Units(on.Units)
	return &reply{mediaType: media.PDF, body: out.PDF(), filename: filename(out.Title, cases[0].Hash)}, nil
}

// printComparison puts the candidates of a comparison on paper.
func (s *Service) printComparison(by *crew, x *comparison, want telling) (*reply, *Problem) {
	var cases []*Case
	var names []string
	for _, c := range x.candidates {
		cases, names = append(cases, c.c), append(names, c.name)
		if first := x.candidates[0].c.Weather; c.c.Weather.CalendarYear != first.CalendarYear || c.c.Weather.StepS != first.StepS {
			return nil, faultyInput.faults(fault.Faults{{Pointer: "/candidates/" + c.name, Allowed: "one calendar year and step", Message: "stands on another calendar than the reference: they cannot be drawn side by side"}})
		}
	}
	if len(cases) > report.MostBanks {
		return nil, faultyInput.faults(fault.Faults{{Pointer: "/candidates", Value: len(cases), Allowed: fmt.Sprintf("up to %d with the base", report.MostBanks), Unit: "items", Message: "are more than stand side by side on paper"}})
	}
	return s.print(by, cases, names, want.printed)
}

func shorten(hash string) string {
	if len(hash) > 64 {
		return hash[:64] + "…"
	}
	return hash
}

// filename is what a browser calls a report that it saves.
func filename(title, hash string) string {
	plain := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r - 'A' + 'a'
		}
		return '-'
	}, title)
	words := strings.FieldsFunc(plain, func(r rune) bool { return r == '-' })
	return strings.Join(append(words, hash[:12]), "-") + ".pdf"
}

// reportOf runs the years of cases and puts them on paper; nil when nobody waits
// any more.
func (s *Service) reportOf(by *crew, cases []*Case) *report.Report {
	x := &comparison{}
	for i, c := range cases {
		x.candidates = append(x.candidates, candidate{name: report.NameOf(i, len(cases)), c: c})
	}
	told := compare(by, x, telling{details: []Detail{WithHeadroom, WithReliefs}}, s.answers)
	if told == nil {
		return nil
	}
	out := &report.Report{Title: cases[0].Name, Engine: Engine(), Notes: notes, Cautions: Cautions, Weather: weatherWords(cases[0])}
	for _, text := range append([]string{told.Verdict.Title}, told.Verdict.Words...) {
		if text = report.Capital(text); !slices.Contains(out.Verdict, text) {
			out.Verdict = append(out.Verdict, text)
		}
	}
	out.Years = yearsBehind(by, cases)
	var stated []map[string]string
	for i, c := range cases {
		year := s.year(c, true)
		p := &c.System.Bank.Module.Protection
		answer := told.Candidates[i].Answer
		b := report.Bank{Title: bankTitle(c), Hash: c.Hash, CalendarYear: c.Weather.CalendarYear, StepS: c.Weather.StepS, Year: year,
			Findings: findings(&c.System, year), Sheet: advice.SheetOf(&c.System), Fit: advice.Fit(&c.System, advice.ExtremesOf(c.Weather)), Wake: advice.WakeWords(c.System.WakeChains()), ChargeColdC: p.ChargeColdC, ChargeHotC: p.ChargeHotC,
			Reserve: append([]string{answer.Headroom.Words}, answer.Endurance.Words...), Money: answer.Money,
			People: [2]report.Dark{{H: answer.People.Attended.DowntimeH, Visits: answer.People.Attended.Visits}, {H: answer.People.Nobody.DowntimeH, Visits: answer.People.Nobody.Visits}}}
		for _, r := range answer.Reliefs.ByHours {
			b.Reliefs = append(b.Reliefs, report.Relief{Doc: r.What, SavesH: r.SavesH})
		}
		out.Banks = append(out.Banks, b)
		stated = append(stated, c.Stated)
	}
	out.Inputs, out.Differs = report.Inputs(stated)
	out.Assumed = assumedOf(cases)
	return out
}

// yearsBehind are the dark hours of each case in twenty years with the monthly
// means of its weather, sorted; nil where no such years can be made.
func yearsBehind(by *crew, cases []*Case) [][]float64 {
	const members, seed = 20, 1
	w := cases[0].Weather
	if w.GHI == nil || w.StepS != 3600 || slices.ContainsFunc(cases, func(c *Case) bool { return c.Weather.Hash() != w.Hash() }) {
		return nil
	}
	means := w.MonthlyMeans()
	for _, list := range [][]float64{means.GHIKWhM2D, means.AmbientC, means.WindMS} {
		for i, x := range list {
			list[i] = math.Round(1e4*x) / 1e4 // as the page asks for them
		}
	}
	out := make([][]float64, len(cases))
	for i := range out {
		out[i] = make([]float64, members)
	}
	var failed atomic.Bool
	by.each(members, func(member int) {
		year, err := weather.Synthesise(means, weather.Synthesis{CalendarYear: w.CalendarYear, Seed: seed, Member: uint64(member)})
		if err != nil { // brighter than a sky without clouds
			failed.Store(true)
			return
		}
		var like *sim.Plan
		for i, c := range cases {
			p := sim.Compile(&c.System, year, c.Load)
			if like != nil {
				p = sim.CompileLike(&c.System, year, c.Load, like)
			}
			like = p
			out[i][member] = p.Run(false).Figures.DowntimeH
			by.count()
		}
	})
	if failed.Load() {
		return nil
	}
	for _, hours := range out {
		slices.Sort(hours)
	}
	return out
}

// bankTitle names a bank in a few words.
func bankTitle(c *Case) string {
	b := &c.System.Bank
	title := fmt.Sprintf("%d-cell, %s Ah", b.Module.CellsInSeries, short(b.Module.CapacityAh))
	for _, u := range uses(c.Catalogue) {
		if u.Pointer == "/bank/module" {
			title = u.Title
		}
	}
	return fmt.Sprintf("%d × %s, %s", b.Modules, title, strings.ReplaceAll(b.Operation, "_", "-"))
}

// assumedOf joins what was assumed for each case; where the values differ each is
// told.
func assumedOf(cases []*Case) []report.Assumed {
	values, basis := map[string][]string{}, map[string]string{}
	for i, c := range cases {
		for _, a := range c.Assumed {
			path := strings.ReplaceAll(strings.TrimPrefix(a.Pointer, "/"), "/", ".")
			if values[path] == nil {
				values[path] = slices.Repeat([]string{"stated"}, len(cases))
			}
			values[path][i], basis[path] = strings.TrimSpace(assumedText(a.Value)+" "+a.Unit), a.Basis
		}
	}
	out := []report.Assumed{}
	for _, path := range slices.Sorted(maps.Keys(values)) {
		list := values[path]
		text := list[0]
		if slices.ContainsFunc(list, func(v string) bool { return v != text }) {
			text = strings.Join(list, " / ")
		}
		out = append(out, report.Assumed{Path: path, Value: text, Basis: basis[path]})
	}
	return out
}

// assumedText is a value of which a computed one has five digits, as text for people.
func assumedText(v any) string {
	if x, isNumber := v.(float64); isNumber {
		x, _ = strconv.ParseFloat(strconv.FormatFloat(x, 'g', 5, 64), 64)
		return exact(x)
	}
	raw, err := encodeJSON(v)
	if err != nil {
		return fmt.Sprint(v)
	}
	tree, faults := document.Parse(raw)
	if len(faults) > 0 {
		panic("api: " + faults.Error()) // what was just written can be read
	}
	return strings.ReplaceAll(inputText(tree), "_", " ")
}

// weatherWords says what the weather of a case is.
func weatherWords(c *Case) []string {
	w := c.Weather
	sum := 0.
	for _, x := range w.GHI {
		sum += x * float64(w.StepS) / 3.6e6
	}
	out := fmt.Sprintf("%s° %s, %s° %s, %s m; %d intervals of %d min dated %d.", short(abs(w.Site.LatitudeDeg)), hemisphere(w.Site.LatitudeDeg, "N", "S"),
		short(abs(w.Site.LongitudeDeg)), hemisphere(w.Site.LongitudeDeg, "E", "W"), short(w.Site.ElevationM), w.Len(), w.StepS/60, w.CalendarYear)
	if len(w.GHI) > 0 {
		out += fmt.Sprintf(" Global irradiation %s kWh/m² a year.", short(sum))
	}
	low, high := slices.Min(w.AmbientC), slices.Max(w.AmbientC)
	out += fmt.Sprintf(" Air from %s to %s °C. Hash of its columns %s.", short(low), short(high), w.Hash())
	return append([]string{out}, c.Notes...)
}

func abs(x float64) float64 { return max(x, -x) }

func hemisphere(x float64, above, below string) string {
	if x < 0 {
		return below
	}
	return above
}

// reportOperation is the printed report.
func reportOperation(s *Service) operation {
	return operation{method: http.MethodGet, path: "/v1/simulations/{hash}/report.pdf", id: "report", summary: "The answer on paper",
		description: "For the customer: the answer in plain words, figures, charts, what to program, the fit check, what was stated and assumed, cautions, and the hash to make it again. Of the simulations that were asked for last.",
		pathValues:  map[string]string{"hash": "Content hash of the answer."},
		query:       reportParameter{}, answers: map[string]any{media.PDF: nil}, problems: append([]kindOfProblem{busy}, reading...), handle: s.getReport}
}
