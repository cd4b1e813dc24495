package report

import (
	"math"
	"slices"

	"bankyear/sim"
)

var monthNames = []string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}

// legend names colours in one line.
func (p *paper) legend(colours []colour, names []string) {
	p.font(sans, "", 7.5, ink)
	x := side
	p.y += 4
	for i, name := range names {
		if x+p.pdf.GetStringWidth(name)+8 > p.width-side {
			x = side
			p.y += 4
		}
		p.fill(x, p.y-2.4, 2.6, 2.6, colours[i])
		p.pdf.SetDrawColor(soft[0], soft[1], soft[2])
		p.pdf.SetLineWidth(hairline)
		p.pdf.Rect(x, p.y-2.4, 2.6, 2.6, "D")
		p.put(x+3.6, p.y, name)
		x += p.pdf.GetStringWidth(name) + 9
	}
	p.y += 1.5
}

// bars are ranked values, each with a bar of each bank.
func (p *paper) bars(names []string, values [][]float64, unit string) {
	if len(names) == 0 {
		return
	}
	lowest, highest := 0., 0.
	for _, row := range values {
		lowest, highest = min(lowest, slices.Min(row)), max(highest, slices.Max(row))
	}
	const label, number, thick = 62., 20., 3.
	wide := p.inner - label - number - 5
	scale := wide / max(highest-lowest, 1e-9)
	zero := side + label + 5 - lowest*scale
	for k, name := range names {
		height := float64(len(values[k]))*(thick+0.8) + 1.6
		p.font(sans, "", 8.5, ink)
		lines := p.pdf.SplitText(name, label-4)
		p.room(max(height, float64(len(lines))*3.8+1))
		begin := p.y
		p.font(sans, "", 8.5, ink)
		for i, text := range lines {
			p.put(side, begin+2.6+3.8*float64(i), text)
		}
		y := begin
		for i, x := range values[k] {
			from, to := zero, zero+x*scale
			if x < 0 {
				from, to = to, from
			}
			if x != 0 {
				p.fill(from, y, max(to-from, 0.3), thick, ofBank[i])
			}
			p.font(sans, "", 7.5, ofBank[i])
			if len(p.Banks) > 1 {
				p.put(side+label, y+2.5, letters[i])
			}
			p.font(sans, "", 7.5, ink)
			p.putRight(p.width-side, y+2.5, p.Units.quantity(x, unit))
			y += thick + 0.8
		}
		if lowest < 0 {
			p.line(zero, begin-0.5, zero, y, soft, hairline)
		}
		p.y = max(y, begin+3.8*float64(len(lines))) + 1.2
	}
}

// grid draws the dark hours of each bank by month and time of day.
func (p *paper) grid() {
	p.heading(words.gridTitle, 60)
	p.note(words.gridNote)
	hours := make([][12][24]float64, len(p.Banks))
	most := 0.
	for i := range p.Banks {
		hours[i] = p.Banks[i].darkByMonthAndHour()
		for _, row := range hours[i] {
			most = max(most, slices.Max(row[:]))
		}
	}
	const left, cellH = 9., 3.1
	wide := (p.inner - 8) / 2
	cellW := (wide - left) / 24
	for i := range p.Banks {
		if i%2 == 0 {
			p.room(12*cellH + 8)
		}
		x, y := side+float64(i%2)*(wide+8), p.y+6
		if len(p.Banks) > 1 {
			p.font(serif, "B", 11, ofBank[i])
			p.put(x, y-1, letters[i])
		}
		p.font(sans, "", 6.5, soft)
		for _, h := range []int{0, 6, 12, 18} {
			p.put(x+left+float64(h)*cellW, y-1, clock(h))
		}
		for m, row := range hours[i] {
			p.font(sans, "", 6.5, soft)
			p.put(x, y+(float64(m)+0.78)*cellH, monthNames[m])
			for h, dark := range row {
				p.fill(x+left+float64(h)*cellW+0.1, y+float64(m)*cellH+0.1, cellW-0.2, cellH-0.2, shade(dark, most))
			}
		}
		p.pdf.SetDrawColor(rule[0], rule[1], rule[2])
		p.pdf.SetLineWidth(hairline)
		p.pdf.Rect(x+left, y, 24*cellW, 12*cellH, "D")
		if i%2 == 1 || i == len(p.Banks)-1 {
			p.y = y + 12*cellH + 1
		}
	}
	colours, names := []colour{white}, []string{"0"}
	for _, k := range []float64{1, 3, 6} {
		if most > 0 {
			colours, names = append(colours, shade(most*k*k/36, most)), append(names, p.Units.quantity(most*k*k/36, "h"))
		}
	}
	p.legend(colours, names)
}

// shade goes by the root of the hours, so that a single dark hour is seen.
func shade(hours, most float64) colour {
	if hours < 0.01 || most <= 0 {
		return white
	}
	return dark.mixed(0.12 + 0.88*math.Sqrt(hours/most))
}

func clock(h int) string { return string([]byte{'0' + byte(h/10), '0' + byte(h%10)}) + ":00" }

// layer is one kind of energy of a month.
type layer struct {
	name   string
	colour colour
	kWh    func(*sim.Month) float64
}

// stack draws columns by month, the banks beside each other, of the layers that have
// anything in them.
func (p *paper) stack(title, note string, layers []layer) {
	const high, left = 42., 11.
	p.heading(title, high+18)
	p.note(note)
	months := make([][]sim.Month, len(p.Banks))
	for i := range p.Banks {
		months[i] = p.Banks[i].Year.Months()
	}
	layers = slices.DeleteFunc(layers, func(l layer) bool {
		return !slices.ContainsFunc(months, func(of []sim.Month) bool {
			return slices.ContainsFunc(of, func(m sim.Month) bool { return l.kWh(&m) > 0 })
		})
	})
	most := 1e-9
	for i := range months {
		for m := range months[i] {
			sum := 0.
			for _, l := range layers {
				sum += l.kWh(&months[i][m])
			}
			most = max(most, sum)
		}
	}
	step := niceStep(most / 3)
	full := math.Ceil(most/step-1e-9) * step
	base := p.y + high + 2
	for v := 0.; v <= full+1e-9; v += step {
		y := base - high*v/full
		p.line(side+left, y, p.width-side, y, rule, hairline)
		p.font(sans, "", 6.5, soft)
		p.putRight(side+left-1.5, y+0.8, round(v))
	}
	wide := (p.inner - left) / float64(len(months[0]))
	bar := (wide - 2) / float64(len(p.Banks))
	for m := range months[0] {
		x := side + left + float64(m)*wide + 1
		for i := range p.Banks {
			y := base
			for _, l := range layers {
				h := high * l.kWh(&months[i][m]) / full
				if h <= 0 {
					continue
				}
				y -= h
				p.fill(x+float64(i)*bar, y, bar-0.4, h, l.colour)
			}
			if len(p.Banks) > 1 {
				p.font(sans, "", 6, ofBank[i])
				p.putMiddle(x+(float64(i)+0.5)*bar-0.2, base+2.6, letters[i])
			}
		}
		p.font(sans, "", 6.5, soft)
		p.putMiddle(x+wide/2-1, base+5.6, monthNames[m])
	}
	p.y = base + 6
	var colours []colour
	var names []string
	for _, l := range layers {
		colours, names = append(colours, l.colour), append(names, l.name)
	}
	p.legend(colours, names)
}
