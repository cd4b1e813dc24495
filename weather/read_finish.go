package weather

import (
	"fmt"
	"slices"
)

// finish deals with what is not in the file, looks for irradiance at night,
// and makes the reading.
func (g *grid) finish(format string, o ReadOptions, assumed []Assumed) *Reading {
	if g.offsets > 0 {
		assumed = append(assumed, Assumed{"negative irradiance", 0, fmt.Sprintf("%d values from %d W/m² to 0, which pyranometers read in the dark", g.offsets, darkOffsetWM2)})
	}
	longest := float64(shortGapH)
	if o.FillGapsUpToH != nil {
		longest = *o.FillGapsUpToH
	}
	sun := g.year.Sun()
	fills, left := fillGaps(g.year, sun, longest)
	g.reportGaps(left, longest)
	g.year.checkNight(g.p, sun, func(one *Problem, c column) {
		one.Line, one.Column = int(g.line[one.Index]), g.field[c]
	})
	if len(fills) > 0 {
		count := 0
		for _, f := range fills {
			count += f.Count
		}
		assumed = append(assumed, Assumed{"gaps", "filled", fmt.Sprintf("%d missing values in gaps of up to %g h", count, longest)})
	}
	return &Reading{Format: format, Year: g.year, Assumed: assumed, Filled: sortFills(slices.Concat(g.marked, fills, g.leapFills()))}
}

// leapFills marks a repeated 29 February.
func (g *grid) leapFills() []Fill {
	var fills []Fill
	from, to := g.leapDay()
	for c := range columns {
		if g.leapRepeated && *g.year.values(c) != nil {
			fills = append(fills, Fill{c.String(), from, to - from, FillLeapDay})
		}
	}
	return fills
}

// reportGaps reports gaps that were not filled: rows that are not there once,
// values that are not there by their column.
func (g *grid) reportGaps(left []gap, longestH float64) {
	rows := map[[2]int]bool{}
	missing := 0
	for _, line := range g.line {
		if line == 0 {
			missing++
		}
	}
	for _, m := range left {
		key := [2]int{m.from, m.to}
		if g.line[m.from] != 0 { // the row is there
			g.p.add(Problem{Line: int(g.line[m.from]), Column: g.field[m.column], Member: m.column.String(), Index: m.from, Cause: ErrMissing,
				Allowed: fmt.Sprintf("gaps of up to %g h", longestH), Message: "is missing " + g.span(m)})
			continue
		}
		// Rows whose times could not be read were reported as that.
		if rows[key] || missing <= g.unplaced {
			continue
		}
		rows[key] = true
		after := 0
		if m.from > 0 {
			after = int(g.line[m.from-1])
		}
		g.p.add(Problem{Line: after, Index: m.from, Cause: ErrMissing, Allowed: fmt.Sprintf("gaps of up to %g h", longestH),
			Message: "rows are missing after this line, " + g.span(m)})
	}
}

func (g *grid) span(m gap) string {
	if m.to-m.from == 1 {
		return "at " + g.stamp(m.from)
	}
	return fmt.Sprintf("%d times from %s to %s", m.to-m.from, g.stamp(m.from), g.stamp(m.to-1))
}
