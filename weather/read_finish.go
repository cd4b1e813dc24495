package weather

import (
	"fmt"
	"math"
)

var leapDayRepeated = Assumed{"leap_day", "28 February repeated", "the file has no 29 February and the calendar year has one"}

// finish deals with the gaps, looks for irradiance at night,
// and makes the reading.
func (g *grid) finish(format string, assumed []Assumed) *Reading {
	if g.offsets > 0 {
		assumed = append(assumed, Assumed{"negative irradiance", 0, fmt.Sprintf("%d values from %d W/m² to 0, which pyranometers read in the dark", g.offsets, darkOffsetWM2)})
	}
	g.reportGaps()
	g.year.checkNight(g.p, g.year.Sun(), func(one *Problem, c column) {
		one.Line, one.Column = int(g.line[one.Index]), g.field[c]
	})
	return &Reading{Format: format, Year: g.year, Assumed: assumed}
}

// reportGaps reports rows that are not there and values that are not.
func (g *grid) reportGaps() {
	n := len(g.line)
	missing := 0
	for i := range n {
		if g.line[i] == 0 {
			missing++
		}
	}
	if missing > g.unplaced { // else the rows are there, with times that were reported
		g.reportMissingRows()
	}
	for c := range columns {
		for i, x := range *g.year.values(c) {
			if math.IsNaN(x) && g.line[i] != 0 {
				g.p.add(Problem{Line: int(g.line[i]), Column: g.field[c], Member: c.String(), Index: i, Message: "is missing at " + g.stamp(i), Cause: ErrMissing})
			}
		}
	}
}

func (g *grid) reportMissingRows() {
	n := len(g.line)
	for i := 0; i < n; i++ {
		if g.line[i] != 0 {
			continue
		}
		from := i
		for i < n && g.line[i] == 0 {
			i++
		}
		after := 0
		if from > 0 {
			after = int(g.line[from-1])
		}
		g.p.add(Problem{Line: after, Index: from, Cause: ErrMissing,
			Message: fmt.Sprintf("after this line %d rows are missing, from %s to %s", i-from, g.stamp(from), g.stamp(i-1))})
	}
}
