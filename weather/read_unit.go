package weather

import (
	"slices"
	"strings"
)

// unitOf is a unit as a column may have it.
type unitOf struct {
	conversion
	perInterval bool // an amount in the interval, to be divided by its hours
}

// The units that are known, by their text in lower case without signs.
// 1 kWh = 3.6 MJ; 1 mile = 1609.344 m; 1 knot = 1852 m/h; °F by its
// definition (SI Brochure and NIST SP 811, appendix B).
var (
	irradianceUnits = map[string]unitOf{
		"wm2":   {},
		"kwm2":  {conversion{1000, 0}, false},
		"whm2":  {conversion{1, 0}, true},
		"kwhm2": {conversion{1000, 0}, true},
		"jm2":   {conversion{1 / 3600.0, 0}, true},
		"kjm2":  {conversion{1 / 3.6, 0}, true},
		"mjm2":  {conversion{1000 / 3.6, 0}, true},
		"jcm2":  {conversion{10000 / 3600.0, 0}, true},
	}
	temperatureUnits = map[string]unitOf{
		"c": {}, "degc": {}, "celsius": {},
		"k": kelvin, "kelvin": kelvin,
		"f": fahrenheit, "degf": fahrenheit, "fahrenheit": fahrenheit,
	}
	speedUnits = map[string]unitOf{
		"ms":  {},
		"kmh": kilometres, "kph": kilometres,
		"mph": {conversion{0.44704, 0}, false},
		"kn":  knots, "kt": knots, "knots": knots,
	}

	kelvin     = unitOf{conversion{1, -273.15}, false}
	fahrenheit = unitOf{conversion{5 / 9.0, -160 / 9.0}, false}
	kilometres = unitOf{conversion{1 / 3.6, 0}, false}
	knots      = unitOf{conversion{1852 / 3600.0, 0}, false}
)

func unitsOf(c column) map[string]unitOf {
	switch {
	case c.isIrradiance():
		return irradianceUnits
	case c == ambient:
		return temperatureUnits
	}
	return speedUnits
}

// setUnit takes the stated unit, else the header's, else that of the Year,
// which is then listed as assumed.
func (h *header) setUnit(p *Problems, line int, c column, text string, o ReadOptions) {
	if stated, ok := o.Units[c.String()]; ok {
		text = stated
	}
	if text == "" {
		h.assumed = append(h.assumed, Assumed{c.String() + " unit", columnInfos[c].unit, "the header names no unit"})
		return
	}
	known := unitsOf(c)
	u, ok := known[plainUnit(text)]
	if !ok {
		names := make([]string, 0, len(known))
		for name := range known {
			names = append(names, name)
		}
		slices.Sort(names)
		p.add(Problem{Line: line, Column: h.field[c], Member: c.String(), Index: -1, Value: text, Allowed: strings.Join(names, ", "), Message: "has an unknown unit", Cause: ErrColumn})
		return
	}
	h.unit[c], h.perInterval[c] = u.conversion, u.perInterval
}

// plainUnit brings "kW/m²", "W m^-2" or "°C" to the form of the tables.
func plainUnit(text string) string {
	text = strings.ToLower(strings.TrimSpace(text))
	text = strings.NewReplacer("²", "2", "^-2", "2", "^2", "2", "⁻", "", "°", "", "-2", "2", "-1", "", "per", "").Replace(text)
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, text)
}
