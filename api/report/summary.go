package report

import (
	"encoding/json"
	"slices"
	"strings"

	"bankyear/sim"
)

// summary is the first page: what the customer reads.
func (p *paper) summary() {
	p.font(serif, "B", 22, ink)
	p.y += 7
	p.put(side, p.y, p.title())
	p.font(serif, "I", 11, soft)
	p.y += 6
	sub := words.twoBanks
	if len(p.Banks) == 1 {
		sub = words.oneBank
	}
	p.put(side, p.y, sub)
	p.y += 4
	p.numbers()
	p.y += 2
	if len(p.Verdict) > 0 && len(p.Banks) > 1 {
		p.flow(side, p.inner, p.Verdict[0], serif, "", 14, ink, 1)
	}
	p.heading(words.inShort, 20)
	for i := range p.Banks {
		p.paragraph(p.inShort(i))
	}
	p.note(words.typicalYear)
	p.years()
	p.figures()
	if len(p.Verdict) > 1 {
		p.heading(words.verdictTitle, 20)
		p.bullets(p.Verdict[1:])
	}
	p.attended()
	p.limits()
	p.reserve()
	if p.anyFinding() {
		p.heading(words.findingsTitle, 10)
		for i := range p.Banks {
			if len(p.Banks) > 1 && len(p.Banks[i].Findings) > 0 {
				p.bankName(i)
			}
			p.bullets(p.Banks[i].Findings)
		}
	}
}

func (p *paper) anyFinding() bool {
	for i := range p.Banks {
		if len(p.Banks[i].Findings) > 0 {
			return true
		}
	}
	return false
}

// bankName is a line that says of which bank the rest is.
func (p *paper) bankName(i int) {
	p.room(22)
	p.font(sans, "B", bodyPt, ofBank[i])
	p.y += 5
	p.put(side, p.y, bankWord+letters[i]+": "+p.Banks[i].Title)
	p.y += 1
}

// numbers are the dark hours in large type, the banks side by side.
func (p *paper) numbers() {
	n := len(p.Banks)
	const gap = 6.
	wide := (p.inner - gap*float64(max(n, 2)-1)) / float64(max(n, 2))
	begin, deepest := p.y, p.y
	for i := range p.Banks {
		b, x := &p.Banks[i], side+float64(i)*(wide+gap)
		p.y = begin
		if i%2 == 1 {
			p.pdf.SetDashPattern([]float64{2, 1}, 0)
		}
		p.line(x, p.y, x+wide, p.y, ofBank[i], 1)
		p.pdf.SetDashPattern(nil, 0)
		p.font(serif, "", 38, ofBank[i])
		p.y += 14
		text := round(b.Year.Figures.DowntimeH)
		p.put(x, p.y, text)
		shift := p.pdf.GetStringWidth(text) + 2
		p.font(serif, "", 18, ofBank[i])
		p.put(x+shift, p.y, "h")
		if n > 1 {
			p.font(serif, "B", 14, ofBank[i])
			p.putRight(x+wide, begin+6, letters[i])
		}
		p.y += 1
		p.flow(x, wide, words.darkAYear, sans, "", bodyPt, ink, 0)
		p.flow(x, wide, b.Title, sans, "", notePt, soft, 0)
		deepest = max(deepest, p.y)
	}
	p.y = deepest
}

// figures is the table of what a quote uses.
func (p *paper) figures() {
	p.heading(words.sideBySide, 30)
	columns := []column{{head: words.figure, part: 3, ink: ink}}
	values := make([]map[string]any, len(p.Banks))
	for i := range p.Banks {
		head := p.Banks[i].Title
		if len(p.Banks) > 1 {
			head = letters[i]
		}
		columns = append(columns, column{head: head, part: 1.2, right: true, ink: ofBank[i]})
		values[i] = byName(&p.Banks[i].Year.Figures)
	}
	if len(p.Banks) == 2 {
		columns = append(columns, column{head: words.difference, part: 1.3, right: true, ink: soft})
	}
	var rows [][]string
	grid := slices.ContainsFunc(p.Banks, func(b Bank) bool { return b.Year.Figures.GridH > 0 })
	for _, h := range headline {
		if strings.HasPrefix(h.figure, "grid_") && !grid {
			continue
		}
		row := []string{h.name}
		told := false
		for i := range p.Banks {
			x, there := values[i][h.figure].(float64)
			if !there {
				row = append(row, "–")
				continue
			}
			told = true
			row = append(row, p.value(h.figure, x))
		}
		if len(p.Banks) == 2 {
			row = append(row, p.difference(h.figure, values))
		}
		if told {
			rows = append(rows, row)
		}
	}
	p.table(columns, rows, 8.8)
}

// difference says what the second bank has more or less than the first.
func (p *paper) difference(figure string, values []map[string]any) string {
	a, isA := values[0][figure].(float64)
	b, isB := values[1][figure].(float64)
	if !isA || !isB {
		return ""
	}
	text := ""
	switch d := max(a-b, b-a); {
	case strings.HasSuffix(figure, "_fraction"):
		text = round(100*d) + " points"
		if text == "1 points" {
			text = "1 point"
		}
	case strings.HasPrefix(figure, "years_"):
		text = round(d)
	default:
		text = p.Units.difference(d, unitOf(figure))
	}
	switch {
	case strings.HasPrefix(text, "0 ") || strings.HasPrefix(text, "0\u00a0") || text == "0":
		return "the same"
	case b > a:
		return text + " more"
	}
	return text + " less"
}

// value is a figure as it is read.
func (p *paper) value(figure string, x float64) string {
	if strings.HasSuffix(figure, "_fraction") {
		return percent(x)
	}
	if strings.HasPrefix(figure, "years_") {
		return round(x)
	}
	return p.Units.quantity(x, unitOf(figure))
}

// byName has the figures by the names that answers give them.
func byName(f *sim.Figures) map[string]any {
	raw, err := json.Marshal(f)
	if err != nil {
		panic("report: " + err.Error()) // figures are finite
	}
	out := map[string]any{}
	if err := json.Unmarshal(raw, &out); err != nil {
		panic("report: " + err.Error())
	}
	return out
}
