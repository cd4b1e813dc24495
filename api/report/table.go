package report

// column is one of a table: its heading, the part of the width that it takes,
// and whether it is numbers, which end at its right edge.
type column struct {
	head  string
	part  float64
	right bool
	ink   colour
}

// table writes rows of wrapped cells; its head stands on every page again, and never
// over its last row alone.
func (p *paper) table(columns []column, rows [][]string, points float64) {
	sum := 0.
	for _, c := range columns {
		sum += c.part
	}
	const gap = 2.5
	step := points * pointMm * 1.28
	at, wide := make([]float64, len(columns)), make([]float64, len(columns))
	x := side
	for i, c := range columns {
		at[i], wide[i] = x, p.inner*c.part/sum-gap
		x += wide[i] + gap
	}
	wide[len(wide)-1] += gap
	cell := func(i int, y float64, text string) {
		if columns[i].right {
			p.putRight(at[i]+wide[i], y, text)
		} else {
			p.put(at[i], y, text)
		}
	}
	head := func() {
		p.font(sans, "", points-0.5, soft)
		p.y += step
		for i, c := range columns {
			cell(i, p.y, c.head)
		}
		p.y += 1.2
		p.line(side, p.y, p.width-side, p.y, ink, 0.25)
	}
	p.room(4 * step)
	head()
	lines, heights := make([][][]string, len(rows)), make([]float64, len(rows))
	p.font(sans, "", points, ink)
	for k, row := range rows {
		most := 1
		for i, text := range row {
			lines[k] = append(lines[k], p.pdf.SplitText(text, wide[i]))
			most = max(most, len(lines[k][i]))
		}
		heights[k] = float64(most)*step + points*0.17
	}
	for k, row := range rows {
		needed := heights[k]
		if k == len(rows)-2 {
			needed += heights[k+1]
		}
		if p.y+needed > p.height-bottom {
			p.page()
			head()
		}
		for i := range row {
			p.font(sans, "", points, columns[i].ink)
			for n, text := range lines[k][i] {
				cell(i, p.y+float64(n+1)*step, text)
			}
		}
		p.y += heights[k]
		p.line(side, p.y, p.width-side, p.y, rule, hairline)
	}
	p.y += 2
}
