package api

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/gorilla/mux"

	"bankyear/api/media"
	"bankyear/sim/fault"
)

// cellParameter is what a query of a cell says beside the values that it
// changes.
type cellParameter struct {
	Version *int   `json:"version,omitzero" query:"version" required:"false" minimum:"1" doc:"Number of a version of the system; the latest when left out."`
	Errors  string `json:"errors" query:"errors" enum:"status,as_text" default:"status" doc:"status: an error has its own status. as_text: it has status 200, for programs that show nothing of an answer with another status; the text is the same and begins with error:." basis:"the status of HTTP"`
}

// readCell reads the query of a cell.
func readCell(query url.Values) (q cellParameter, changes url.Values, faults fault.Faults) {
	own, changes := split(query, q)
	faults = parameterFaults(own, &q)
	return q, changes, faults
}

// figureUnit is the header that tells the unit of a figure, in ASCII.
const figureUnit = "Figure-Unit"

// asciiUnit writes a unit for a header: °C is degC, Ω is ohm, ² is 2. It is empty
// for one that ASCII cannot write, such as the sign of a currency.
func asciiUnit(unit string) string {
	unit = strings.NewReplacer("°C", "degC", "°", "deg", "Ω", "ohm", "²", "2", "³", "3", "µ", "u", "·", ".").Replace(unit)
	if strings.ContainsFunc(unit, func(r rune) bool { return r < ' ' || r > '~' }) {
		return ""
	}
	return unit
}

// number writes a figure with the fewest digits that read back the same, never
// with an exponent, or its text.
func number(value any) string {
	if x, ok := value.(float64); ok {
		return strconv.FormatFloat(x+0, 'f', -1, 64)
	}
	return value.(string)
}

// getFigure answers one figure of a stored system as bare text.
func (s *Service) getFigure(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	if p := only(r, media.Plain); p != nil {
		return nil, p
	}
	if f := further(mux.Vars(r)["figure"]); f != nil {
		return s.getFurther(w, r, f)
	}
	c, p := s.cellOf(r)
	if p != nil {
		return nil, p
	}
	f, p := c.find(mux.Vars(r)["figure"])
	if p != nil {
		return nil, p
	}
	c.mark(w)
	if unit := asciiUnit(f.Unit); unit != "" {
		w.Header().Set(figureUnit, unit)
	}
	return &reply{mediaType: media.Plain, body: []byte(number(f.Value))}, nil
}

// cellOf is the cell that a request asks for.
func (s *Service) cellOf(r *http.Request) (*cell, *Problem) {
	q, changes, faults := readCell(r.URL.Query())
	asked, p := s.ask(mux.Vars(r)["name"], q.Version, changes, faults)
	if p != nil {
		return nil, p
	}
	return s.answer(r.Context(), asked)
}

// getFigures answers every figure of a stored system: two columns of CSV, or the
// whole answer of a simulation as JSON.
func (s *Service) getFigures(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	offers := []string{media.CSV, media.JSON}
	t, ok := media.Choose(field(r, "Accept"), offers...)
	if !ok {
		return nil, notAcceptable.problem("Accept " + strconv.Quote(field(r, "Accept")) + " leaves none of " + strings.Join(offers, ", ") + ".")
	}
	if t == media.JSON {
		return s.getSystemAnswer(w, r)
	}
	c, p := s.cellOf(r)
	if p != nil {
		return nil, p
	}
	c.mark(w)
	rows := [][]string{{"figure", "value"}}
	for _, f := range c.figures {
		if !f.LeftOut {
			rows = append(rows, []string{f.Name, number(f.Value)})
		}
	}
	rows = append(rows, []string{"system_version", strconv.Itoa(c.version)}, []string{"hash", c.hash}, []string{"engine", Engine()})
	return &reply{mediaType: media.CSV, body: writeCSV(rows), filename: mux.Vars(r)["name"] + ".csv"}, nil
}

// getSystemAnswer answers a stored system as a simulation does.
func (s *Service) getSystemAnswer(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	c, x, p := s.furtherOf(w, r, telling{}.deep()...)
	if p != nil {
		return nil, p
	}
	return told(telling{}.answer(c, x.year, x.more)), nil
}

// inCell answers errors as one line of text where the client reads text, and
// with status 200 where it asks for that.
func inCell(handle handler) handler {
	return func(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
		a, p := handle(w, r)
		if p == nil {
			return a, nil
		}
		if r.URL.Query().Get("errors") == "as_text" {
			return &reply{mediaType: media.Plain, body: []byte(p.line()), keep: "no-store"}, nil
		}
		t, _ := media.Choose(field(r, "Accept"), media.Plain, media.CSV, media.Problem, media.JSON)
		p.text = t == media.Plain || t == media.CSV
		return nil, p
	}
}

// mostInLine is how many faults one line tells.
const mostInLine = 3

// line is a problem as one line of text.
func (p *Problem) line() string {
	if len(p.Faults) == 0 {
		return "error: " + p.Detail
	}
	var parts []string
	for i, f := range p.Faults {
		if i == mostInLine && len(p.Faults) > mostInLine+1 {
			parts = append(parts, "and "+count(len(p.Faults)-i, "more fault"))
			break
		}
		parts = append(parts, f.line())
	}
	return "error: " + strings.Join(parts, "; ")
}

// line is a fault on one line, its place as a path with dots.
func (f *Fault) line() string {
	place := f.Parameter
	if place == "" {
		place = asName.Replace(strings.TrimPrefix(f.Pointer, "/"))
	}
	value := f.Value
	if value == "" { // the message says so
		value = nil
	}
	text := fault.Fault{Pointer: place, Value: value, Allowed: f.Allowed, Unit: f.Unit, Message: f.Message}.Error()
	return strings.Join(strings.Fields(text), " ")
}
