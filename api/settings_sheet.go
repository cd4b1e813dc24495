package api

import (
	"net/http"
	"slices"

	"bankyear/api/document"
	"bankyear/api/media"
	"bankyear/sim"
	"bankyear/sim/advice"
	"bankyear/sim/cost"
	"bankyear/sim/fault"
)

// SettingsSheet is what is read off a system before any year is run: what to
// program, and whether the parts fit.
type SettingsSheet struct {
	Engine    string                `json:"engine" doc:"Version of the engine, processor architecture and its level."`
	Hash      string                `json:"hash" doc:"Content hash of the expanded system and of the weather, if there is any: SHA-256 of its canonical JSON (RFC 8785), names and notes left out."`
	Name      string                `json:"name,omitzero" required:"false" doc:"Name given in the request."`
	Settings  advice.Sheet          `json:"settings" doc:"What to program: each value with whose it is, where it came from, and what happens if it is wrong."`
	Worst     advice.Verdict        `json:"worst" enum:"pass,caution,fail" doc:"Worst verdict of the fit check."`
	Fit       []advice.Finding      `json:"fit" doc:"The fit check, one finding a rule."`
	Wrong     []advice.Finding      `json:"wrong_settings" doc:"Of these, charger and counter settings that differ from their rule, the one met most often first; a simulation tells what comes of them."`
	Wake      []sim.WakeChain       `json:"wake_chains" doc:"How a bank that sleeps after over-discharge would be woken, and the first link of each chain that does not hold."`
	SiteAir   advice.Extremes       `json:"site_air" doc:"What is known of the site's air; from the weather, when there is any."`
	Assumed   []document.Assumption `json:"assumed" doc:"Every value that nobody stated, with its basis."`
	Catalogue []CatalogueUse        `json:"catalogue" doc:"Catalogue entries that were used, with what was changed in them."`
	Cautions  []string              `json:"cautions" doc:"What a sheet does not settle."`
}

// Sheet takes the JSON of a request, in which weather and load may be left out,
// and reads its system off. isJSON is false when the faults are that it is no
// JSON.
func (cs *Cases) Sheet(raw []byte) (sheet *SettingsSheet, faults fault.Faults, isJSON bool) {
	tree, faults := document.Parse(raw)
	if tree == nil {
		return nil, faults, false
	}
	x := decode(tree, faults)
	r := x.request
	for _, part := range []string{"weather", "load"} {
		if tree.Get(part) == nil {
			at := fault.New().At(part).Pointer()
			x.faults, x.structure = without(x.faults, at), without(x.structure, at)
		}
	}
	weatherHash := ""
	site := advice.Extremes{}
	var fromWeather []document.Assumption
	if tree.Get("weather") != nil {
		sky, found := cs.sky(r, tree)
		x.add(found)
		if sky != nil {
			r.Site, r.CalendarYear = sky.year.Site, sky.year.CalendarYear
			weatherHash, site, fromWeather = sky.hash, advice.ExtremesOf(sky.year), sky.assumed
		}
	}
	filled := append(completeSettings(tree, &r.System), r.System.Complete()...)
	meaning := fault.New()
	r.System.Check(meaning)
	x.add(x.meaningful(meaning.Faults()))
	if len(x.faults) > 0 {
		return nil, condense(x.faults), true
	}
	s := &r.System
	fit := advice.Fit(s, site)
	return &SettingsSheet{
		Engine: Engine(), Hash: document.Hash(s, weatherHash, Engine()), Name: r.Name,
		Settings: advice.SheetOf(s), Worst: advice.Worst(fit), Fit: fit, Wrong: orEmpty(advice.Wrong(s, site)), Wake: s.WakeChains(), SiteAir: site,
		Assumed: slices.DeleteFunc(assumed(x.decoded.Assumed, fromWeather, filled), ofLoad), Catalogue: uses(inOrder(x.catalogue)), Cautions: Cautions,
	}, nil, true
}

// ofLoad tells whether an assumption is about the load, which a sheet does not
// read.
func ofLoad(a document.Assumption) bool { return firstToken(a.Pointer) == "load" }

// postSheet answers the sheet of a system.
func (s *Service) postSheet(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	if p := readParameters(r.URL.Query(), &struct{}{}); p != nil {
		return nil, p
	}
	mediaType, ok := media.Choose(field(r, "Accept"), media.JSON, media.Plain)
	if !ok {
		return nil, only(r, media.JSON)
	}
	raw, leave, p := s.admit(w, r)
	if p != nil {
		return nil, p
	}
	defer leave()
	cases := s.cases()
	sheet, faults, isJSON := cases.Sheet(raw)
	if p := refused(faults, isJSON); p != nil {
		return nil, p
	}
	if mediaType == media.Plain {
		return &reply{mediaType: mediaType, body: []byte(sheet.Text())}, nil
	}
	return told(sheet), nil
}

// Text is the sheet as plain text, to print.
func (s *SettingsSheet) Text() string {
	text := ""
	if s.Name != "" {
		text = s.Name + "\n\n"
	}
	text += s.Settings.Text()
	if wake := advice.WakeText(s.Wake); wake != "" {
		text += "\n" + wake
	}
	text += "\nFit check: " + string(s.Worst) + "\n\n" + advice.Text(s.Fit) + "\nCautions\n\n"
	for _, c := range s.Cautions {
		text += "- " + c + "\n"
	}
	return text + "\n" + s.Hash + "\n" + s.Engine + "\n"
}

// SheetRequest is a request in which weather and load may be left out: the body of
// a sheet as the OpenAPI document tells it.
type SheetRequest struct {
	Name  string `json:"name,omitzero" required:"false" doc:"What the customer calls it; repeated in the answer."`
	Notes string `json:"notes,omitzero" required:"false" doc:"For people; not repeated."`
	sim.System
	Weather *Weather     `json:"weather,omitzero" required:"false" doc:"As for a simulation; tells the site's air."`
	Load    *Load        `json:"load,omitzero" required:"false" catalogue:"load" doc:"As for a simulation; not read."`
	Prices  *cost.Prices `json:"prices,omitzero" required:"false" doc:"As for a simulation; not used."`
}
