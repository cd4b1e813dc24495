package report

import (
	"math"
	"slices"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// frame is the field of a line chart: its corner and size in mm, and the range of
// what it shows.
type frame struct {
	x, y, w, h float64
	low, high  float64
	n          int // points from edge to edge
}

func (f *frame) at(i int, v float64) fpdf.PointType {
	v = min(max(v, f.low), f.high)
	return fpdf.PointType{X: f.x + f.w*(float64(i)+0.5)/float64(f.n), Y: f.y + f.h*(1-(v-f.low)/(f.high-f.low))}
}

// axis draws the rules of a frame with their numbers.
func (p *paper) axis(f *frame, step float64) {
	for v := math.Ceil(f.low/step-1e-9) * step; v <= f.high+1e-9; v += step {
		y := f.y + f.h*(1-(v-f.low)/(f.high-f.low))
		p.line(f.x, y, f.x+f.w, y, rule, hairline)
		p.font(sans, "", 6.5, soft)
		p.putRight(f.x-1.5, y+0.8, round(v))
	}
}

// curve draws a line through the values; bank B and D are dashed.
func (p *paper) curve(f *frame, values []float64, c colour, width float64, dash []float64) {
	p.pdf.SetDrawColor(c[0], c[1], c[2])
	p.pdf.SetLineWidth(width)
	p.pdf.SetDashPattern(dash, 0)
	pen := false
	for i, v := range values {
		if math.IsNaN(v) {
			pen = false
			continue
		}
		at := f.at(i, v)
		if pen {
			p.pdf.LineTo(at.X, at.Y)
			continue
		}
		if i > 0 {
			p.pdf.DrawPath("D")
		}
		p.pdf.MoveTo(at.X, at.Y)
		pen = true
	}
	p.pdf.DrawPath("D")
	p.pdf.SetDashPattern(nil, 0)
}

// dashOf tells banks apart without colour.
func dashOf(i int) []float64 {
	return [][]float64{nil, {1.6, 0.9}, {0.5, 0.7}, {3, 0.8, 0.5, 0.8}}[i]
}

// band fills what lies between the lowest and the highest of each day.
func (p *paper) band(f *frame, low, high []float64, c colour) {
	var points []fpdf.PointType
	for i, v := range high {
		points = append(points, f.at(i, v))
	}
	for i, v := range slices.Backward(low) {
		points = append(points, f.at(i, v))
	}
	p.pdf.SetFillColor(c[0], c[1], c[2])
	p.pdf.Polygon(points, "F")
}

// monthsBelow writes the months under a frame of days.
func (p *paper) monthsBelow(f *frame, year int) {
	p.font(sans, "", 6.5, soft)
	for m := range 12 {
		day := float64(time.Date(year, time.Month(m+1), 1, 0, 0, 0, 0, time.UTC).YearDay() - 1)
		x := f.x + f.w*day/float64(f.n)
		p.line(x, f.y, x, f.y+f.h, rule, hairline)
		p.put(x+0.8, f.y+f.h+3, monthNames[m])
	}
}

// charge draws the state of charge through the year, a frame for each bank.
func (p *paper) charge() {
	const high, left = 21., 9.
	p.heading(words.socTitle, float64(len(p.Banks))*(high+6)+8)
	p.note(words.socNote)
	for i := range p.Banks {
		b := &p.Banks[i]
		p.room(high + 9)
		low, top := b.daily("soc_fraction", 100)
		f := frame{x: side + left, y: p.y + 2, w: p.inner - left, h: high, low: 0, high: 100, n: len(low)}
		p.axis(&f, 50)
		p.monthsBelow(&f, b.CalendarYear)
		p.band(&f, low, top, ofBank[i].mixed(0.45))
		p.curve(&f, low, ofBank[i], 0.25, nil)
		for d, hours := range b.darkByDay() {
			if hours > 0 {
				p.fill(f.x+f.w*float64(d)/float64(f.n), f.y+f.h, max(f.w/float64(f.n), 0.45), 1.3, dark)
			}
		}
		if len(p.Banks) > 1 {
			p.font(serif, "B", 11, ofBank[i])
			p.put(side, f.y+4, letters[i])
		}
		p.y = f.y + high + 5
	}
}

// cells draws the cell temperature by day with the charge window.
func (p *paper) cells() {
	const high, left = 38., 11.
	p.heading(words.cellsTitle+", "+p.degree(), high+14)
	p.note(words.cellsNote)
	show := func(c float64) float64 { x, _ := p.Units.in(c, "°C"); return x }
	lows, highs := make([][]float64, len(p.Banks)), make([][]float64, len(p.Banks))
	f := frame{x: side + left, y: p.y + 2, w: p.inner - left, h: high, low: math.Inf(1), high: math.Inf(-1)}
	for i := range p.Banks {
		lows[i], highs[i] = p.Banks[i].daily("bank_c", 1)
		for d := range lows[i] {
			lows[i][d], highs[i][d] = show(lows[i][d]), show(highs[i][d])
		}
		f.low, f.high, f.n = min(f.low, slices.Min(lows[i])), max(f.high, slices.Max(highs[i])), len(lows[i])
	}
	f.low = min(f.low, show(p.Banks[0].ChargeColdC))
	step := niceStep((f.high - f.low) / 5)
	f.low, f.high = math.Floor(f.low/step)*step, math.Ceil(f.high/step)*step
	p.axis(&f, step)
	p.monthsBelow(&f, p.Banks[0].CalendarYear)
	for i := range p.Banks {
		p.curve(&f, lows[i], ofBank[i], 0.3, dashOf(i))
		p.curve(&f, highs[i], ofBank[i].mixed(0.6), 0.2, dashOf(i))
	}
	for _, edge := range []float64{p.Banks[0].ChargeColdC, p.Banks[0].ChargeHotC} {
		if v := show(edge); v >= f.low && v <= f.high {
			p.curve(&f, slices.Repeat([]float64{v}, f.n), dark, 0.3, []float64{0.6, 0.8})
		}
	}
	p.y = f.y + high + 4
	p.key()
}

// key names the lines of the banks, where there are several.
func (p *paper) key() {
	if len(p.Banks) == 1 {
		return
	}
	p.y += 4
	for i := range p.Banks {
		x := side + 11 + 24*float64(i)
		p.pdf.SetDashPattern(dashOf(i), 0)
		p.line(x, p.y-1, x+8, p.y-1, ofBank[i], 0.5)
		p.pdf.SetDashPattern(nil, 0)
		p.font(sans, "", 7.5, ofBank[i])
		p.put(x+9.5, p.y, bankWord+letters[i])
	}
	p.y++
}

func (p *paper) degree() string { _, unit := p.Units.in(0, "°C"); return unit }
