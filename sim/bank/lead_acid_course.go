package bank

import "math"

// AcidCourse is a course of the wells with what flows at the terminals, up to a
// time at most. The current into the wells, the one at the terminals and the
// voltage are straight lines of the level there, laid by AcidDrive.Follow.
type AcidCourse struct {
	Course
	UntilS     float64 // the lines hold until then, s
	EndA, EndV float64 // current and voltage at the terminals there by the law itself
	Lo, Hi     float64 // levels between which the course stays until then

	terminal, volts line
	end             Moment
}

// line is a straight line of the level, from the start of a course.
type line struct{ at, slope float64 }

// TerminalA is the current at the terminals, A, at a level of the course.
func (c *AcidCourse) TerminalA(level float64) float64 {
	return c.terminal.at + c.terminal.slope*(level-c.level.start)
}

// TerminalAs is the charge through the terminals until a moment. Less what the
// wells gained it is what gassed.
func (c *AcidCourse) TerminalAs(at Moment) float64 { return c.TerminalA(at.MeanLevel) * at.TimeS }

// MeanV is the mean voltage at the terminals until a moment.
func (c *AcidCourse) MeanV(at Moment) float64 {
	return c.volts.at + c.volts.slope*(at.MeanLevel-c.level.start)
}

// Moment is the course at a time.
func (c *AcidCourse) Moment(timeS float64) Moment {
	if timeS == c.UntilS {
		return c.end
	}
	return c.Course.Moment(timeS)
}

// How near to its law the line of the current into the wells has to be halfway and
// at its end, and how far off its tangent the law may bend: parts of the current at
// the terminals at the start, and of the capacity an hour.
const (
	nearPart    = 2e-4
	nearPerHour = 3e-6
	bentPerHour = 2.5e-3
)

// leastS is the time, s, below which a course is not cut shorter.
const leastS = 1

// Follow makes c the course from wells on, up to a time, s, or to a shorter one.
// It goes along the tangents of the law. Where the law has bent off by the end
// they are turned towards it, so that a parabola has the mean of its line: by two
// thirds where the level goes evenly, by all of the gap where it is at the end
// most of the time. Where the law is no parabola either, the course is cut in half.
func (d *AcidDrive) Follow(c *AcidCourse, b TwoWell, w Wells, horizonS float64) {
	charging := d.charges(b, w)
	start := d.at(w.Level, charging)
	along := d.slopes(w.Level, start, charging)
	perHour := b.CapacityAs / 3600
	near := nearPart*math.Abs(start.terminalA) + nearPerHour*perHour
	for c.UntilS = horizonS; ; c.UntilS /= 2 {
		c.begin(b, w, start.wellsA, along.wellsA)
		c.terminal, c.volts = line{start.terminalA, along.terminalA}, line{start.volts, along.volts}
		there := c.ends(d, charging)
		bend := there.wellsA - c.CurrentAt(c.end.Level)
		way := c.end.Level - w.Level
		switch {
		case c.UntilS <= leastS:
			return
		case !(math.Abs(bend) <= bentPerHour*perHour), c.Turns() && math.Abs(d.off(c, c.turn(), charging)) > near:
			continue
		case math.Abs(bend) <= near:
			return
		}
		if math.Abs(d.off(c, w.Level+way/2, charging)-bend/4) > near {
			continue
		}
		turned := (1 + 2*min(max((c.end.MeanLevel-w.Level)/way, 0), 1)) / 3
		c.begin(b, w, start.wellsA, along.wellsA+turned*bend/way)
		c.terminal.slope += turned * (there.terminalA - start.terminalA - along.terminalA*way) / way
		c.volts.slope += turned * (there.volts - start.volts - along.volts*way) / way
		c.ends(d, charging)
		return
	}
}

// Turns tells whether the course turns on its way.
func (c *AcidCourse) Turns() bool {
	a, z := c.level.start, c.end.Level
	return c.Lo < min(a, z) || c.Hi > max(a, z)
}

// turn is the level at which it turns.
func (c *AcidCourse) turn() float64 {
	if c.Hi > max(c.level.start, c.end.Level) {
		return c.Hi
	}
	return c.Lo
}

// ends finds the end of a course and what the law says there.
func (c *AcidCourse) ends(d *AcidDrive, charging bool) acidFlow {
	c.end = c.Course.Moment(c.UntilS)
	c.Lo, c.Hi = c.Between(c.end)
	there := d.at(c.end.Level, charging)
	c.EndA, c.EndV = there.terminalA, there.volts
	return there
}
